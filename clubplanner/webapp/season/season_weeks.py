"""The season at a look: weeks × squads."""

from __future__ import annotations

from flask import render_template, request

from clubplanner.services.season.season_weeks import see_season_weeks
from clubplanner.webapp.base.leafing import leaf_through
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
    page = see_season_weeks(state.store, request.args.get("stretch") or None, state.clock())
    return render_template("season/weeks.html", page=page, leaf=leaf_through(page.rows, SQUADS))
