"""Counting a change of bookings that are only told of in other words now, or to other people."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.services.rows.snapshot import WITH_NAMES
from clubplanner.store.journal.counting import count_told_otherwise
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session


def count_bookings(session: Session, which: ColumnElement[bool], now: datetime) -> int:
    """Count a change of every booking to come that is only told of in other words now.

    Args:
        session: The open write session.
        which: The bookings.
        now: The present instant.

    Returns:
        How many bookings.
    """
    rows = session.scalars(
        select(BookingRow)
        .where(which, BookingRow.is_withdrawn.is_(False), *BookingRow.not_over(now))
        .options(*WITH_NAMES)
    ).all()
    return count_told_otherwise(session, rows, now)
