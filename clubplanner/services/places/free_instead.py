"""What is free instead, where somebody holds the ground that was wanted."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.book import is_free
from clubplanner.domain.times.times import TimeRange, clock_in_zone
from clubplanner.errors import ClashError
from clubplanner.language import _
from clubplanner.services.places.ruling import booking_as_wished, case_at
from clubplanner.services.places.scenes import load_scene
from clubplanner.services.rows.snapshot import load_zone

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.rules.case import Scene
    from clubplanner.services.rows.bookings.booking_rows import BookingWish

MOST_SUGGESTIONS = 4
LATER_STEPS = 12
"""How many start steps later than asked are tried when looking for free time."""


def with_free_ground(
    session: Session, clash: ClashError, wish: BookingWish, number: int | None = None
) -> ClashError:
    """Return the clash again with what is free nearby: as large, or the same ground later.

    Args:
        session: The write session; what it did is taken back if it was the guard that refused.
        clash: Who holds the ground.
        wish: What was wanted.
        number: The booking that was to move; None for a new one.
    """
    if not clash.clashes:  # the guard refused; its refusal must be taken back before looking on
        session.rollback()
    if wish.purpose is Purpose.CLOSED:
        return clash
    scene = load_scene(session, wish.during.starts_at.astimezone(load_zone(session)).date())
    booking = booking_as_wished(session, wish, number)
    free = (*_free_at_that_time(scene, booking), *_free_later(scene, booking))
    return ClashError(clash.clashes, free[:MOST_SUGGESTIONS])


def _free_at_that_time(scene: Scene, booking: Booking) -> list[str]:
    """Name ground of about that size at that venue on which no rule stands in the way."""
    own = scene.pitches[booking.pitch_key]
    wanted_m2 = own.area(booking.area_key).area_m2
    found = [
        (pitch.key != own.key, abs(area.area_m2 - wanted_m2), f"{area.name}, {pitch.name}")
        for pitch in scene.venue_of[own.key].pitches
        for area in pitch.areas
        if 0.75 <= area.area_m2 / wanted_m2 <= 1.6
        and is_free(case_at(scene, booking, pitch, area, booking.during))
    ]
    return [name for _unused, _other, name in sorted(found)[: MOST_SUGGESTIONS - 1]]


def _free_later(scene: Scene, booking: Booking) -> Iterator[str]:
    """Name the next start at which the same ground is free by every rule."""
    step = timedelta(minutes=scene.club.step_minutes)
    pitch = scene.pitches[booking.pitch_key]
    area = pitch.area(booking.area_key)
    during = booking.during
    for count in range(1, LATER_STEPS + 1):
        shifted = TimeRange(during.starts_at + count * step, during.ends_at + count * step)
        if is_free(case_at(scene, booking, pitch, area, shifted)):
            start = clock_in_zone(shifted.starts_at, scene.club.time_zone)
            yield _("%(area)s from %(starts_at)s", area=area.name, starts_at=start)
            return
