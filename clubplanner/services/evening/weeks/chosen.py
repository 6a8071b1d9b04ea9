"""The session of a week that somebody looks at, and where else it could go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.times.times import clock_in_zone, day_in_words, end_clock_in_zone
from clubplanner.language import _
from clubplanner.services.evening.weeks.offers import Offer, find_offers
from clubplanner.services.showing.drawn_weeks import day_shown

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Pitch


@dataclass(frozen=True, slots=True)
class ChosenSession:
    """The session that somebody is looking at.

    Attributes:
        number: The booking's number.
        sequence: The change shown, for forms that act on it.
        words: Where and when it is.
        holder: Who.
        is_session: Whether share-outs could move it.
        is_fixed: Whether they must leave it alone.
        is_over: Whether it cannot be moved any more.
        offers: Where else it could go in this week.
    """

    number: int
    sequence: int
    words: str
    holder: str
    is_session: bool
    is_fixed: bool
    is_over: bool
    offers: tuple[Offer, ...]


def chosen_session(
    session: Session,
    bookings: Sequence[Booking],
    pitches: Sequence[Pitch],
    number: int,
    monday: date,
    zone: ZoneInfo,
    now: datetime,
) -> ChosenSession | None:
    """Return what is shown of a session of the week; None for closed ground, and for no such one.

    Args:
        session: An open session.
        bookings: What is booked in the week on these pitches.
        pitches: The pitches of the leaf that is drawn.
        number: The booking's number.
        monday: First date of the week.
        zone: The club's time zone.
        now: The present instant.
    """
    booking = next((b for b in bookings if b.number == number), None)
    if booking is None or booking.purpose is Purpose.CLOSED:
        return None
    pitch = next(pitch for pitch in pitches if pitch.key == booking.pitch_key)
    area = pitch.area(booking.area_key)
    is_over = booking.during.ends_at <= now
    start = clock_in_zone(booking.during.starts_at, zone)
    end = end_clock_in_zone(booking.during.ends_at, zone)
    return ChosenSession(
        number=booking.number,
        sequence=booking.sequence,
        words=_(
            "%(area)s, %(pitch)s, %(day)s, %(start)s–%(end)s",
            area=area.name,
            pitch=pitch.name,
            day=day_in_words(day_shown(booking.during, zone)),
            start=start,
            end=end,
        ),
        holder=booking.holder,
        is_session=booking.purpose is Purpose.TRAINING and booking.squad_key is not None,
        is_fixed=booking.is_fixed,
        is_over=is_over,
        offers=()
        if is_over
        else find_offers(session, booking, {p.key for p in pitches}, monday, now),
    )
