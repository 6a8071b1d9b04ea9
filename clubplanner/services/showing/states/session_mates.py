"""Sessions that go together: called off, and made in their place for the same squad and day.

What was called off is read first, and only then what stands on those days of those squads: a year
of a whole council has half a million sessions, and few of them are off.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import Integer, column, values

from clubplanner.domain.booked.session_state import PLAN_NOTICE
from clubplanner.domain.times.times import MINUTES_A_DAY, TimeRange, range_from_wall
from clubplanner.services.rows.snapshot import booking_from_columns, bookings_with_names
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.columns import Instant
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking

A_DAY = timedelta(days=1)
A_SECOND = timedelta(seconds=1)
"""Instants are kept to the second."""


@dataclass(frozen=True, slots=True)
class Mate:
    """A session that may have another in its place, or stand in for another.

    Attributes:
        booking: The session.
        created_at: When it was made.
        squad_id: The number of its squad.
    """

    booking: Booking
    created_at: datetime
    squad_id: int


def window_round(bookings: Collection[Booking]) -> TimeRange:
    """Return the time within which sessions are looked for that go with some bookings."""
    starts = [booking.during.starts_at for booking in bookings]
    return TimeRange(min(starts) - A_DAY, max(starts) + A_DAY + A_SECOND)


def load_gone(session: Session, bookings: Sequence[Booking]) -> list[Mate]:
    """Return the sessions called off of the same squads on the same days."""
    squads = {booking.squad_key for booking in bookings if booking.squad_key}
    window = window_round(bookings)
    rows = session.execute(
        bookings_with_names()
        .add_columns(BookingRow.created_at, BookingRow.squad_id)
        .where(
            SquadRow.key.in_(squads),
            BookingRow.is_withdrawn.is_(True),
            BookingRow.starts_at >= window.starts_at,
            BookingRow.starts_at < window.ends_at,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
    )
    return [
        Mate(booking_from_columns(session, columns), created_at, squad_id)
        for *columns, created_at, squad_id in rows
    ]


def load_made(
    session: Session, slots: Collection[tuple[int, date]], window: TimeRange, zone: ZoneInfo
) -> list[Mate]:
    """Return what stands of squads on dates, but for what a plan put there early enough.

    Args:
        session: A reading session.
        slots: Numbers of squads, each with a local date on which something of theirs is off.
        window: The time within which it starts.
        zone: The club's time zone.
    """
    days = {day: range_from_wall(day, 0, MINUTES_A_DAY, zone) for _squad, day in slots}
    asked = (
        values(
            column("squad_id", Integer), column("begins", Instant), column("ends", Instant),
            name="slots",
        )
        .data([(squad, days[day].starts_at, days[day].ends_at) for squad, day in sorted(slots)])
        .cte("slots_asked")
    )  # fmt: skip
    rows = session.execute(
        bookings_with_names()
        .add_columns(BookingRow.created_at, BookingRow.squad_id, BookingRow.share_out_id)
        .join(
            asked,
            (BookingRow.squad_id == asked.c.squad_id)
            & (BookingRow.starts_at >= asked.c.begins)
            & (BookingRow.starts_at < asked.c.ends),
        )
        .where(
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at >= window.starts_at,
            BookingRow.starts_at < window.ends_at,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
    )
    found = []
    for *columns, created_at, squad_id, share_out in rows:
        booking = booking_from_columns(session, columns)
        if share_out is None or booking.during.starts_at < created_at + PLAN_NOTICE:
            found.append(Mate(booking, created_at, squad_id))
    return found
