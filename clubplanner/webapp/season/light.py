"""Light: a venue date by date, sessions that are in the dark, and moving them out of it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.problems import Problem
from clubplanner.errors import ClashError, MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.season.light.in_the_dark import (
    list_in_the_dark,
    move_out_of_the_dark,
    offer_light,
)
from clubplanner.services.season.light.page import see_light, set_lamp_cost
from clubplanner.services.season.light.tables import light_tables
from clubplanner.services.season.light.year import see_light_year
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.forms import EARLIEST, LATEST, Form
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_grounds, for_secretary
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.base.taking_away import send_tables, wants_file
from clubplanner.webapp.season.season import pages

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from werkzeug.wrappers import Response as BaseResponse

WEEKS = 5
"""Weeks the page shows."""
ENDINGS = 24
"""Sessions that are in the dark on one leaf."""
WEEKS_AHEAD = 26
"""Weeks in which sessions that are in the dark are looked for."""


@pages.get("/light")
@for_grounds
def light() -> str | BaseResponse:
    """Show the light of a venue, and which sessions are in the dark."""
    return _page(())


@pages.post("/light/move")
@for_secretary
def move_into_light() -> str | BaseResponse:
    """Move sessions to ground and a time at which they end in the light."""
    state = app_state()
    numbers = [
        int(n) for n in request.form.get("numbers", "").split(",") if n.isdecimal() and len(n) < 10
    ]
    area, _unused, minute = request.form.get("offer", "").partition("-")
    problems: list[Problem] = []
    if (
        not numbers
        or not area.isdecimal()
        or not minute.isdecimal()
        or len(minute) > 4
        or len(area) > 9
    ):
        problems.append(Problem("offer", "missing", _("Choose where these sessions go.")))
    else:
        try:
            flash(move_out_of_the_dark(state.store, numbers, int(area), int(minute), state.clock()))
            return redirect(url_for("season.light"))
        except (ClashError, MissingError, RefusedError) as fault:
            problems.append(Problem("offer", "refused", str(fault)))
    return make_response(_page(problems), 422)


@pages.post("/light/cost")
@for_secretary
def lamp_cost() -> str | BaseResponse:
    """Say what an hour of floodlights costs."""
    form = Form(request.form)
    venue = request.args.get("venue", "")
    try:
        flash(set_lamp_cost(app_state().store, venue, form.text("per_hour", 12)))
        return redirect(url_for("season.light", venue=venue))
    except RefusedError as fault:
        form.fault("per_hour", str(fault))
    return make_response(_page(form.problems, form.values), 422)


def _page(
    problems: Sequence[Problem], values: Mapping[str, str] | None = None
) -> str | BaseResponse:
    state = app_state()
    today = state.today(club_zone(state.store))
    chosen = asked_day("from", LATEST - timedelta(weeks=WEEKS))
    first = chosen or today
    page = see_light(
        state.store, request.args.get("venue"), first, first + timedelta(days=7 * WEEKS - 1)
    )
    venue = page.venue.value

    def address_of(day: date) -> str:
        query: dict[str, Any] = {"venue": venue, "from": day.isoformat()}
        return url_for("season.light", _anchor="dates", **query)

    year = see_light_year(state.store, venue, first, state.clock(), address_of)
    endings = list_in_the_dark(
        state.store, today, today + timedelta(weeks=WEEKS_AHEAD), state.clock(), venue
    )
    if request.method == "GET" and wants_file():
        return send_tables(*light_tables(page, year, endings))
    most = ENDINGS if request.method == "GET" else max(1, len(endings))  # no leaf of what was sent
    leaf = leaf_through(endings, most, "ending")
    return render_template(
        "season/light.html",
        page=page,
        year=year,
        endings=replace(leaf, items=offer_light(state.store, leaf.items, state.clock(), venue)),
        chosen=chosen,
        before=max(EARLIEST, first - timedelta(weeks=WEEKS)),
        after=first + timedelta(weeks=WEEKS),
        problems=problems,
        values=values or {},
    )
