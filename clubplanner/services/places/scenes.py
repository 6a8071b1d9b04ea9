"""Loading a club's day for finding places, and what each session needs."""

from __future__ import annotations

from bisect import bisect_left, insort
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import and_, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    each_date,
    instant_from_wall,
)
from clubplanner.services.places.places import Need, ask_for
from clubplanner.services.rows.bookings.booked_there import (
    load_bookings_of_pitch,
    load_bookings_of_squads,
)
from clubplanner.services.rows.bookings.held_against import load_held_against
from clubplanner.services.rows.near import is_spread
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_bookings,
    load_squads,
)
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING, BookingRow
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.rules.case import Scene
    from clubplanner.services.rows.bookings.held_against import HeldAgainst

LATER = timedelta(minutes=60)
"""How much later than planned a displaced session may start the same evening."""


def load_scene(session: Session, day: date) -> Scene:
    """Load the club as it stands round a local date."""
    return load_scenes(session, day, day)


def load_scenes(
    session: Session, first: date, last: date, venue_key: str = "", squad_key: str = ""
) -> Scene:
    """Load the club as it stands round some local dates, first and last included.

    Args:
        session: An open session.
        first: First local date.
        last: Last date, included.
        venue_key: Where a club is spread over many venues (`rows/near.py`), the only one whose
            ground is asked about; blank for all. Bookings of other venues are left out, but for
            those of the people who are asked about: the rules see no difference.
        squad_key: The only squad that is asked about there; blank for all that are there.
    """
    held = load_held_against(session)
    during = _dates(first - held.reach, last + held.reach, held.club.time_zone)
    return held.scene(_bookings(session, held, during, venue_key, squad_key))


def _bookings(
    session: Session, held: HeldAgainst, during: TimeRange, venue_key: str, squad_key: str
) -> tuple[Booking, ...]:
    """Return what stands in a range: at a venue, and wherever else its people are."""
    if not venue_key or not is_spread(session):
        return load_bookings(session, during)
    own = BookingRow.pitch_id.in_(
        select(PitchRow.id).join(PitchRow.venue).where(VenueRow.key == venue_key)
    )
    there = load_bookings(session, during, which=own)
    asked = {squad_key} if squad_key else {one.squad_key for one in there if one.squad_key}
    coaches = {held.squads[key].coach_key for key in asked if key in held.squads} - {""}
    people = asked | {key for key, squad in held.squads.items() if squad.coach_key in coaches}
    numbers = select(SquadRow.id).where(SquadRow.key.in_(sorted(people)))
    elsewhere = load_bookings(session, during, which=and_(~own, BookingRow.squad_id.in_(numbers)))
    both = [*there, *elsewhere]
    return tuple(sorted(both, key=lambda one: (one.during.starts_at, one.number)))


def load_scene_at(session: Session, booking: Booking) -> Scene:
    """Load the club as far as the rules look from where and when one booking stands.

    Of its pitch that is the time for changing over before and after it, and the week where a
    training has limits to keep; of its squad and of who answers for it, all within reach.
    """
    held = load_held_against(session)
    zone = held.club.time_zone
    day = booking.during.starts_at.astimezone(zone).date()
    gap = timedelta(minutes=held.club.changeover_minutes)
    times = [TimeRange(booking.during.starts_at - gap, booking.during.ends_at + gap)]
    if booking.purpose is Purpose.TRAINING and held.limits.get(booking.pitch_key):
        monday = day - timedelta(days=day.weekday())
        times.append(_dates(monday, monday + timedelta(days=6), zone))
    found = {
        one.number: one
        for during in times
        for one in load_bookings_of_pitch(session, booking.pitch_key, during)
    }
    if booking.squad_key is not None:
        reach = _dates(day - held.reach, day + held.reach, zone)
        of_people = load_bookings_of_squads(session, held.with_same_coach(booking.squad_key), reach)
        found |= {one.number: one for one in of_people}
    return held.scene(sorted(found.values(), key=lambda one: (one.during.starts_at, one.number)))


