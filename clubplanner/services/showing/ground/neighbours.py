"""Who is next door: the bookings on the same pitch at the same time, and which way they are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.times.times import clock_in_zone
from clubplanner.language import _, in_running_text

if TYPE_CHECKING:
    from collections.abc import Sequence
    from zoneinfo import ZoneInfo

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Pitch

NEXT_DOOR_M = 1.0
"""Areas no further apart than this are next door."""


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Somebody on the same pitch.

    Attributes:
        booking: Theirs.
        area_name: Where they are.
        direction: Towards which end or side, from one's own ground.
        is_next_door: Whether the two areas touch.
        follows: Whether they come only after one's own booking has begun.
    """

    booking: Booking
    area_name: str
    direction: str
    is_next_door: bool
    follows: bool = False

    @property
    def sentence(self) -> str:
        """Who, where and which way: "U14 Harriers on Middle third, towards Clubhouse end"."""
        if self.booking.purpose is Purpose.CLOSED:
            return _(
                "%(area_name)s is closed (%(holder)s), %(direction)s",
                area_name=self.area_name,
                holder=self.booking.holder,
                direction=self.direction,
            )
        return _(
            "%(holder)s on %(area_name)s, %(direction)s",
            holder=self.booking.holder,
            area_name=self.area_name,
            direction=self.direction,
        )

    def follows_in_words(self, zone: ZoneInfo) -> str:
        """Say who comes later, where and from when: "from 18:45 U14 Harriers on …"."""
        return _(
            "from %(clock)s %(neighbour)s",
            clock=clock_in_zone(self.booking.during.starts_at, zone),
            neighbour=self.sentence,
        )


def neighbours_of(pitch: Pitch, own: Booking, others: Sequence[Booking]) -> tuple[Neighbour, ...]:
    """Return who else is on a pitch at any time during a booking, next door first.

    Args:
        pitch: The pitch.
        own: The booking looked from.
        others: Any bookings; those elsewhere or at other times are left out.
    """
    ground = pitch.area(own.area_key).polygon
    found = []
    for booking in others:
        is_there = booking.pitch_key == pitch.key and booking.during.overlaps(own.during)
        if not is_there or booking.is_withdrawn or booking.number == own.number:
            continue
        area = pitch.area(booking.area_key)
        touches = ground.distance(area.polygon) <= NEXT_DOOR_M
        way = _direction(pitch, ground, area.polygon)
        follows = booking.during.starts_at > own.during.starts_at
        found.append(Neighbour(booking, area.name, way, touches, follows))
    return tuple(sorted(found, key=lambda n: (not n.is_next_door, n.booking.during.starts_at)))


def at_the_start(neighbours: Sequence[Neighbour]) -> tuple[Neighbour, ...]:
    """Return those who are there when one's own booking begins: no two on the same ground."""
    return tuple(n for n in neighbours if not n.follows)


def those_who_follow(neighbours: Sequence[Neighbour]) -> tuple[Neighbour, ...]:
    """Return those who come while one's own booking runs, the first to come first."""
    later = (n for n in neighbours if n.follows)
    return tuple(sorted(later, key=lambda n: n.booking.during.starts_at))


def _direction(pitch: Pitch, ground: Polygon, other: Polygon) -> str:
    dx = other.centroid.x - ground.centroid.x
    dy = other.centroid.y - ground.centroid.y
    if abs(dx) >= abs(dy):
        edge = pitch.edges.far if dx > 0 else pitch.edges.start
    else:
        edge = pitch.edges.left if dy > 0 else pitch.edges.right
    return _("towards the %(edge)s", edge=in_running_text(edge))
