"""The season at a look: weeks × squads."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import render_template, request

from clubplanner.services.season.season_tables import weeks_table
from clubplanner.services.season.season_weeks import see_season_weeks
from clubplanner.services.showing.choosing.choices import list_squads
from clubplanner.webapp.base.leafing import Leaf, leaf_through
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

SQUADS = 50
"""Rows of one leaf."""


@pages.get("/weeks")
@for_squads
def weeks() -> str | BaseResponse:
    """Show a stretch week by week, a row a squad."""
    state = app_state()
    if wants_file():
        key = request.args.get("stretch") or None
        return send_tables(weeks_table(see_season_weeks(state.store, key, state.clock())))
    leaf = leaf_through([one.value for one in list_squads(state.store)], SQUADS)
    key = request.args.get("stretch") or None
    page = see_season_weeks(state.store, key, state.clock(), leaf.items)
    rows = Leaf(page.rows, leaf.first, leaf.total, leaf.before, leaf.after)
    return render_template("season/weeks.html", page=page, leaf=rows)
