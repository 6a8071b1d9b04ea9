"""Metres, yards or paces: each browser keeps what its owner chose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, current_app, flash, g, redirect, request, url_for

from clubplanner.domain.measures import Measure, chosen_measure, measuring
from clubplanner.language import _
from clubplanner.webapp.forms import own_path
from clubplanner.webapp.security import for_anybody

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("measures", __name__)

COOKIE = "measure"
A_YEAR_S = 365 * 86_400
NOT_FOR = (".ics", ".png")
"""What goes out to calendars and other people is told in metres and yards."""


def register(app: Flask) -> None:
    """Tell lengths in the chosen measure, and let templates offer the choice."""
    app.before_request(_begin)
    app.teardown_request(_end)
    app.add_template_global(_choices, "measure_choices")


@pages.post("/measure")
@for_anybody
def choose() -> BaseResponse:
    """Keep a choice, and go back to where it was made."""
    response = redirect(own_path(request.form.get("back", "")) or url_for("entry.welcome"))
    wanted = request.form.get("measure", "")
    if wanted in list(Measure):
        secure = bool(current_app.config["SESSION_COOKIE_SECURE"])
        response.set_cookie(COOKIE, wanted, A_YEAR_S, secure=secure, httponly=True, samesite="Lax")
        flash(_("Lengths are told as you chose."))
    return response


def _begin() -> None:
    wanted = request.cookies.get(COOKIE, "")
    if wanted in list(Measure) and not request.path.endswith(NOT_FOR):
        g.measuring = measuring(Measure(wanted))
        g.measuring.__enter__()


def _end(_error: BaseException | None) -> None:
    began = g.pop("measuring", None)
    if began is not None:
        began.__exit__(None, None, None)


def _choices() -> list[dict[str, object]]:
    """Return what can be chosen: value, words, and whether it is chosen now."""
    words = {
        Measure.BOTH: _("metres and yards"),
        Measure.METRES: _("metres"),
        Measure.YARDS: _("yards"),
        Measure.PACES: _("paces of 0.9 m"),
    }
    return [
        {"value": value.value, "words": text, "is_chosen": value is chosen_measure()}
        for value, text in words.items()
    ]
