"""Booking a hire: every date that can be, by one press and as one change of the journal."""

from __future__ import annotations

import uuid
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.hires import DAYS_A_WEEK
from clubplanner.domain.times.times import short_day
from clubplanner.errors import OutdatedError, RefusedError
from clubplanner.language import _, ngettext
from clubplanner.services.hires.dates import HireDate, HireWish, Looking
from clubplanner.services.hires.hire_rows import (
    days_left_out,
    last_day,
    load_hire,
    mark_of,
    refuse_outdated,
    refuse_wrong,
    rows_of_days,
    wish_of,
)
from clubplanner.services.rows.bookings.booking_rows import flush, load_area
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.journal.journal import describe_change
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.hire_tables import HireDateRow, HireRow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.times.times import TimeRange
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.ground_tables import AreaRow

MOST_TOLD = 8
"""Dates left out that are named."""


@dataclass(frozen=True, slots=True)
class HireDone:
    """What became of a hire.

    Attributes:
        number: The hire's number.
        booked: How many dates are booked.
        left_out: How many are not.
        words: The same as a sentence.
    """

    number: int
    booked: int
    left_out: int
    words: str


@dataclass(frozen=True, slots=True)
class MoreDates:
    """Further dates of a hire before they are booked.

    Attributes:
        number: The hire's number.
        name: The hirer.
        mark: The hire as it is now.
        dates: Each with what may be decided.
    """

    number: int
    name: str
    mark: str
    dates: tuple[HireDate, ...]


def foresee_hire(
    store: Store, wish: HireWish, now: datetime, decisions: Mapping[date, str] | None = None
) -> tuple[HireDate, ...]:
    """Look at every date of a hire; nothing is changed.

    Raises:
        MissingError: If the area is gone.
        RefusedError: If it cannot be at all.
    """
    refuse_wrong(wish)
    with store.read() as session:
        days = wish.times.dates
        return Looking(session, days[0], days[-1], now).dates(wish, days, decisions)


def book_hire(
    store: Store,
    wish: HireWish,
    now: datetime,
    decisions: Mapping[date, str] | None = None,
    because: str = "",
) -> HireDone:
    """Book a hire.

    Args:
        store: The database.
        wish: What is wanted.
        now: The present instant.
        decisions: What was decided for dates; the others are booked where no rule stands in the
            way, and left out where one does.
        because: Why dates are booked although a rule stands in the way.

    Raises:
        ClashError: If somebody took the ground at this very moment; nothing is booked.
        MissingError: If the area is gone.
        OutdatedError: If a decision no longer holds; nothing is booked.
        RefusedError: If it cannot be, no date is left, or the reason is missing.
    """
    refuse_wrong(wish)
    with store.write() as session:
        days = wish.times.dates
        dates = Looking(session, days[0], days[-1], now).dates(wish, days, decisions)
        refuse_undecided(dates, because)
        row = write_hire(session, wish, dates, now, because)
        flush(session)
        words = told(dates)
        done = _("hired out to %(name)s: %(words)s", name=row.name, words=words)
        describe_change(session, done)
        count = sum(one.is_booked for one in dates)
        return HireDone(row.id, count, len(dates) - count, f"{row.name}: {words}.")


def foresee_more(
    store: Store,
    number: int,
    until: date | None,
    now: datetime,
    decisions: Mapping[date, str] | None = None,
) -> MoreDates:
    """Look at dates that a hire does not have yet: those left out, and those up to a later end.

    Args:
        store: The database.
        number: The hire's.
        until: The new last date; None where it stays as long as it is.
        now: The present instant.
        decisions: What was decided already.

    Raises:
        MissingError: If there is no such hire.
        RefusedError: If there is no such date.
    """
    with store.read() as session:
        row = load_hire(session, number)
        days = _more_days(session, row, until, now)
        wish = wish_of(row, days[0], days[-1])
        dates = Looking(session, days[0], days[-1], now).dates(wish, days, decisions)
        return MoreDates(row.id, row.name, mark_of(row), dates)


def book_more(
    store: Store,
    number: int,
    mark: str,
    until: date | None,
    now: datetime,
    decisions: Mapping[date, str] | None = None,
    because: str = "",
) -> HireDone:
    """Book dates that a hire does not have yet; see `foresee_more` and `book_hire`.

    Raises:
        ClashError: If somebody took the ground at this very moment; nothing is booked.
        MissingError: If there is no such hire.
        OutdatedError: If the hire, or what can be decided, was changed since the person looked.
        RefusedError: If there is no such date, or the reason is missing.
    """
    with store.write() as session:
        row = load_hire(session, number)
        refuse_outdated(row, mark)
        days = _more_days(session, row, until, now)
        wish = wish_of(row, days[0], days[-1])
        dates = Looking(session, days[0], days[-1], now).dates(wish, days, decisions)
        refuse_undecided(dates, because, may_be_none=until is not None)
        put_dates(session, row, wish, dates, now, because)
        flush(session)
        words = told(dates)
        describe_change(
            session,
            _("further dates of the hire of %(name)s: %(words)s", name=row.name, words=words),
        )
        count = sum(one.is_booked for one in dates)
        return HireDone(row.id, count, len(dates) - count, f"{row.name}: {words}.")


