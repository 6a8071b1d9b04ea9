"""Fairness: what each squad has had so far."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template

from clubplanner.errors import RefusedError
from clubplanner.services.history.fair_pictures import draw_fairness
from clubplanner.services.history.fair_tables import fairness_tables
from clubplanner.services.history.fairness import see_fairness
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse


SQUADS = 30
"""Squads of one leaf: a phone shows them on two screens."""


@pages.get("/fairness")
@for_secretary
def fairness() -> str | BaseResponse:
    """Show hours, good and bad ground of each squad so far, and how even that is."""
    state = app_state()
    try:
        page, why_not = see_fairness(state.store, state.clock()), ""
    except RefusedError as fault:
        page, why_not = None, str(fault)
    if page and wants_file():
        return send_tables(*fairness_tables(page))
    leaf = leaf_through(page.squads if page else (), SQUADS)
    pictures = draw_fairness(page, leaf.items) if page else None
    return render_template(
        "season/fairness.html", page=page, pictures=pictures, why_not=why_not, leaf=leaf
    )
