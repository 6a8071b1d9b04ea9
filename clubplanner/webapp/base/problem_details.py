"""What goes wrong, told to programs: problem details (RFC 9457) in place of a page.

A problem's `type` is an address that says what it means; `title` is the same each time, `detail` is
about this one time, both in the language asked for. Faults of a body or query are all listed, each
with its place: a JSON pointer (RFC 6901) into the body, or the name of a parameter.
"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from flask import make_response, request
from werkzeug.exceptions import HTTPException

from clubplanner.errors import (
    ClashError,
    FaultyInputError,
    HinderedError,
    OutdatedError,
    TooManyError,
    UnsureError,
)
from clubplanner.language import marked, term
from clubplanner.webapp.base.programs import ROOT
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from collections.abc import Mapping

    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.errors import PlannerError

MEDIA_TYPE = "application/problem+json"

TITLES = {
    "unreadable": marked("The request could not be read"),
    "no-token": marked("This needs a token"),
    "not-yours": marked("This is not for you"),
    "not-there": marked("There is nothing here"),
    "not-that-way": marked("This cannot be done that way"),
    "mark-gone": marked("What was here is gone"),
    "clash": marked("The ground is held"),
    "hindered": marked("Rules stand in the way"),
    "at-work": marked("The same request is still at work"),
    "changed-meanwhile": marked("Somebody else changed it first"),
    "too-large": marked("That is too large"),
    "not-json": marked("Send JSON"),
    "faulty": marked("What was sent has faults"),
    "refused": marked("The club's rules do not allow it"),
    "key-used": marked("This key was used for another request"),
    "no-condition": marked("Say which state is changed"),
    "too-often": marked("Too often in a short time"),
    "broken": marked("Something broke on our side"),
    "not-now": marked("Not available now"),
    "disk-full": marked("The disk is full"),
    "unsure": marked("It may be lost"),
}
"""Every kind of problem, by the last word of its address."""
MEANINGS = {
    "unreadable": "A header, the query or the body is not what HTTP or JSON says it has to be.",
    "no-token": "The Authorization header bears no token that is in use (RFC 6750).",
    "not-yours": "The token's person may not do this, or the token may read alone.",
    "not-there": "What was asked for does not exist, or is gone.",
    "mark-gone": "Not all since this mark is there: read everything, follow from a new one.",
    "not-that-way": "The address takes other methods; Allow names them.",
    "clash": "Somebody holds a part of the ground then: `clashes` says who, `free` what is free.",
    "hindered": "Rules of the rule book stand in the way: `hindrances` says which.",
    "at-work": "A request with this Idempotency-Key has begun and has no answer yet.",
    "changed-meanwhile": "If-Match names a state that is no more; nothing was written over.",
    "too-large": "The body is larger than is taken.",
    "not-json": "The body has to be of the type application/json.",
    "faulty": "`errors` lists every fault with its place; nothing was changed.",
    "refused": "It could be read and is not allowed; `detail` says why and what to do.",
    "key-used": "The Idempotency-Key came with another request within a day.",
    "no-condition": "A change needs If-Match with the ETag of what was read (RFC 6585).",
    "too-often": "Retry-After says when to go on.",
    "broken": "A fault of the program; `instance` is the number to tell the club.",
    "not-now": "Records or optimiser cannot be used at the moment; try again.",
    "disk-full": "There is no room to write; nothing was changed.",
    "unsure": "It was written as the disk or the database failed: look before you send it again.",
}
BY_STATUS = {
    400: "unreadable",
    401: "no-token",
    403: "not-yours",
    404: "not-there",
    405: "not-that-way",
    410: "mark-gone",
    409: "at-work",
    412: "changed-meanwhile",
    413: "too-large",
    415: "not-json",
    422: "refused",
    428: "no-condition",
    429: "too-often",
    500: "broken",
    503: "not-now",
    507: "disk-full",
}
BY_ERROR: dict[type[PlannerError], str] = {
    FaultyInputError: "faulty",
    ClashError: "clash",
    HinderedError: "hindered",
    OutdatedError: "changed-meanwhile",
    UnsureError: "unsure",
}
"""Those whose status alone does not say which kind they are."""


class ProblemAnswerError(HTTPException):
    """A request that the API itself refuses.

    Attributes:
        kind: One of `TITLES`.
        words: What is the matter this time, and what to do.
    """

    def __init__(self, status: int, words: str, kind: str = "") -> None:
        super().__init__(words)
        self.code = status
        self.kind = kind or BY_STATUS[status]
        self.words = words


def tell_problem(error: PlannerError, status: int) -> BaseResponse:
    """Answer a program whose request cannot be done.

    Args:
        error: Why not.
        status: By the table of all errors; a condition that does not hold has one of its own.
    """
    if isinstance(error, OutdatedError) and "If-Match" in request.headers:
        status = 412
    kind = BY_ERROR.get(type(error), BY_STATUS.get(status, "refused"))
    response = problem_answer(status, kind, str(error), **_more(error))
    if isinstance(error, TooManyError):  # RFC 6585, section 4
        response.headers["Retry-After"] = str(error.seconds)
    return response


def problem_answer(
    status: int,
    kind: str,
    detail: str,
    headers: Mapping[str, str] | None = None,
    **more: object,
) -> BaseResponse:
    """Answer with a problem.

    Args:
        status: HTTP status.
        kind: One of `TITLES`.
        detail: What is the matter this time.
        headers: Further headers.
        more: Further members.
    """
    body = {
        "type": problem_address(kind),
        "title": term(TITLES[kind]),
        "status": status,
        "detail": detail,
        **more,
    }
    response = make_response(json.dumps(body, ensure_ascii=False), status)
    response.headers["Content-Type"] = MEDIA_TYPE
    for name, value in (headers or {}).items():
        response.headers[name] = value
    if status == 401:
        response.headers["WWW-Authenticate"] = 'Bearer realm="clubplanner"'
    return response


def problem_address(kind: str) -> str:
    """Return the address that says what a kind of problem is."""
    return f"{app_state().config.public_address}{ROOT}/1/problems/{kind}"


def _more(error: PlannerError) -> dict[str, Any]:
    if isinstance(error, FaultyInputError):
        return {
            "errors": [
                {"at": one.where, "code": one.code, "detail": one.message} for one in error.problems
            ]
        }
    if isinstance(error, ClashError):
        return {"clashes": [one.sentence for one in error.clashes], "free": list(error.free)}
    if isinstance(error, HinderedError):
        return {"hindrances": [{"rule": h.rule, "detail": h.words} for h in error.hindrances]}
    return {}
