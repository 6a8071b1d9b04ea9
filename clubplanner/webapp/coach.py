"""A coach's own pages: the sessions of the squads they look after."""

from __future__ import annotations

from flask import Blueprint, render_template

from clubplanner.services.club import club_zone
from clubplanner.services.coach_pages import see_coach
from clubplanner.webapp.security import for_coach, signed_in_person
from clubplanner.webapp.state import app_state

pages = Blueprint("coach", __name__, url_prefix="/coach")


@pages.get("")
@for_coach
def home() -> str:
    """Show the next session and the coming weeks."""
    state = app_state()
    page = see_coach(state.store, signed_in_person(), state.clock())
    return render_template("coach/home.html", page=page, zone=club_zone(state.store))
