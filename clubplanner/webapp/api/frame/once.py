"""What is posted is done once: an Idempotency-Key is claimed as a form's own token is.

After draft-ietf-httpapi-idempotency-key-header. What is kept of an answer for a day is where it
led and which request it was of, no value: a repeat is told how that stands now.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

from flask import g, request

from clubplanner.language import _
from clubplanner.store.claims import FormClaim
from clubplanner.webapp.base.once import ANSWER, claim_or_wait
from clubplanner.webapp.base.problem_details import ProblemAnswerError
from clubplanner.webapp.base.programs import asking_program

if TYPE_CHECKING:
    from collections.abc import Mapping

HEADER = "Idempotency-Key"
LONGEST_KEY = 100
PATTERN = r"^[\x21-\x7e]{1,100}$"


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept of an answer.

    Attributes:
        request: A digest of the request.
        status: HTTP status.
        view: Name of the view that shows what was made or changed.
        values: Its values in the address.
        changes: Numbers of the changes that were made.
    """

    request: str
    status: int
    view: str
    values: Mapping[str, Any]
    changes: tuple[int, ...]


def claim_call() -> Kept | None:
    """Claim a posted request; return what is kept of the answer if it came before.

    Raises:
        ProblemAnswerError: If it bears no key, another request had it, or it is still at work.
    """
    key = request.headers.get(HEADER, "")
    if not re.fullmatch(PATTERN, key):
        words = _("Send an Idempotency-Key of 1 to 100 signs, a new one for each new request.")
        raise ProblemAnswerError(400, words)
    bearer = asking_program()
    number = 0 if bearer is None else bearer.number
    found = claim_or_wait(_digest(f"token {number}", key))
    if isinstance(found, FormClaim):
        g.claim = found
        return None
    if not found.answer:
        raise ProblemAnswerError(409, _what_became(has_begun=found.has_begun))
    kept = Kept(**json.loads(found.answer))
    if kept.request != digest_of_request():
        raise ProblemAnswerError(
            422,
            _("This Idempotency-Key came with another request; use a new key for this one."),
            "key-used",
        )
    return kept


def keep_answer(kept: Kept) -> None:
    """Let the answer be noted with the claim, once it goes out."""
    setattr(g, ANSWER, json.dumps(asdict(kept)))


def digest_of_request() -> str:
    """Return a digest of what is asked for: where, and the body to the letter."""
    return _digest(request.method, request.full_path, request.get_data().decode("latin-1"))


def _digest(*parts: str) -> str:
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()


def _what_became(*, has_begun: bool) -> str:
    if not has_begun:
        return _("The first request with this key is still at work; ask again in a moment.")
    return _(
        "The first request with this key was done, but the planner stopped before it could "
        "answer. Look at what stands; nothing was done a second time."
    )
