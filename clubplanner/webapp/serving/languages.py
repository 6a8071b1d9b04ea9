"""In which language a page is told: its reader's choice, else their browser's, else the club's.

What goes out to everybody, pictures and the notice board, is told in the club's language.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, request

from clubplanner.language import _, language_name, languages, speaking, spoken
from clubplanner.services.rows.club.club import club_language
from clubplanner.webapp.base.programs import is_for_programs
from clubplanner.webapp.base.security import for_anybody
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.serving.kept_choices import begin, end, keep, kept

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("languages", __name__)

CHOICE = "language"
FOR_EVERYBODY = (".png", ".pdf")
BOARD = "board.see"


def register(app: Flask) -> None:
    """Tell words in the language chosen, and let templates offer the choice."""
    app.before_request(_begin)
    app.after_request(_name)
    app.teardown_request(_end)
    app.add_template_global(spoken, "spoken")
    app.add_template_global(language_choices, "language_choices")


@pages.post("/language")
@for_anybody
def choose() -> BaseResponse:
    """Keep a choice, and go back to where it was made."""
    response, wanted = keep(CHOICE, languages())
    if wanted:
        with speaking(wanted):
            flash(_("Pages are told in the language you chose."))
    return response


def language_choices() -> list[dict[str, object]]:
    """Return what can be chosen: value, what it calls itself, and whether it is spoken now."""
    return [
        {
            "value": code,
            "words": language_name(code),
            "lang": code,
            "is_chosen": code == spoken(),
        }
        for code in languages()
    ]


def _begin() -> None:
    if request.endpoint == "static" or request.path.endswith(".ics"):
        return  # a feed is written in the club's language where it is built
    begin(CHOICE, speaking(_wanted()))


def _wanted() -> str:
    if request.path.endswith(FOR_EVERYBODY) or request.endpoint == BOARD:
        return club_language(app_state().store)
    chosen = "" if is_for_programs() else kept(CHOICE, languages())
    return chosen or asked_language() or club_language(app_state().store)


def asked_language() -> str:
    """Return the first of the browser's languages that there is, whatever its region; or blank.

    Each is cut down to its language (RFC 4647, 3.4), so that "en-GB, de" means English.
    """
    for tag, quality in request.accept_languages:
        code = tag.replace("_", "-").partition("-")[0].lower()
        if quality > 0 and code in languages():
            return code
    return ""


def _name(response: BaseResponse) -> BaseResponse:
    if response.mimetype == "text/html":
        response.headers["Content-Language"] = spoken()
        response.headers.add("Vary", "Accept-Language")
    return response


def _end(_error: BaseException | None) -> None:
    end(CHOICE)
