"""From an exception to a page: one table, no detail of ours ever shown."""

from __future__ import annotations

import errno
import logging
import uuid
from typing import TYPE_CHECKING

from flask import current_app, g, make_response, redirect, render_template, request, url_for
from flask_wtf.csrf import CSRFError
from werkzeug.exceptions import BadHost, HTTPException

from clubplanner.errors import (
    AwayError,
    BusyError,
    ClashError,
    FaultyInputError,
    HinderedError,
    MarkGoneError,
    MissingError,
    NoClubError,
    NoRoomError,
    OutdatedError,
    PlannerError,
    RefusedError,
    ShareOutError,
    StoreError,
    TooManyError,
    UnsureError,
)
from clubplanner.language import _, marked, term
from clubplanner.services.rows.own_club import office_in_words
from clubplanner.webapp.base.problem_details import (
    BY_STATUS,
    ProblemAnswerError,
    problem_answer,
    tell_problem,
)
from clubplanner.webapp.base.programs import is_for_programs
from clubplanner.webapp.base.security import current_person, signed_in
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

LOG = logging.getLogger("clubplanner.webapp")

STATUSES: dict[type[PlannerError], int] = {
    FaultyInputError: 422,
    MissingError: 404,
    NoClubError: 404,
    MarkGoneError: 410,
    ClashError: 409,
    HinderedError: 422,
    OutdatedError: 409,
    RefusedError: 422,
    ShareOutError: 503,
    StoreError: 503,
    NoRoomError: 507,
    AwayError: 503,
    BusyError: 503,
    UnsureError: 503,
    TooManyError: 429,
}
"""Every leaf of the tree in `clubplanner.errors` has its status here."""

HEADINGS = {
    400: marked("The request could not be read"),
    403: marked("This page is not for you"),
    404: marked("There is nothing here"),
    405: marked("This cannot be done that way"),
    409: marked("Somebody was there first"),
    410: marked("What was here is gone"),
    413: marked("That is too large"),
    422: marked("This cannot be done"),
    429: marked("Too often in a short time"),
    500: marked("Something broke on our side"),
    503: marked("Not available now"),
    507: marked("The disk is full"),
}
SENTENCES = {
    400: marked("Go back, check what you entered, and try again."),
    403: marked("What you do in the club does not include it; ask the secretary if you need it."),
    404: marked("The address may be incomplete, or what was here is gone."),
    405: marked("Go back and use the buttons of the page."),
    413: marked("Send less at once: at most 20 MB of files, and 2 MB of what is typed."),
}

PROBLEM_SENTENCES = {
    400: marked("Look at what is sent, and send it again."),
    401: marked("Send a token that is in use, as “Authorization: Bearer …”."),
    403: SENTENCES[403],
    404: SENTENCES[404],
    405: marked("Use one of the methods that are allowed here."),
    413: marked("Send less at once."),
}
"""The same to a program, where other words are needed."""

AGAIN = marked("Go back and try again.")
AWAY = "clubplanner.away"
"""Stands in a request's environment (PEP 3333) once its club's records did not answer."""
NO_ROOM = (errno.ENOSPC, errno.EDQUOT)


def register(app: Flask) -> None:
    """Add the error pages to an app."""
    app.register_error_handler(PlannerError, _planner_error)
    app.register_error_handler(HTTPException, _http_error)
    app.register_error_handler(Exception, _other_error)


def _planner_error(error: PlannerError) -> BaseResponse:
    if is_for_programs():
        request.environ[AWAY] = isinstance(error, AwayError) or request.environ.get(AWAY, False)
        return tell_problem(error, STATUSES.get(type(error), 422))
    if isinstance(error, NoClubError) and signed_in():
        return redirect(url_for("desk.first_steps"))
    status = STATUSES.get(type(error), 422)
    is_away = isinstance(error, AwayError)
    if is_away:
        request.environ[AWAY] = True
    response = make_response(_page(status, str(error), has_frame=not is_away), status)
    if isinstance(error, TooManyError):  # RFC 6585, section 4
        response.headers["Retry-After"] = str(error.seconds)
    return response


def _http_error(
    error: HTTPException,
) -> BaseResponse | tuple[str, int, dict[str, str]] | HTTPException:
    if isinstance(error, BadHost):
        return _unknown_host()
    if is_for_programs():
        return _http_problem(error)
    if isinstance(error, CSRFError):
        g.is_forged = True
        message = _(
            "The form had been open for too long or cookies are off. Go back and send it again."
        )
        return _page(400, message), 400, {}
    status = error.code or 500
    if status < 400:
        return error
    if status == 403 and (words := _whose_it_is()):
        return _page(403, words), 403, {}
    allowed = getattr(error, "valid_methods", None)  # RFC 9110, 15.5.6: 405 says what is allowed
    headers = {"Allow": ", ".join(sorted(allowed))} if allowed else {}
    return (
        _page(status, term(SENTENCES.get(status, AGAIN))),
        status,
        headers,
    )


def _http_problem(error: HTTPException) -> BaseResponse | HTTPException:
    """Tell a program what a page would say."""
    status = error.code or 500
    if status < 400:
        return error
    if isinstance(error, ProblemAnswerError):
        return problem_answer(status, error.kind, error.words)
    words = _whose_it_is() if status == 403 else ""
    allowed = getattr(error, "valid_methods", None)
    headers = {"Allow": ", ".join(sorted(allowed))} if allowed else {}
    told = words or term(PROBLEM_SENTENCES.get(status, AGAIN))
    return problem_answer(status, BY_STATUS.get(status, "unreadable"), told, headers)


def _whose_it_is() -> str:
    """Say to the secretary of a club who may open a page that is the office's; blank to others."""
    person = current_person()
    if person is None or person.scope is None:
        return ""
    return office_in_words(app_state().store)


def _unknown_host() -> tuple[str, int, dict[str, str]]:
    """Answer a request whose Host header is no name: without it no address can be written."""
    message = _(
        "The name of the server in this request cannot be read. Open the club's address again: "
        "%(address)s",
        address=app_state().config.public_address,
    )
    return f"{message}\n", 400, {"Content-Type": "text/plain; charset=utf-8"}


def _other_error(error: Exception) -> BaseResponse | tuple[str, int]:
    if isinstance(error, OSError) and error.errno in NO_ROOM:
        LOG.error("no room is left on the disk: %s", error)
        return _planner_error(NoRoomError())
    number = uuid.uuid4().hex[:8]
    LOG.error("request %s failed: %s", number, request.endpoint, exc_info=error)
    message = _(
        "Try again in a moment. If it happens again, tell the club this number: %(number)s.",
        number=number,
    )
    if is_for_programs():
        return problem_answer(500, "broken", message, instance=number)
    return _page(500, message), 500


def _page(status: int, message: str, *, has_frame: bool = True) -> str:
    """Return a page that tells a fault; its frame asks the records, and may wait for them."""
    heading = term(HEADINGS.get(status, HEADINGS[422]))
    if has_frame:
        try:
            return render_template("error.html", heading=heading, message=message)
        except Exception:  # the records may be what broke
            LOG.warning("the error page goes out without its frame", exc_info=True)
    template = current_app.jinja_env.get_template("error_alone.html")
    return template.render(heading=heading, message=message)
