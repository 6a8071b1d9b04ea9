"""What a server of many clubs answers by itself: how it is, and that there is no club here."""

from __future__ import annotations

import hmac
from typing import TYPE_CHECKING

from flask import Blueprint, abort, current_app, make_response, request
from werkzeug.exceptions import HTTPException

from clubplanner.language import ENGLISH, marked, speaking, spoken, term
from clubplanner.webapp.base.bare_app import make_bare_app
from clubplanner.webapp.base.security import HEADERS
from clubplanner.webapp.clubs.served_club import LEFT_ALONE_S, NOT_NOW
from clubplanner.webapp.clubs.watched_all import AllClubs
from clubplanner.webapp.serving import static_files
from clubplanner.webapp.serving.kept_choices import begin, end
from clubplanner.webapp.serving.languages import asked_language
from clubplanner.webapp.serving.watched import KIND, PLAIN

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

    from clubplanner.config import Config

pages = Blueprint("front", __name__)

KEY = "clubplanner metrics key"
LANGUAGE = "language"
NOBODY = marked("There is no club at this address")
LOOK = marked(
    "The address may be incomplete or out of date. Ask your club's secretary for the right one."
)
LATER = marked("Not available now")
WHY_LATER = marked(
    "The club's records cannot be reached at the moment. Try again in a few minutes; if it goes "
    "on, tell the club."
)


def make_front(config: Config) -> Flask:
    """Make the app that answers what no club does; it has no records, and keeps nothing.

    Args:
        config: The settings of the process.
    """
    app = make_bare_app()
    app.config[KEY] = config.metrics_key
    app.add_template_global(spoken, "spoken")
    app.before_request(_begin)
    app.after_request(_add_headers)
    app.teardown_request(_end)
    static_files.register(app)
    app.register_blueprint(pages)
    app.register_error_handler(HTTPException, _nobody_here)
    return app


@pages.get("/health")
def health() -> tuple[str, int, dict[str, str]]:
    """Say whether clubs are served: 503 only when none is, or a single one would stop them all.

    Whoever brings the key is told of each club by name.
    """
    all_clubs = _all_clubs()
    states = all_clubs.states()
    ill = sum(not is_well for is_well in states.values())
    status = 503 if ill == len(states) else 200
    words = "not well" if status == 503 else "well"
    if _has_key():
        lines = [f"{name}: {'well' if is_well else 'not well'}" for name, is_well in states.items()]
        if not all_clubs.list_is_well:
            lines.append("the list of clubs was changed and cannot be read; the one before holds")
        return "\n".join([words, *lines, ""]), status, PLAIN
    if ill and status == 200:
        words += f", but for {ill} of {len(states)} clubs"
    return f"{words}\n", status, PLAIN


@pages.get("/metrics")
def metrics() -> BaseResponse:
    """Give the figures of all clubs, by short name, to who brings the server's key."""
    if not _has_key():
        abort(404)
    response = make_response(_all_clubs().figures())
    response.headers["Content-Type"] = KIND
    return response


def _all_clubs() -> AllClubs:
    found = current_app.extensions[AllClubs.EXTENSION]
    if not isinstance(found, AllClubs):
        raise TypeError("The app was not made by make_clubs_app.")
    return found


def _has_key() -> bool:
    key = str(current_app.config[KEY])
    brought = request.headers.get("Authorization", "").removeprefix("Bearer ")
    return bool(key) and hmac.compare_digest(brought.encode(), key.encode())


def _begin() -> BaseResponse | None:
    begin(LANGUAGE, speaking(asked_language() or ENGLISH))
    if not request.environ.get(NOT_NOW) or request.endpoint == static_files.ENDPOINT:
        return None
    if request.path == "/health":
        return make_response("not well\n", 503, PLAIN)
    response = make_response(_page(term(LATER), term(WHY_LATER)), 503)
    response.headers["Retry-After"] = str(round(LEFT_ALONE_S))
    return response


def _end(_error: BaseException | None) -> None:
    end(LANGUAGE)


def _nobody_here(_error: HTTPException) -> tuple[str, int]:
    return _page(term(NOBODY), term(LOOK)), 404


def _page(heading: str, message: str) -> str:
    template = current_app.jinja_env.get_template("error_alone.html")
    return template.render(heading=heading, message=message)


def _add_headers(response: BaseResponse) -> BaseResponse:
    for name, value in HEADERS.items():
        response.headers.setdefault(name, value)
    response.headers.setdefault("Cache-Control", "private, no-store")
    response.headers.add("Vary", "Accept-Language")
    return response
