"""Which state a program has seen: ETag on what it reads, If-Match on what it changes (RFC 9110)."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING

from flask import request

from clubplanner.language import _
from clubplanner.webapp.base.problem_details import ProblemAnswerError

if TYPE_CHECKING:
    from clubplanner.webapp.api.frame.values import Value


def tag_of(data: bytes) -> str:
    """Return the strong tag of a state, without its quotation marks."""
    return hashlib.sha256(data).hexdigest()[:20]


def require_condition() -> None:
    """Refuse a change that does not say which state it is of.

    Raises:
        ProblemAnswerError: With status 428 (RFC 6585, section 3).
    """
    if not request.if_match:
        raise ProblemAnswerError(
            428, _("Read it first, and send its ETag as If-Match, so that nothing is written over.")
        )


def hold_condition(present: Value) -> None:
    """Refuse a change of a state that is no more.

    Raises:
        ProblemAnswerError: With status 412.
    """
    if not request.if_match.contains(tag_of(present.model_dump_json().encode())):
        raise ProblemAnswerError(
            412,
            _("Somebody has changed it since it was read; read it again, then make the change."),
        )
