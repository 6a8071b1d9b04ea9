"""Changing a match, calling it off, and bringing back who made way for ground that it gave back.

A match that is moved keeps its booking: where the same ground is free then, it goes along; else it
gives the ground back and waits for other ground. So the squad's calendar moves one entry.

Ground that is free again is offered to those who made way before whoever waits for ground gets it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import or_, select

from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import clock_in_zone
from clubplanner.errors import FaultyInputError, RefusedError
from clubplanner.language import _
from clubplanner.services.evening.matches.booking import (
    MatchLine,
    match_line,
    match_note,
    take_ground,
)
from clubplanner.services.evening.matches.fixture_rows import (
    find_fixture,
    fixture_from_row,
    has_ground,
    load_fixture,
    read_change,
    write_change,
)
from clubplanner.services.evening.matches.options import match_options
from clubplanner.services.giving.waiting_list import serve_waiting
from clubplanner.services.places.coming_back import (
    Return,
    bring_back_ticked,
    can_come,
    count_words,
    foresee_returns,
)
from clubplanner.services.rows.bookings.booking_rows import note_change
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import booking_from_row, load_zone
from clubplanner.store.journal.journal import describe_change, explain_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import FixtureRow

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.fixtures import Fixture
    from clubplanner.inputs.club_files.fixtures import FixtureLine
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class MadeWay:
    """Who made way for a match that holds that ground no longer.

    Attributes:
        line: The match.
        is_called_off: Whether it is not played at all.
        returns: The sessions that are not back, by the start they had.
    """

    line: MatchLine
    is_called_off: bool
    returns: tuple[Return, ...]

    @property
    def can_bring_back(self) -> bool:
        """Whether anybody could come back."""
        return can_come(self.returns)

    @property
    def count(self) -> int:
        """How many could come back."""
        return sum(one.can for one in self.returns)


def change_match(store: Store, number: int, line: FixtureLine, now: datetime) -> str:
    """Change a match; its squad stays.

    Where its ground and time stay what they were, it keeps them. Else it goes along on the same
    ground where that is free, and gives it back where it is not.

    Args:
        store: The database.
        number: The fixture's number.
        line: What it is to be, all of it; `squad` and `row` are not read, and None for warm-up and
            the time after leaves these as they are.
        now: The present instant.

    Returns:
        What was done, a sentence or two.

    Raises:
        FaultyInputError: With what is wrong; each problem's place is a form's field.
        MissingError: If there is no such match, or its form is not known any more.
        RefusedError: If it has begun.
    """
    with store.write() as session:
        row = load_fixture(session, number)
        before = fixture_from_row(row)
        fixture = read_change(session, row, _completed(line, before))
        zone = load_zone(session)
        if fixture.day != before.day and fixture.day < now.astimezone(zone).date():
            raise FaultyInputError(
                [Problem("date", "past", _("This date has passed; enter a later one."))]
            )
        booking = row.booking if has_ground(row) else None
        if booking is not None and booking.starts_at <= now and _use(before) != _use(fixture):
            raise RefusedError(_("This match has begun; nothing of it can be changed any more."))
        write_change(row, fixture)
        done = _("changed") if booking is None else _settle(session, row, before, now)
        words = f"{_name(row)}, {match_line(row).when}: {done}"
        describe_change(session, words)
    return " ".join((f"{words}.", *_serve_others(store, number, now)))


def call_off(store: Store, number: int, now: datetime) -> str:
    """Call a match off; its ground is given back.

    Returns:
        What was done, a sentence or more.

    Raises:
        MissingError: If there is no such match.
    """
    with store.write() as session:
        row = load_fixture(session, number)
        row.withdrawn_at = now
        words = _(
            "%(squad)s v %(opponent)s called off", squad=row.squad.name, opponent=row.opponent
        )
        if row.booking is not None and has_ground(row) and row.booking.ends_at > now:
            row.booking.is_withdrawn = True
            note_change(row.booking, now)
            describe_change(session, words)
            explain_change(session, Reason(Cause.SAID, _("called off")))
    return " ".join((f"{words}.", *_serve_others(store, number, now)))


def see_made_way(store: Store, number: int, now: datetime) -> MadeWay:
    """Show who made way for a match, also one called off, and could come back; changes nothing.

    Raises:
        MissingError: If there is no such match.
    """
    with store.read() as session:
        return _made_way(session, find_fixture(session, number), now)


def bring_back_for(store: Store, number: int, now: datetime, back: Mapping[int, int]) -> str:
    """Bring sessions back to ground that a match gave back.

    Args:
        store: The database.
        number: The fixture's number.
        now: The present instant.
        back: Of those `see_made_way` lists: booking number → the change shown.

    Returns:
        What was done, a sentence or more.

    Raises:
        HinderedError: If a rule keeps one of them away; nothing is changed.
        MissingError: If there is no such match.
        OutdatedError: If one of them cannot come back any more; nothing is changed.
        RefusedError: If nobody is named.
    """
    with store.write() as session:
        row = find_fixture(session, number)
        came = bring_back_ticked(session, _held(row), back, now)
        words = count_words(came)
        describe_change(session, f"{_name(row)}: {words.rstrip('.')}")
    return " ".join((words, *_serve_others(store, number, now)))


def matches_to_finish(store: Store, now: datetime) -> tuple[MadeWay, ...]:
    """Return the matches that gave ground back to which somebody could come back, by date."""
    with store.read() as session:
        today = now.astimezone(load_zone(session)).date()
        rows = session.scalars(
            select(FixtureRow)
            .join(BookingRow, BookingRow.id == FixtureRow.booking_id)
            .where(
                or_(BookingRow.is_withdrawn, BookingRow.sequence > 0),
                FixtureRow.day >= today,
                *own_squads(session, FixtureRow.squad_id),
            )
            .order_by(FixtureRow.day, FixtureRow.id)
        )
        found = (_made_way(session, row, now) for row in rows)
        return tuple(one for one in found if one.can_bring_back)


def _serve_others(store: Store, number: int, now: datetime) -> tuple[str, ...]:
    """Serve whoever waits for ground, once nobody could come back who made way for a match."""
    if see_made_way(store, number, now).can_bring_back:
        return ()
    return serve_waiting(store, now)


def _completed(line: FixtureLine, before: Fixture) -> FixtureLine:
    warm_up, after = line.warm_up_minutes, line.after_minutes
    return replace(
        line,
        warm_up_minutes=before.warm_up_minutes if warm_up is None else warm_up,
        after_minutes=before.after_minutes if after is None else after,
        pitch_name=line.pitch_name or before.pitch_name,
    )


def _use(fixture: Fixture) -> tuple[object, ...]:
    """Return what of a match decides which ground it can have, and when."""
    window = fixture.day, fixture.kick_off_from, fixture.kick_off_to
    times = fixture.minutes, fixture.warm_up_minutes, fixture.after_minutes
    return *window, *times, fixture.format_code


def _settle(session: Session, row: FixtureRow, before: Fixture, now: datetime) -> str:
    """Settle the ground of a match that has been changed; return what became of it."""
    fixture, booking = fixture_from_row(row), row.booking
    if booking is None:
        raise ValueError("A match without ground has none to settle.")
    zone = load_zone(session)
    kick_off = clock_in_zone(booking.starts_at + timedelta(minutes=before.warm_up_minutes), zone)
    if _use(before) == _use(fixture):
        note = match_note(row, kick_off)
        if note != booking.note:
            booking.note = note
            note_change(booking, now)
        return _("changed, on the same ground")
    booking.is_withdrawn = True
    session.flush()
    free = (one for one in match_options(session, fixture) if not one.displaces)
    same = next((one for one in free if one.area_id == booking.area_id), None)
    if same is not None:
        take_ground(session, row, same, now)
        return _("kick-off %(kick_off)s, on the same ground", kick_off=same.kick_off)
    note_change(booking, now)
    explain_change(session, Reason(Cause.SAID, _("moved to %(when)s", when=match_line(row).when)))
    return _("its ground was given back, choose ground for it")


def _name(row: FixtureRow) -> str:
    return _("%(squad)s v %(opponent)s", squad=row.squad.name, opponent=row.opponent)


def _held(row: FixtureRow) -> set[int]:
    return set() if row.booking_id is None else {row.booking_id}


def _made_way(session: Session, row: FixtureRow, now: datetime) -> MadeWay:
    """Find who made way and is not back; of a match whose day is over nobody is looked for."""
    returns: tuple[Return, ...] = ()
    if row.day >= now.astimezone(load_zone(session)).date():
        has_it = row.booking is not None and has_ground(row)
        taken = [booking_from_row(row.booking)] if row.booking is not None and has_it else []
        returns = foresee_returns(session, _held(row), taken, now)
    return MadeWay(match_line(row), row.withdrawn_at is not None, returns)
