"""The thunder clock: half an hour from the last thunder, counted on the phone that shows it."""

from __future__ import annotations

from flask import Blueprint, render_template

from clubplanner.domain.times.thunder import FLASH_TO_THUNDER_S, SECONDS_A_KM, WAIT_MINUTES
from clubplanner.webapp.base.security import for_anybody

pages = Blueprint("thunder", __name__)


@pages.get("/thunder")
@for_anybody
def clock() -> str:
    """Show the clock, and the rule in words; nothing of a person or a club is in it."""
    return render_template(
        "coach/thunder.html",
        seconds=FLASH_TO_THUNDER_S,
        minutes=WAIT_MINUTES,
        seconds_a_km=SECONDS_A_KM,
    )
