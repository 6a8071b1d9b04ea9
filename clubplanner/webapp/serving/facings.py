"""Which way round plans are drawn: each browser keeps what its owner chose."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import Blueprint, flash

from clubplanner.domain.ground.orientation.facing import Facing, chosen_facing, plans_facing
from clubplanner.language import _
from clubplanner.webapp.base.security import for_anybody
from clubplanner.webapp.serving.kept_choices import Manner

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

pages = Blueprint("facings", __name__)


def _words() -> dict[Facing, str]:
    return {
        Facing.LYING: _("with the long side across"),
        Facing.ENTRANCE: _("with the way in at the bottom"),
        Facing.NORTH: _("with north at the top"),
    }


NOT_FOR = (".png",)
"""A picture that is passed on lies as everybody else sees it."""
CHOICE = Manner("facing", Facing, chosen_facing, plans_facing, _words, NOT_FOR)


def register(app: Flask) -> None:
    """Draw plans the chosen way round, and let templates offer the choice."""
    CHOICE.register(app)


@pages.post("/facing")
@for_anybody
def choose() -> BaseResponse:
    """Keep a choice, and go back to where it was made."""
    response, wanted = CHOICE.keep()
    if wanted:
        flash(_("Plans are drawn as you chose."))
    return response
