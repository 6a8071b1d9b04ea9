"""Whether two sessions may change places: each has to be free where the other is."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.book import hindrances
from clubplanner.services.places.ruling import case_at
from clubplanner.services.places.scenes import load_scenes
from clubplanner.services.rows.snapshot import booking_from_row, load_zone

if TYPE_CHECKING:
    from datetime import datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.rules.case import Hindrance, Scene
    from clubplanner.store.tables.booking_tables import BookingRow


def scene_of_both(session: Session, own: BookingRow, other: BookingRow) -> Scene:
    """Return what the rules look at on the days of two sessions."""
    zone = load_zone(session)
    first, last = sorted(row.starts_at.astimezone(zone).date() for row in (own, other))
    return load_scenes(session, first, last)


def hinders_each(
    scene: Scene, own: BookingRow, other: BookingRow
) -> dict[int, tuple[Hindrance, ...]]:
    """Return, by booking, the rules by which each of two may not be where the other is."""
    one, two = booking_from_row(own), booking_from_row(other)
    moved = (_instead_of(one, two), _instead_of(two, one))
    after = scene.without({one.number, two.number}).with_booked(*moved)
    found = {}
    for there, was in zip(moved, (one.during, two.during), strict=True):
        pitch = after.pitches[there.pitch_key]
        area = pitch.area(there.area_key)
        found[there.number] = hindrances(case_at(after, there, pitch, area, there.during, was))
    return found


def hindrances_told(found: dict[int, tuple[Hindrance, ...]]) -> tuple[Hindrance, ...]:
    """Return what hinders either of two, as it is told."""
    return tuple(one for hindered in found.values() for one in hindered)


def _instead_of(booking: Booking, other: Booking) -> Booking:
    return replace(
        booking,
        pitch_key=other.pitch_key,
        area_key=other.area_key,
        cells=other.cells,
        during=other.during,
    )


def has_begun(now: datetime, *rows: BookingRow) -> bool:
    """Tell whether any of some sessions begins by now."""
    return any(row.starts_at <= now for row in rows)


def can_swap(row: BookingRow) -> bool:
    """Tell whether a booking is a training that stands, of a squad."""
    return row.purpose is Purpose.TRAINING and not row.is_withdrawn and row.squad is not None
