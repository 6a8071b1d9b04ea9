"""Bookings: who has which ground; put there, moved and given back by the pages' own services."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.domain.problems import Problem
from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.evening.bookings import add_booking, move_booking, withdraw_booking
from clubplanner.services.evening.fixed_sessions import fix_booking
from clubplanner.services.evening.whole_bookings import Wanted, list_bookings, see_whole_booking
from clubplanner.services.giving.head_counts import say_head_count
from clubplanner.services.giving.requests import hand_back
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.services.rows.club.club import club_zone
from clubplanner.webapp.api.frame.cursors import read_cursor, write_cursor
from clubplanner.webapp.api.frame.operations import Done, done, operation
from clubplanner.webapp.api.sessions.booking_values import (
    BookingLeaf,
    BookingMove,
    BookingQuery,
    BookingValue,
    BookingWritten,
    FixWritten,
    HeadCount,
    WithdrawQuery,
    booking_line,
    booking_value,
)
from clubplanner.webapp.api.shared.ground_at import area_at, during_at, overruling_of, squad_at
from clubplanner.webapp.base.security import (
    for_coach,
    for_secretary,
    for_signed_in,
    for_squads,
    signed_in_person,
)
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import datetime

    from clubplanner.domain.club.people import Person
    from clubplanner.domain.times.times import TimeRange

USUAL = timedelta(days=7)
MOST = timedelta(days=400)


@operation("GET", "/bookings", answer=BookingLeaf, query=BookingQuery)
@for_signed_in
def list_booked(query: BookingQuery) -> BookingLeaf:
    """List bookings that stand, by start.

    A coach's token lists those of their own squads; who has which ground is no secret to others.
    """
    state = app_state()
    person = signed_in_person()
    after = read_cursor(query.cursor, (int, int))
    wanted = Wanted(
        _range(query, state.clock()),
        None if query.purpose is None else Purpose(query.purpose),
        query.pitch,
        _asked_squads(person, query.squad),
        None if after is None else (int(after[0]), int(after[1])),
        query.limit + 1,
    )
    found = list_bookings(state.store, wanted)
    leaf, zone = found[: query.limit], club_zone(state.store)
    last = leaf[-1] if len(found) > len(leaf) else None
    return BookingLeaf(
        items=[booking_line(one, zone, with_note=_may_read(person, one.squad_key)) for one in leaf],
        next=None
        if last is None
        else write_cursor((int(last.during.starts_at.timestamp()), last.number)),
    )


@operation("GET", "/bookings/<int:number>", answer=BookingValue)
@for_signed_in
def see_booked(number: int) -> BookingValue:
    """Show one booking, withdrawn or not, and what is true of it."""
    state = app_state()
    person = signed_in_person()
    whole = see_whole_booking(state.store, number, _own_squads(person))
    with_note = _may_read(person, whole.booking.squad_key)
    return booking_value(whole, club_zone(state.store), with_note=with_note)


@operation("POST", "/bookings", answer=BookingValue, status=201, takes=BookingWritten)
@for_squads
def book(body: BookingWritten) -> Done:
    """Book ground, where no rule stands in the way or those that do are overruled.

    A `clash` says who holds the ground and what is free; `hindered` names the rules.
    """
    state = app_state()
    if body.squad is None and not body.holder.strip():
        words = _("Choose a squad, or enter who it is for (or why it is closed).")
        raise FaultyInputError([Problem("/holder", "missing", words)])
    wish = BookingWish(
        area_at(body.place),
        during_at(body.starts_at, body.ends_at),
        Purpose(body.purpose),
        None if body.squad is None else squad_at(body.squad),
        body.holder.strip(),
        body.note.strip(),
        is_fixed=True,
    )
    made = add_booking(state.store, wish, state.clock(), overruling_of(body.although))
    return done(see_booked, number=made.number)


@operation("PATCH", "/bookings/<int:number>", answer=BookingValue, takes=BookingMove)
@for_squads
def move_booked(number: int, body: BookingMove, present: BookingValue) -> Done:
    """Move a booking; what the body leaves out stays.

    Where only `starts_at` is given it keeps its length.
    """
    state = app_state()
    starts_at = body.starts_at or present.starts_at
    ends_at = body.ends_at or starts_at + (present.ends_at - present.starts_at)
    moved = move_booking(
        state.store,
        number,
        int(present.stand),
        area_at(body.place or present.place),
        during_at(starts_at, ends_at),
        state.clock(),
        overruling_of(body.although),
        why=body.why.strip(),
    )
    return done(see_booked, number=moved.number)


@operation("DELETE", "/bookings/<int:number>", answer=BookingValue, query=WithdrawQuery)
@for_coach
def withdraw_booked(number: int, query: WithdrawQuery, present: BookingValue) -> Done:
    """Give a booking's ground back; it stays in calendars, marked, until its day is over.

    A coach hands back a session of their own, as on their page: whoever waits is served.
    """
    state = app_state()
    person = signed_in_person()
    stand, now, why = int(present.stand), state.clock(), query.why.strip()
    if person.role is Role.COACH:
        hand_back(state.store, person, number, stand, now, why=why)
    else:
        withdraw_booking(state.store, number, stand, now, why=why, and_later=query.and_later)
    return done(see_booked, number=number)


@operation(
    "POST", "/bookings/<int:number>/fix", answer=BookingValue, takes=FixWritten, of=see_booked
)
@for_secretary
def fix_booked(number: int, body: FixWritten, present: BookingValue) -> Done:
    """Let share-outs leave a squad's session where it is, or move it again."""
    state = app_state()
    stand = int(present.stand)
    fix_booking(state.store, number, stand, state.clock(), is_fixed=body.is_fixed)
    return done(see_booked, number=number)


@operation("POST", "/bookings/<int:number>/head-count", answer=BookingValue, takes=HeadCount)
@for_coach
def count_heads(number: int, body: HeadCount) -> Done:
    """Say with how many a squad comes to a session of one's own."""
    state = app_state()
    person, now = signed_in_person(), state.clock()
    say_head_count(state.store, person, number, body.players, body.goalkeepers, now)
    return done(see_booked, number=number)


def _range(query: BookingQuery, now: datetime) -> TimeRange:
    since = query.since or now
    until = query.until or since + USUAL
    if until - since > MOST:
        words = _("Ask for at most %(days)s days at once.", days=MOST.days)
        raise FaultyInputError([Problem("until", "range", words)])
    return during_at(since, until, "until")


def _own_squads(person: Person) -> Collection[str] | None:
    return person.squad_keys if person.role is Role.COACH else None


def _asked_squads(person: Person, squad: str) -> Collection[str] | None:
    own = _own_squads(person)
    if not squad:
        return own
    return {squad} if own is None else {squad} & set(own)


def _may_read(person: Person, squad: str | None) -> bool:
    """Tell whether remarks about a booking are for somebody: of their squads, or of all ground."""
    return person.role is Role.GROUNDSKEEPER or person.looks_after(squad)
