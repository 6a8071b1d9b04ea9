"""What is booked from one date to another, as a list that can be taken away."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

from flask import render_template, request

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.problems import Problem
from clubplanner.language import _, sentence, term
from clubplanner.services.evening.booked import BookedWish, booked_table, count_booked, list_booked
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.showing.choosing.choices import Choice, list_squads, venues_with_pitches
from clubplanner.webapp.base.forms import EARLIEST, LATEST
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_ground_seen
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_ground, wants_file
from clubplanner.webapp.evening.desk import pages

if TYPE_CHECKING:
    from werkzeug.wrappers import Response as BaseResponse

LINES = 20
"""Bookings of one leaf: four screens of a phone."""
USUAL_DAYS = 28
"""How many dates are shown where nobody chose any."""


@pages.get("/bookings")
@for_ground_seen
def booked() -> str | BaseResponse:
    """List what is booked on some dates, of a venue, a squad, for a purpose."""
    state = app_state()
    today = state.today(club_zone(state.store))
    squads, venues = list_squads(state.store), venues_with_pitches(state.store)
    problems: list[Problem] = []
    wish = _read_wish(today, problems)
    names = {one.value: one.words for one in squads}
    name = names.get(wish.squad_key, "")
    if wants_file(has_ground=True):
        found = list_booked(state.store, wish, name)
        return send_ground(*booked_table(_("Bookings"), found))
    count, hours = count_booked(state.store, wish)
    leaf = leaf_through(range(count), LINES, "line")
    found = list_booked(state.store, wish, name, skip=leaf.first - 1, most=LINES)
    return render_template(
        "evening/booked.html",
        found=found,
        leaf=leaf,
        hours=hours,
        venues=venues,
        squads=squads,
        purposes=[Choice(one.value, sentence(term(one.value))) for one in Purpose],
        values={
            "first": found.wish.first.isoformat(),
            "last": found.wish.last.isoformat(),
            **request.args.to_dict(),
        },
        problems=problems,
    )


def _read_wish(today: date, problems: list[Problem]) -> BookedWish:
    first = _day("first", today, problems)
    last = _day("last", first + timedelta(days=USUAL_DAYS - 1), problems)
    if last < first:
        text = _("The last date must not lie before the first.")
        problems.append(Problem("last", "form", text))
        last = first
    purposes = {one.value: one for one in Purpose}
    return BookedWish(
        first,
        last,
        request.args.get("venue", ""),
        request.args.get("squad", ""),
        purposes.get(request.args.get("for", "")),
    )


def _day(name: str, usual: date, problems: list[Problem]) -> date:
    """Return the date of a field; what cannot be read is told, and the usual one shown."""
    text = request.args.get(name, "").strip()
    if not text:
        return usual
    try:
        day = date.fromisoformat(text)
    except ValueError:
        day = None
    if day is None or not EARLIEST <= day <= LATEST - timedelta(days=500):
        message = _("Enter the date as year-month-day, like 2026-11-25.")
        problems.append(Problem(name, "form", message))
        return usual
    return day
