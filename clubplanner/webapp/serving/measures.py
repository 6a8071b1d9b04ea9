"""Metres, yards or paces: each browser keeps what its owner chose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash

from clubplanner.domain.ground.orientation.measures import Measure, chosen_measure, measuring
from clubplanner.language import _
from clubplanner.webapp.base.security import for_anybody
from clubplanner.webapp.serving.kept_choices import Manner

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("measures", __name__)


def _words() -> dict[Measure, str]:
    return {
        Measure.BOTH: _("metres and yards"),
        Measure.METRES: _("metres"),
        Measure.YARDS: _("yards"),
        Measure.PACES: _("paces of 0.9 m"),
    }


NOT_FOR = (".ics", ".png")
"""What goes out to calendars and other people is told in metres and yards."""
CHOICE = Manner("measure", Measure, chosen_measure, measuring, _words, NOT_FOR)


def register(app: Flask) -> None:
    """Tell lengths in the chosen measure, and let templates offer the choice."""
    CHOICE.register(app)


@pages.post("/measure")
@for_anybody
def choose() -> BaseResponse:
    """Keep a choice, and go back to where it was made."""
    response, wanted = CHOICE.keep()
    if wanted:
        flash(_("Lengths are told as you chose."))
    return response
