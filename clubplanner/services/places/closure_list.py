"""What is closed or open with a condition, now and ahead."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.times.times import (
    END_OF_DAY,
    TimeRange,
    clock_in_zone,
    end_clock_in_zone,
    short_day,
)
from clubplanner.language import _
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.showing.states.conditions import closure_from_row, place_name
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import ClosureDayRow, ClosureRow

if TYPE_CHECKING:
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class ClosureLine:
    """A closure in the list.

    Attributes:
        number: The closure's number.
        place: The ground in words.
        when: From when to when.
        words: Condition and reason.
        is_on: Whether it is in force now.
        during: The same times.
        booking: Number of the booking, for ground closed by a single booking of its own.
    """

    number: int
    place: str
    when: str
    words: str
    is_on: bool
    during: TimeRange
    booking: int | None = None


def list_closures(store: Store, now: datetime) -> tuple[ClosureLine, ...]:
    """Return the closures and conditions that are in force or still to come, by start."""
    with store.read() as session:
        zone = load_zone(session)
        rows = session.scalars(
            select(ClosureRow).where(ClosureRow.ends_at > now).order_by(ClosureRow.starts_at)
        )
        lines = [(row.starts_at, _line(row, now, zone)) for row in rows if is_in_force(row, now)]
        lines += [(row.starts_at, _booked_line(row, now, zone)) for row in _booked(session, now)]
        return tuple(line for _unused, line in sorted(lines, key=lambda pair: pair[0]))


def _booked(session: Session, now: datetime) -> list[BookingRow]:
    """Return ground closed by a booking of its own: by hand, by a file, by a share-out."""
    grouped = select(ClosureDayRow.id).where(ClosureDayRow.booking_id == BookingRow.id)
    return list(
        session.scalars(
            select(BookingRow)
            .where(
                BookingRow.purpose == Purpose.CLOSED,
                BookingRow.is_withdrawn.is_(False),
                *BookingRow.not_over(now),
                ~grouped.exists(),
            )
            .order_by(BookingRow.starts_at)
        )
    )


def _booked_line(row: BookingRow, now: datetime, zone: ZoneInfo) -> ClosureLine:
    return ClosureLine(
        number=row.id,
        place=place_name(row.area),
        when=span_in_words(TimeRange(row.starts_at, row.ends_at), zone),
        words=_("%(area)s is closed: %(holder)s.", area=place_name(row.area), holder=row.holder),
        is_on=row.starts_at <= now,
        during=TimeRange(row.starts_at, row.ends_at),
        booking=row.id,
    )


def _line(row: ClosureRow, now: datetime, zone: ZoneInfo) -> ClosureLine:
    return ClosureLine(
        number=row.id,
        place=place_name(row.area),
        when=span_in_words(TimeRange(row.starts_at, row.ends_at), zone),
        words=closure_in_words(row),
        is_on=row.starts_at <= now,
        during=TimeRange(row.starts_at, row.ends_at),
    )


def closure_in_words(row: ClosureRow) -> str:
    """Write a closure or condition with its reason, a sentence."""
    return closure_from_row(row).sentence


def is_in_force(row: ClosureRow, now: datetime) -> bool:
    """Tell whether a closure or condition still holds, now or ahead."""
    if row.condition != Condition.CLOSED.value:
        return row.ends_at > now and row.lifted_at is None
    return any(not day.booking.is_withdrawn and day.booking.ends_at > now for day in row.days)


def span_in_words(during: TimeRange, zone: ZoneInfo) -> str:
    """Write a range, midnight at its end as 24:00 of the day before."""
    first = during.starts_at.astimezone(zone).date()
    last = during.ends_at.astimezone(zone).date()
    end = end_clock_in_zone(during.ends_at, zone)
    if end == END_OF_DAY:
        last -= timedelta(days=1)
    start = f"{short_day(first)}, {clock_in_zone(during.starts_at, zone)}"
    if last == first:
        return f"{start}–{end}"
    return _("%(start)s to %(last)s, %(end)s", start=start, last=short_day(last), end=end)