def _dates(first: date, last: date, zone: ZoneInfo) -> TimeRange:
    """Return the time of local dates, first and last included."""
    return TimeRange(
        instant_from_wall(first, 0, zone), instant_from_wall(last, MINUTES_A_DAY, zone)
    )


class ScenesByDay:
    """The club round many dates: ground and people are loaded once, each date has its bookings.

    What is put somewhere meanwhile is told by `put`, so that later looks know of it.
    """

    def __init__(self, session: Session, first: date, last: date) -> None:
        self._scene = load_scenes(session, first, last)
        self._known = {one.number: one for one in self._scene.bookings}
        self._by_start = sorted((one.during.starts_at, one.number) for one in self._known.values())
        self._made: dict[date, Scene] = {}

    @property
    def club(self) -> ClubSettings:
        """The club's settings."""
        return self._scene.club

    def on(self, day: date) -> Scene:
        """Return the club round one of the dates, as `load_scene` would."""
        if day in self._made:
            return self._made[day]
        zone, reach = self.club.time_zone, self._scene.reach
        since = instant_from_wall(day - reach, 0, zone)
        until = instant_from_wall(day + reach, MINUTES_A_DAY, zone)
        low = bisect_left(self._by_start, (since - LONGEST_BOOKING, 0))
        high = bisect_left(self._by_start, (until, 0))
        near = (self._known[number] for _start, number in self._by_start[low:high])
        scene = replace(self._scene, bookings=[b for b in near if b.during.ends_at > since])
        self._made[day] = scene
        return scene

    def put(self, booking: Booking) -> None:
        """Take notice of a booking that is new, or is elsewhere now."""
        stood = self._known.get(booking.number)
        if stood is not None:
            self._drop(stood)
        self._known[booking.number] = booking
        insort(self._by_start, (booking.during.starts_at, booking.number))
        self._forget(booking)

    def drop(self, number: int) -> None:
        """Take notice of a booking that was withdrawn."""
        if number in self._known:
            self._drop(self._known.pop(number))

    def _drop(self, booking: Booking) -> None:
        del self._by_start[bisect_left(self._by_start, (booking.during.starts_at, booking.number))]
        self._forget(booking)

    def _forget(self, booking: Booking) -> None:
        """Make the scenes anew that look at a booking."""
        zone, reach = self.club.time_zone, self._scene.reach
        first = booking.during.starts_at.astimezone(zone).date() - reach
        last = booking.during.ends_at.astimezone(zone).date() + reach
        for day in each_date(first, last):
            self._made.pop(day, None)


def load_people(session: Session) -> tuple[dict[str, Squad], list[Ask]]:
    """Return all squads by key, and all asks."""
    squads = {squad.key: squad for squad in load_squads(session)}
    return squads, [ask for _, ask in load_asks(session)]


def need_of(
    booking: Booking,
    squads: dict[str, Squad],
    asks: Sequence[Ask],
    now: datetime,
    *,
    earlier: timedelta = timedelta(0),
    later: timedelta = LATER,
) -> Need:
    """Return what a booking needs if it has to go elsewhere.

    A match keeps its time, for others come to it, and needs a field like its own; what its squad
    asked for is about training.

    Args:
        booking: The booking as it stands.
        squads: All squads by key.
        asks: All asks.
        now: The present instant; nothing starts before it.
        earlier: How much earlier it may start.
        later: How much later it may start.
    """
    start = booking.during.starts_at
    is_match = booking.purpose is Purpose.MATCH
    if is_match:
        earlier = later = timedelta(0)
    return Need(
        booking=booking,
        ask=None if is_match else ask_for(booking, asks),
        squad=squads.get(booking.squad_key or ""),
        earliest=max(now, start - earlier),
        latest=start + later,
    )
