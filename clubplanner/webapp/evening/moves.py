"""Moving a booking by looking: choose a place, see who is affected, confirm."""

from __future__ import annotations

from typing import TYPE_CHECKING

from flask import flash, make_response, redirect, render_template, request, url_for

from clubplanner.domain.times.times import minute_from_clock
from clubplanner.errors import ClashError, HinderedError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.evening.bookings import see_booking
from clubplanner.services.evening.moves import (
    foresee_move,
    move_with_others,
    pitch_of_booking,
    see_moves,
)
from clubplanner.services.showing.choosing.choices import list_pitches
from clubplanner.webapp.base.asked_days import asked_day
from clubplanner.webapp.base.forms import LONGEST_REASON, Form, read_overruling
from clubplanner.webapp.base.leafing import leaf_through
from clubplanner.webapp.base.security import for_squads
from clubplanner.webapp.base.state import app_state
from clubplanner.webapp.evening.closures import read_decisions
from clubplanner.webapp.evening.desk import pages

MOST_PITCHES = 20
"""On one leaf."""

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import date

    from werkzeug.wrappers import Response as BaseResponse


@pages.get("/bookings/<int:number>/places")
@for_squads
def places(number: int) -> str:
    """Show every place a booking could go at a time."""
    return _places_page(number, Form({}))


@pages.get("/bookings/<int:number>/places/look")
@for_squads
def look_at_move(number: int) -> str | BaseResponse:
    """Show who would be affected; nothing is changed."""
    form = Form(request.args)
    area_id = form.number("area", _("Choose the ground."))
    if area_id is not None:
        try:
            return _look_page(number, area_id, form)
        except (ClashError, RefusedError) as fault:
            form.fault("area", str(fault))
    return make_response(_places_page(number, form), 422)


@pages.post("/bookings/<int:number>/places")
@for_squads
def move_there(number: int) -> str | BaseResponse:
    """Move the booking, and settle whoever has to go as it was decided."""
    state = app_state()
    form = Form(request.form)
    area_id = form.number("area", _("Choose the ground."))
    sequence = form.number("sequence", _("Open the booking again and repeat the change."))
    if area_id is None or sequence is None:
        return make_response(_places_page(number, form), 422)
    overruling = read_overruling(form, request.form)
    why = form.text("why", LONGEST_REASON)
    day = form.day("date") if form.text("date") else None
    start = form.minute("from") if form.text("from") else None
    if form.problems:
        return make_response(_look_page(number, area_id, form), 422)
    decisions = read_decisions(request.form)
    try:
        words = move_with_others(
            state.store,
            number,
            sequence,
            area_id,
            day,
            start,
            decisions,
            state.clock(),
            overruling,
            why=why,
            and_later="later" in request.form,
        )
    except HinderedError as fault:
        if fault.advice:  # it is one of the others that cannot go where it was put
            form.fault("area", str(fault))
        else:
            form.hinder(fault)
        return make_response(_look_page(number, area_id, form, decisions), 422)
    except (ClashError, OutdatedError, RefusedError) as fault:
        form.fault("area", str(fault))
        try:
            return make_response(_look_page(number, area_id, form, decisions), 409)
        except (ClashError, RefusedError):
            return make_response(_places_page(number, form), 409)
    flash(words)
    shown = see_booking(state.store, number)
    return redirect(url_for("desk.evening", venue=shown.venue_key, date=shown.day, at=shown.starts))


def _places_page(number: int, form: Form) -> str:
    store = app_state().store
    keys = list_pitches(store)
    own = pitch_of_booking(store, number)
    start = keys.index(own) if "pitch" not in request.args and own in keys else None
    leaf = leaf_through(keys, MOST_PITCHES, "pitch", start=start)  # first where it is now
    typed: dict[str, str] = {}
    try:
        page = see_moves(store, number, *_when(), leaf.items)
    except RefusedError as fault:  # no place is there at a time that does not come
        page = see_moves(store, number, None, None, leaf.items)
        typed = request.values.to_dict()
        if not form.problems:
            form.fault("area", str(fault))
    moment = {"date": str(page.day), "from": page.starts, **typed}
    return render_template(
        "evening/places.html", page=page, leaf=leaf, moment=moment, problems=form.problems
    )


def _look_page(
    number: int, area_id: int, form: Form, decisions: Mapping[int, str] | None = None
) -> str:
    """Show who is affected and which rules stand in the way, with what was chosen so far."""
    state = app_state()
    foreseen = foresee_move(state.store, number, area_id, *_when(), state.clock())
    return render_template(
        "evening/move.html",
        foreseen=foreseen,
        displaced=[one.choosing((decisions or {}).get(one.number)) for one in foreseen.displaced],
        and_later="later" in request.form,
        values=form.values,
        problems=form.problems,
    )


def _when() -> tuple[date | None, int | None]:
    """Read date and start to look at; what cannot be read is the booking's own."""
    start: int | None
    try:
        start = minute_from_clock(request.values.get("from", ""))
    except ValueError:
        start = None
    return asked_day(), start
