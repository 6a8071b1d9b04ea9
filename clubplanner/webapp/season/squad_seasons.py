"""One squad's season: on a page, as a file, on a sheet; for its coaches and the secretary."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import make_response, render_template

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.season.squads.season import (
    SquadSeasonPage,
    print_season,
    season_table,
    see_squad_season,
)
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_coach, signed_in_person
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

SESSIONS = 60
"""Rows of one leaf."""


@pages.get("/squads/<key>")
@for_coach
def squad_sessions(key: str) -> str | BaseResponse:
    """Show all sessions of a squad in the season."""
    page = _page(key)
    if wants_file():
        return send_tables(season_table(page))
    return render_template("season/squad.html", page=page, leaf=leaf_through(page.rows, SESSIONS))


@pages.get("/squads/<key>/season.pdf")
@for_coach
def squad_sheet(key: str) -> BaseResponse:
    """Send a squad's season as one sheet of A4."""
    state = app_state()
    response = make_response(print_season(_page(key), club_zone(state.store), state.clock()))
    response.headers["Content-Type"] = "application/pdf"
    response.headers["Content-Disposition"] = f'inline; filename="{key}.pdf"'
    return response


def _page(key: str) -> SquadSeasonPage:
    """Return a squad's season; to a coach others' squads are not there."""
    state = app_state()
    person = signed_in_person()
    if not person.looks_after(key):
        raise MissingError(_("There is no such squad; choose one from the list."))
    return see_squad_season(state.store, key, state.clock())
