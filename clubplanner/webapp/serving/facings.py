"""Which way round plans are drawn: each browser keeps what its owner chose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash, request

from clubplanner.domain.ground.orientation.facing import Facing, chosen_facing, plans_facing
from clubplanner.language import _
from clubplanner.webapp.base.security import for_anybody
from clubplanner.webapp.serving.kept_choices import begin, end, keep, kept

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("facings", __name__)

CHOICE = "facing"
NOT_FOR = ".png"
"""A picture that is passed on lies as everybody else sees it."""


def register(app: Flask) -> None:
    """Draw plans the chosen way round, and let templates offer the choice."""
    app.before_request(_begin)
    app.teardown_request(_end)
    app.add_template_global(_choices, "facing_choices")


@pages.post("/facing")
@for_anybody
def choose() -> BaseResponse:
    """Keep a choice, and go back to where it was made."""
    response, wanted = keep(CHOICE, list(Facing))
    if wanted:
        flash(_("Plans are drawn as you chose."))
    return response


def _begin() -> None:
    wanted = kept(CHOICE, list(Facing))
    if wanted and not request.path.endswith(NOT_FOR):
        begin(CHOICE, plans_facing(Facing(wanted)))


def _end(_error: BaseException | None) -> None:
    end(CHOICE)


def _choices() -> list[dict[str, object]]:
    """Return what can be chosen: value, words, and whether it is chosen now."""
    words = {
        Facing.LYING: _("with the long side across"),
        Facing.ENTRANCE: _("with the way in at the bottom"),
        Facing.NORTH: _("with north at the top"),
    }
    return [
        {"value": value.value, "words": text, "is_chosen": value is chosen_facing()}
        for value, text in words.items()
    ]
