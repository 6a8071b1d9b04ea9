"""The season at a look: weeks × squads."""

from __future__ import annotations

from flask import render_template, request

from clubplanner.services.season.season_weeks import see_season_weeks
from clubplanner.services.showing.choices import list_squads
from clubplanner.webapp.base.leafing import Leaf, leaf_through
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.season.season import pages

SQUADS = 50
"""Rows of one leaf."""


@pages.get("/weeks")
@for_squads
def weeks() -> str:
    """Show a stretch week by week, a row a squad."""
    state = app_state()
    leaf = leaf_through([one.value for one in list_squads(state.store)], SQUADS)
    key = request.args.get("stretch") or None
    page = see_season_weeks(state.store, key, state.clock(), leaf.items)
    rows = Leaf(page.rows, leaf.first, leaf.total, leaf.before, leaf.after)
    return render_template("season/weeks.html", page=page, leaf=rows)
