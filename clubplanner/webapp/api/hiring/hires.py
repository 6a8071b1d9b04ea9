"""Hires, for the office: looked at date by date, booked, moved, ended."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.booked.hires import HireTimes
from clubplanner.services.hires.booking import book_hire, foresee_hire
from clubplanner.services.hires.changes import HireMove, end_hire, move_hire, rename_hire
from clubplanner.services.hires.dates import HireWish
from clubplanner.services.hires.whole_hires import list_whole_hires, see_whole_hire
from clubplanner.webapp.api.frame.cursors import leaf_of
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.frame.values import LeafQuery
from clubplanner.webapp.api.hiring.hire_values import (
    HireChange,
    HireEndWritten,
    HireForeseen,
    HireLeaf,
    HireMoveWritten,
    HireValue,
    HireWritten,
    dates_foreseen,
    hire_value,
    late_minute,
)
from clubplanner.webapp.api.shared.ground_at import area_at
from clubplanner.webapp.api.shared.squad_values import WEEKDAY_WORDS
from clubplanner.webapp.base.security import for_secretary
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from datetime import date


@operation("GET", "/hires", answer=HireLeaf, query=LeafQuery)
@for_secretary
def list_hired(query: LeafQuery) -> HireLeaf:
    """List the hires that stand, by name."""
    found = list_whole_hires(app_state().store)
    leaf, following = leaf_of(found, lambda one: (one.wish.name, one.number), query, (str, int))
    return HireLeaf(items=[hire_value(one) for one in leaf], next=following)


@operation("GET", "/hires/<int:number>", answer=HireValue)
@for_secretary
def see_hired(number: int) -> HireValue:
    """Show one hire with its dates."""
    return hire_value(see_whole_hire(app_state().store, number))


@operation("POST", "/hires/look", answer=HireForeseen, takes=HireWritten, is_once=False)
@for_secretary
def look_at_hire(body: HireWritten) -> HireForeseen:
    """Look at every date of a hire, and say what may be decided; nothing is changed."""
    state = app_state()
    dates = foresee_hire(state.store, _wish(body), state.clock(), _decisions(body))
    return dates_foreseen(dates)


@operation("POST", "/hires", answer=HireValue, status=201, takes=HireWritten)
@for_secretary
def hire_out(body: HireWritten) -> Done:
    """Book a hire: each date where no rule stands in the way, or as it was decided."""
    state = app_state()
    wish, decisions = _wish(body), _decisions(body)
    made = book_hire(state.store, wish, state.clock(), decisions, body.because.strip())
    return done(see_hired, number=made.number)


@operation("PATCH", "/hires/<int:number>", answer=HireValue, takes=HireChange)
@for_secretary
def correct_hire(number: int, body: HireChange, present: HireValue) -> Done:
    """Correct who takes the ground, whom to call and the note; bookings to come follow."""
    state = app_state()
    told = body.model_dump(exclude_none=True)
    name, contact, phone, note = (
        str(told.get(part, getattr(present, part))).strip()
        for part in ("name", "contact", "phone", "note")
    )
    stand = present.stand
    rename_hire(state.store, number, stand, name, contact, phone, note, state.clock())
    return done(see_hired, number=number)


@operation(
    "POST", "/hires/<int:number>/move", answer=HireValue, takes=HireMoveWritten, of=see_hired
)
@for_secretary
def move_hired(number: int, body: HireMoveWritten, present: HireValue) -> Done:
    """Move the dates of a hire from one on, as far as no rule stands in the way."""
    state = app_state()
    move, because = hire_move(body), body.because.strip()
    move_hire(state.store, number, present.stand, move, state.clock(), because)
    return done(see_hired, number=number)


@operation("POST", "/hires/<int:number>/end", answer=HireLeaf, takes=HireEndWritten, of=see_hired)
@for_secretary
def end_hired(number: int, body: HireEndWritten, present: HireValue) -> Done:
    """End a hire after a date: later ones are given back. The answer is the first leaf."""
    state = app_state()
    stand = present.stand
    end_hire(state.store, number, stand, body.last_on, state.clock(), body.why.strip())
    return done(list_hired)


def hire_move(body: HireMoveWritten) -> HireMove:
    """Return where and when a hire shall be, as the services take it.

    Raises:
        FaultyInputError: If there is no such ground.
    """
    return HireMove(
        body.from_on,
        area_at(body.place),
        WEEKDAY_WORDS.index(body.weekday),
        late_minute(body.starts),
        late_minute(body.ends),
    )


def _wish(body: HireWritten) -> HireWish:
    last_on = body.first_on if body.last_on is None else body.last_on
    starts, ends = late_minute(body.starts), late_minute(body.ends)
    times = HireTimes(body.first_on, last_on, body.every_weeks, starts, ends)
    return HireWish(
        body.name.strip(),
        area_at(body.place),
        times,
        body.contact.strip(),
        body.phone.strip(),
        body.note.strip(),
        body.skips_breaks,
    )


def _decisions(body: HireWritten) -> dict[date, str]:
    return {one.day: one.value for one in body.decisions}
