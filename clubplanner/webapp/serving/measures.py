"""Metres, yards or paces: each browser keeps what its owner chose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, request

from clubplanner.domain.ground.orientation.measures import Measure, chosen_measure, measuring
from clubplanner.language import _
from clubplanner.webapp.base.security import for_anybody
from clubplanner.webapp.serving.kept_choices import begin, end, keep, kept

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("measures", __name__)

CHOICE = "measure"
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
    response, wanted = keep(CHOICE, list(Measure))
    if wanted:
        flash(_("Lengths are told as you chose."))
    return response


def _begin() -> None:
    wanted = kept(CHOICE, list(Measure))
    if wanted and not request.path.endswith(NOT_FOR):
        begin(CHOICE, measuring(Measure(wanted)))


def _end(_error: BaseException | None) -> None:
    end(CHOICE)


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