def refuse_undecided(dates: Sequence[HireDate], because: str, *, may_be_none: bool = False) -> None:
    """Refuse to book what somebody decided before it was as it is now, or without a reason.

    Raises:
        OutdatedError: Naming the dates that are to be looked at again.
        RefusedError: If nothing is booked at all, or the reason is missing.
    """
    stale = [short_day(one.day) for one in dates if not one.chosen]
    if stale:
        raise OutdatedError(
            ngettext(
                "Since you looked, %(days)s is no longer as it was. Nothing was booked; look at it "
                "again.",
                "Since you looked, %(days)s are no longer as they were. Nothing was booked; look "
                "at them again.",
                len(stale),
                days=", ".join(stale),
            )
        )
    if any(one.is_against for one in dates) and not because.strip():
        raise RefusedError(_("Say why it is done all the same."))
    if not may_be_none and not any(one.is_booked for one in dates):
        raise RefusedError(
            _("No date is left to be booked. Choose another part, another time, or other dates.")
        )


def write_hire(
    session: Session, wish: HireWish, dates: Sequence[HireDate], now: datetime, because: str = ""
) -> HireRow:
    """Write a hire with what was decided for its dates; the caller looked at them, and flushes."""
    row = HireRow(
        name=wish.name.strip(),
        contact=wish.contact,
        phone=wish.phone,
        note=wish.note,
        area_id=load_area(session, wish.area_id).id,
        start_min=wish.times.start_min,
        end_min=wish.times.end_min,
        every_weeks=wish.times.every_weeks,
        skips_breaks=wish.skips_breaks,
        created_at=now,
        withdrawn_at=None,
        dates=[],
    )
    session.add(row)
    put_dates(session, row, wish, dates, now, because)
    return row


def put_dates(
    session: Session,
    row: HireRow,
    wish: HireWish,
    dates: Sequence[HireDate],
    now: datetime,
    because: str = "",
) -> None:
    """Write what was decided for dates of a hire; the caller looked at them, and flushes."""
    area = load_area(session, wish.area_id)
    stand = rows_of_days(row, (one.day for one in dates))
    for one in dates:
        there = stand.get(one.day)
        if there is None:
            there = HireDateRow(day=one.day)
            row.dates.append(there)
        there.is_ended = False
        place = one.place(area)
        if place is None:
            continue
        if one.adopts is not None:
            there.booking = session.get_one(BookingRow, one.adopts)
            continue
        ground = load_area(session, place[0])
        there.booking = _booking(wish, ground, place[1], now)
        there.booking.overruled = because.strip() if one.is_against else ""


def _booking(wish: HireWish, area: AreaRow, during: TimeRange, now: datetime) -> BookingRow:
    return BookingRow(
        uid=f"{uuid.uuid4()}@clubplanner",
        pitch_id=area.pitch_id,
        area_id=area.id,
        cells=area.cells,
        starts_at=during.starts_at,
        ends_at=during.ends_at,
        purpose=Purpose.HIRE,
        squad_id=None,
        written_holder=wish.name.strip(),
        note=wish.note,
        is_withdrawn=False,
        is_fixed=True,
        sequence=0,
        created_at=now,
        changed_at=now,
    )


def told(dates: Sequence[HireDate]) -> str:
    """Say what was decided for dates: "12 dates booked; left out: Wed 25 Nov, Wed 2 Dec"."""
    booked = sum(one.is_booked for one in dates)
    words = ngettext("%(num)s date booked", "%(num)s dates booked", booked)
    out = [short_day(one.day) for one in dates if not one.is_booked]
    if not out:
        return words
    days = ", ".join(out[:MOST_TOLD]) + (" …" if len(out) > MOST_TOLD else "")
    return _("%(words)s; left out: %(days)s", words=words, days=days)


def _more_days(session: Session, row: HireRow, until: date | None, now: datetime) -> list[date]:
    today = now.astimezone(load_zone(session)).date()
    days = days_left_out(row, today)
    if until is not None:
        after = last_day(row) + timedelta(days=DAYS_A_WEEK * row.every_weeks)
        if until < after:
            raise RefusedError(
                _(
                    "The next date of the series would be %(day)s; choose this or a later one.",
                    day=short_day(after),
                )
            )
        times = wish_of(row, after, until).times
        if times.fault is not None:
            raise RefusedError(times.fault[1])
        days += [day for day in times.dates if day >= today]
    if not days:
        raise RefusedError(_("No date of this hire is left out."))
    return days
