"""Where in a week a session could go: free ground as good as its own, near its own time of day."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_in_zone,
    each_date,
    end_clock_in_zone,
    instant_from_wall,
    minute_from_instant,
    short_day,
)
from clubplanner.outputs.charts.weeks.week_values import Look
from clubplanner.services.places.places import Need, ask_for, find_places
from clubplanner.services.places.scenes import load_scenes
from clubplanner.services.showing.drawn_weeks import Shown

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.ground.places import Place
    from clubplanner.domain.rules.case import Scene

MOST_A_DAY = 200
"""Places that are looked through for a day, the nearest first."""


@dataclass(frozen=True, slots=True)
class Offer:
    """A place and time at which a session could be.

    Attributes:
        area_id: The area's number.
        pitch_key: Its pitch.
        area_key: The area of that pitch.
        during: When.
        day: The local date.
        starts: Local start.
        words: Place and time in words.
    """

    area_id: int
    pitch_key: str
    area_key: str
    during: TimeRange
    day: date
    starts: str
    words: str

    def shown(self, address: str) -> Shown:
        """Return the place as it is drawn."""
        key = self.pitch_key, self.area_key
        return Shown(*key, self.during, self.starts, Look.OFFERED, address=address)


def find_offers(
    session: Session, booking: Booking, pitches: Collection[str], monday: date, now: datetime
) -> tuple[Offer, ...]:
    """Find where in a week a session could go by every rule, keeping its length.

    Of places that would lie over each other the one nearest to what the session has is offered:
    first by ground, then by time of day. A match keeps its date, for others come to it.

    Args:
        session: A reading session.
        booking: The session as it stands.
        pitches: Keys of the pitches that are looked at.
        monday: First date of the week.
        now: The present instant; nothing before it is offered.

    Returns:
        Offers in order of time; no two of them share ground and time.
    """
    last = monday + timedelta(days=6)
    scene = load_scenes(session, monday, last)
    areas = {number: key for key, number in scene.area_ids.items()}
    zone = scene.club.time_zone
    own_day = booking.during.starts_at.astimezone(zone).date()
    days = [own_day] if booking.purpose is Purpose.MATCH else list(each_date(monday, last))
    offers = [
        Offer(
            place.area_id,
            place.pitch_key,
            areas[place.area_id][1],
            place.during,
            day,
            clock_in_zone(place.during.starts_at, zone),
            f"{place.name}, {short_day(day)}, {clock_in_zone(place.during.starts_at, zone)}–"
            f"{end_clock_in_zone(place.during.ends_at, zone)}",
        )
        for day in days
        for place in _of_day(scene, booking, pitches, day, now)
    ]
    return tuple(sorted(offers, key=lambda offer: (offer.during, offer.words)))


def _of_day(
    scene: Scene, booking: Booking, pitches: Collection[str], day: date, now: datetime
) -> Iterator[Place]:
    """Yield the places of a day, none over another, nor over what the session has itself."""
    zone = scene.club.time_zone
    own_day = booking.during.starts_at.astimezone(zone).date()
    wall = minute_from_instant(booking.during.starts_at, own_day, zone)
    asks = scene.asks.get(booking.squad_key or "", ())
    is_training = booking.purpose is Purpose.TRAINING
    need = Need(
        booking,
        ask_for(booking, asks) if is_training else None,
        scene.squads.get(booking.squad_key or ""),
        max(now, instant_from_wall(day, 0, zone)),
        instant_from_wall(day, MINUTES_A_DAY - 1, zone),
    )
    usual = instant_from_wall(day, wall, zone)
    found = [p for p in find_places(scene, need, most=MOST_A_DAY) if p.pitch_key in pitches]
    taken: list[tuple[str, int, TimeRange]] = []
    if day == own_day:
        taken.append((booking.pitch_key, booking.cells, booking.during))
    for place in sorted(found, key=lambda p: (abs(p.during.starts_at - usual), p.cost, p.name)):
        if not any(
            place.pitch_key == key and place.cells & cells and place.during.overlaps(during)
            for key, cells, during in taken
        ):
            taken.append((place.pitch_key, place.cells, place.during))
            yield place
