"""Loading a club's day for finding places, and what each session needs."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING
from weakref import WeakKeyDictionary

from sqlalchemy import and_, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.ground.grounds import usable_ground
from clubplanner.domain.rules.case import Scene, days_looked_at
from clubplanner.domain.rules.ground.load import limits_of_pitches, percents_of_squads
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    each_date,
    instant_from_wall,
)
from clubplanner.fitting.setting_out.formats import fits_format
from clubplanner.services.places.places import Need, ask_for
from clubplanner.services.rows.near import is_spread
from clubplanner.services.rows.own_sizes import load_formats
from clubplanner.services.rows.snapshot import (
    load_asks,
    load_bookings,
    load_breaks,
    load_club,
    load_squads,
    load_venues,
)
from clubplanner.services.rows.squad_seasons import load_squad_seasons
from clubplanner.services.rows.wear_limits import load_wear_limits
from clubplanner.store.stand import read_setup_mark
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING_HOURS, BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.domain.rules.case import WeekLimit
    from clubplanner.domain.times.seasons import Break
    from clubplanner.domain.times.year import SquadSeason

LONGEST_BOOKING = timedelta(hours=LONGEST_BOOKING_HOURS)
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
    zone = held.club.time_zone
    during = TimeRange(
        instant_from_wall(first - held.reach, 0, zone),
        instant_from_wall(last + held.reach, MINUTES_A_DAY, zone),
    )
    return Scene(
        club=held.club,
        venues=held.venues,
        bookings=_bookings(session, held, during, venue_key, squad_key),
        squads=held.squads,
        asks=held.asks,
        breaks=held.breaks,
        seasons=held.seasons,
        limits=held.limits,
        reach=held.reach,
        percents=held.percents,
        holds_form=held.holds_form,
        area_ids=held.area_ids,
    )


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


@dataclass(frozen=True, slots=True)
class HeldAgainst:
    """What bookings are held against: all of a scene but the bookings. Nobody changes it."""

    club: ClubSettings
    venues: Sequence[Venue]
    squads: Mapping[str, Squad]
    asks: Mapping[str, Sequence[Ask]]
    breaks: Sequence[Break]
    seasons: Mapping[str, SquadSeason]
    limits: Mapping[str, Sequence[WeekLimit]]
    reach: timedelta
    percents: Mapping[str, int]
    holds_form: FormsHeld
    area_ids: Mapping[tuple[str, str], int]


_KNOWN: WeakKeyDictionary[object, tuple[int, HeldAgainst]] = WeakKeyDictionary()
"""What each engine's records were when last read, with the mark they bore (`store/stand.py`)."""


def load_held_against(session: Session) -> HeldAgainst:
    """Return what bookings are held against, read again only after it was changed by anybody."""
    engine, mark = session.get_bind(), read_setup_mark(session)
    known = _KNOWN.get(engine)
    if known is not None and known[0] == mark:
        return known[1]
    held = _read_held_against(session)
    if mark is not None:
        _KNOWN[engine] = mark, held
    return held


def _read_held_against(session: Session) -> HeldAgainst:
    club = load_club(session)
    squads = load_squads(session)
    venues = load_venues(session)
    grass = load_wear_limits(session)
    seasons = load_squad_seasons(session)
    numbers = {key: number for number, key in session.execute(select(SquadRow.id, SquadRow.key))}
    areas = session.execute(select(PitchRow.key, AreaRow.key, AreaRow.id).join(AreaRow.pitch))
    asks: dict[str, list[Ask]] = defaultdict(list)
    for _unused, ask in load_asks(session):
        asks[ask.squad_key].append(ask)
    limits = limits_of_pitches(club.rules, grass, venues)
    return HeldAgainst(
        club=club,
        venues=venues,
        squads={squad.key: squad for squad in squads},
        asks=dict(asks),
        breaks=load_breaks(session),
        seasons={key: seasons[number] for key, number in numbers.items() if number in seasons},
        limits=limits,
        reach=days_looked_at((ask for own in asks.values() for ask in own), limits),
        percents=percents_of_squads(club.rules, grass, squads),
        holds_form=FormsHeld(load_formats(session)),
        area_ids={(pitch, area): number for pitch, area, number in areas},
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


class FormsHeld:
    """Which areas hold which forms of the game: worked out when asked, and remembered."""

    def __init__(self, formats: Iterable[GameFormat]) -> None:
        self._formats = {game.code: game for game in formats}
        self._known: dict[tuple[str, str, str], bool] = {}

    def __call__(self, pitch: Pitch, area: Area, code: str) -> bool:
        """Tell whether an area holds a form; an unknown code is held by none."""
        key = pitch.key, area.key, code
        if key not in self._known:
            game = self._formats.get(code)
            ground = None if game is None else usable_ground(area, pitch.obstacles)
            self._known[key] = game is not None and ground is not None and fits_format(ground, game)
        return self._known[key]


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
