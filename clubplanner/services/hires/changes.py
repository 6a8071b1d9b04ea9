"""Changing a hire from a date on: moved, ended, or another name and another person to call."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.hires import HireTimes
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.times.times import TimeRange, minute_from_instant, short_day
from clubplanner.errors import RefusedError
from clubplanner.language import _, ngettext, sentence
from clubplanner.services.evening.later_sessions import (
    LaterSessions,
    foresee_all,
    move_later,
    withdraw_later,
)
from clubplanner.services.hires.hire_rows import (
    dates_of,
    is_live,
    live_after,
    load_hire,
    mark_of,
    refuse_outdated,
)
from clubplanner.services.places.ruling import KEEP_THE_RULES, Overruling
from clubplanner.services.rows.bookings.booking_rows import load_area, note_change
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change, explain_change

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.store.engine import Store
    from clubplanner.store.tables.booking_tables import BookingRow
    from clubplanner.store.tables.ground_tables import AreaRow
    from clubplanner.store.tables.hire_tables import HireRow

A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class HireMove:
    """Where and when a hire is to be from a date on.

    Attributes:
        from_on: Its dates from this one on.
        area_id: The ground.
        weekday: 0 is Monday; each date goes to that day of its week.
        start_min: Minute of the local day at which they begin.
        end_min: Minute at which they are over; more than 1440 after midnight.
    """

    from_on: date
    area_id: int
    weekday: int
    start_min: int
    end_min: int


@dataclass(frozen=True, slots=True)
class ForeseenHireMove:
    """A move of a hire before it is made.

    Attributes:
        name: The hirer.
        mark: The hire as it is now.
        later: What becomes of its dates.
        overrulable: How many that stay could go if the rules were overruled.
        apart: Dates that were put elsewhere by hand, and stay there; short.
    """

    name: str
    mark: str
    later: LaterSessions
    overrulable: int
    apart: tuple[str, ...]


def foresee_hire_move(store: Store, number: int, move: HireMove, now: datetime) -> ForeseenHireMove:
    """Say which dates of a hire can go, and what keeps the others; nothing is changed.

    Raises:
        MissingError: If hire or area is gone.
        RefusedError: If it cannot be at all.
    """
    with store.read() as session:
        row = load_hire(session, number)
        zone = load_zone(session)
        area = load_area(session, move.area_id)
        later, was, during, apart = _what_moves(row, move, now, zone)
        can = foresee_all(session, later, was, area, during, KEEP_THE_RULES, zone)
        could = foresee_all(session, later, was, area, during, Overruling("·", None), zone)
        if can is None or could is None:
            raise RefusedError(_("Nothing of this hire is still to come."))
        return ForeseenHireMove(row.name, mark_of(row), can, could.count - can.count, apart)


def move_hire(
    store: Store, number: int, mark: str, move: HireMove, now: datetime, because: str = ""
) -> str:
    """Move the dates of a hire from one on, as far as no rule stands in the way.

    Args:
        store: The database.
        number: The hire's.
        mark: The hire as the person saw it.
        move: Where and when it is to be.
        now: The present instant.
        because: Why rules are overruled; blank for not. Held ground never is.

    Returns:
        What was done, a sentence.

    Raises:
        MissingError: If hire or area is gone.
        OutdatedError: If the hire was changed since.
        RefusedError: If none of its dates can go there.
    """
    overruling = Overruling(because.strip(), None) if because.strip() else KEEP_THE_RULES
    with store.write() as session:
        row = load_hire(session, number)
        refuse_outdated(row, mark)
        zone = load_zone(session)
        area = load_area(session, move.area_id)
        later, was, during, _apart = _what_moves(row, move, now, zone)
        done = move_later(session, later, was, area, during, overruling, now, zone)
        if done is None or not done.count:
            why = done.stays[0].why if done else ""
            raise RefusedError(_("No date can go there. %(why)s", why=why).strip())
        _shift_dates(row, move, later, area, zone)
        row.area_id, row.start_min, row.end_min = area.id, move.start_min, move.end_min
        words = _moved_words(row.name, done)
        describe_change(session, words)
        return f"{sentence(words)}."


def end_hire(
    store: Store, number: int, mark: str, last_on: date | None, now: datetime, why: str = ""
) -> str:
    """End a hire after a date: later ones are given back, those that are over stay.

    Args:
        store: The database.
        number: The hire's.
        mark: The hire as the person saw it.
        last_on: Its last date; None for no more of it at all.
        now: The present instant.
        why: For whoever looks at a board or calendar; may be blank.

    Returns:
        What was done, a sentence.

    Raises:
        MissingError: If there is no such hire.
        OutdatedError: If the hire was changed since.
        RefusedError: If it ends by then anyway.
    """
    with store.write() as session:
        row = load_hire(session, number)
        refuse_outdated(row, mark)
        zone = load_zone(session)
        today = now.astimezone(zone).date()
        running = {one.id for one in dates_of(row) if one.booking and one.booking.starts_at <= now}
        gone = [
            one
            for one in dates_of(row)
            if one.id not in running
            and (one.day >= today if last_on is None else one.day > max(last_on, today - A_DAY))
        ]
        if not gone:
            raise RefusedError(_("This hire has no date after that; choose an earlier one."))
        live = [one.booking for one in gone if one.booking is not None and is_live(one)]
        withdraw_later(live, now, zone)
        for one in gone:
            one.is_ended = True
        if not dates_of(row):
            row.withdrawn_at = now
        words = ngettext(
            "hire of %(name)s ended: %(num)s date given back",
            "hire of %(name)s ended: %(num)s dates given back",
            len(live),
            name=row.name,
        )
        describe_change(session, words)
        explain_change(session, Reason(Cause.SAID, why))
        return f"{sentence(words)}."


def rename_hire(
    store: Store,
    number: int,
    mark: str,
    name: str,
    contact: str,
    phone: str,
    note: str,
    now: datetime,
) -> str:
    """Correct who takes the ground, whom to call and the note; bookings to come follow.

    Raises:
        MissingError: If there is no such hire.
        OutdatedError: If the hire was changed since.
        RefusedError: If the name is missing.
    """
    if not name.strip():
        raise RefusedError(_("Enter who takes the ground."))
    with store.write() as session:
        row = load_hire(session, number)
        refuse_outdated(row, mark)
        row.name, row.contact, row.phone, row.note = name.strip(), contact, phone, note
        for booking in live_after(row, now):
            if (booking.written_holder, booking.note) != (row.name, note):
                booking.written_holder, booking.note = row.name, note
                note_change(booking, now)
        words = _("hire of %(name)s: who it is and whom to call", name=row.name)
        describe_change(session, words)
        return _("Kept: %(name)s.", name=row.name)


def _what_moves(
    row: HireRow, move: HireMove, now: datetime, zone: ZoneInfo
) -> tuple[list[BookingRow], TimeRange, TimeRange, tuple[str, ...]]:
    """Return the bookings that go, the first as it was and as it is to be, and those apart.

    Raises:
        RefusedError: If none goes anywhere.
    """
    there: list[tuple[date, BookingRow]] = []
    apart: list[str] = []
    for one in dates_of(row):
        booking = one.booking
        if booking is None or not is_live(one) or booking.starts_at <= now:
            continue
        if one.day >= move.from_on:
            if is_usual(row, one.day, booking, zone):
                there.append((one.day, booking))
            else:
                apart.append(short_day(booking.starts_at.astimezone(zone).date()))
    to = HireTimes(move.from_on, move.from_on, 1, move.start_min, move.end_min)
    there = [
        (day, booking)
        for day, booking in there
        if (new := to.during(_in_week(day, move.weekday), zone)) and new.starts_at > now
    ]
    if not there:
        raise RefusedError(_("No date of this hire is still to come from then on."))
    day, first = there[0]
    during = to.during(_in_week(day, move.weekday), zone)
    is_same = (row.area_id, row.start_min, row.end_min) == (
        move.area_id,
        move.start_min,
        move.end_min,
    )
    if during is None or (is_same and day.weekday() == move.weekday):
        raise RefusedError(_("It is there already. Choose another part, weekday or time."))
    was = TimeRange(first.starts_at, first.ends_at)
    return [booking for _day, booking in there], was, during, tuple(apart)


def is_usual(row: HireRow, day: date, booking: BookingRow, zone: ZoneInfo) -> bool:
    """Tell whether a booking is where the hire is as a rule, and not put elsewhere by hand."""
    start = minute_from_instant(booking.starts_at, day, zone)
    return booking.area_id == row.area_id and start == row.start_min


def dates_apart(row: HireRow, zone: ZoneInfo) -> list[tuple[date, BookingRow]]:
    """Return the dates of a hire that stand elsewhere than it is as a rule.

    Returns:
        The local date on which each is now, and its booking.
    """
    return [
        (one.booking.starts_at.astimezone(zone).date(), one.booking)
        for one in dates_of(row)
        if one.booking is not None
        and is_live(one)
        and not is_usual(row, one.day, one.booking, zone)
    ]


def _in_week(day: date, weekday: int) -> date:
    """Return the date of a weekday in the same week, Monday to Sunday."""
    return day + timedelta(days=weekday - day.weekday())


def _shift_dates(
    row: HireRow, move: HireMove, later: Sequence[BookingRow], area: AreaRow, zone: ZoneInfo
) -> None:
    """Let the dates of what went, and those left out, follow to the new weekday."""
    moving = {booking.id for booking in later}
    for one in dates_of(row):
        if one.day < move.from_on or (one.booking is not None and one.booking.id not in moving):
            continue
        to = _in_week(one.day, move.weekday)
        if one.booking is None:
            one.day = to
            continue
        start = minute_from_instant(one.booking.starts_at, to, zone)
        if one.booking.area_id == area.id and start == move.start_min:
            one.day = to


def _moved_words(name: str, done: LaterSessions) -> str:
    words = ngettext(
        "hire of %(name)s: %(num)s date moved",
        "hire of %(name)s: %(num)s dates moved",
        done.count,
        name=name,
    )
    stays = [
        _("%(day)s stays: %(why)s", day=one.day, why=one.why.rstrip(".")) for one in done.stays
    ]
    return "; ".join((words, *stays))
