"""Hires for the tests of hires."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.hires import HireTimes
from clubplanner.services.hires.dates import HireWish
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import LONDON
from tests.small_club import HALL, find_area_id

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

TUESDAY = date(2026, 12, 1)
WEEK = timedelta(weeks=1)


def hire_wish(store: Store, **changes: Any) -> HireWish:
    """Return a wish of the Walking club for the whole hall, six Tuesdays from 1 December 2026."""
    times = HireTimes(
        changes.pop("first_on", TUESDAY),
        changes.pop("last_on", TUESDAY + 5 * WEEK),
        changes.pop("every_weeks", 1),
        changes.pop("start_min", 18 * 60),
        changes.pop("end_min", 19 * 60 + 30),
    )
    pitch, area = changes.pop("pitch", HALL), changes.pop("area", "whole")
    values = {"contact": "Ada Nyman", "phone": "01632 960 123", **changes}
    name = values.pop("name", "Walking club")
    return HireWish(name, find_area_id(store, pitch, area), times, **values)


def hires_booked(store: Store, holder: str = "Walking club") -> list[tuple[str, str, str]]:
    """Return the standing bookings of a hirer: local start, end, and ground."""
    with store.read() as session:
        rows = session.scalars(
            select(BookingRow)
            .where(
                BookingRow.purpose == Purpose.HIRE,
                BookingRow.is_withdrawn.is_(False),
                BookingRow.written_holder == holder,
            )
            .order_by(BookingRow.starts_at)
        )
        return [
            (
                f"{row.starts_at.astimezone(LONDON):%m-%d %H:%M}",
                f"{row.ends_at.astimezone(LONDON):%H:%M}",
                f"{row.pitch.name}, {row.area.key}",
            )
            for row in rows
        ]
