"""Free ground week by week: where a squad could train from a date on, by the rule book."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.rules.book import AskedOnce, hindrances
from clubplanner.domain.times.times import (
    TimeRange,
    instant_from_wall,
    minute_from_instant,
    range_from_wall,
    short_day,
)
from clubplanner.services.places.places import Need, find_places, what_hinders
from clubplanner.services.places.ruling import case_at

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import date, datetime

    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.ground.places import Place
    from clubplanner.domain.rules.case import Hindrance, Scene

MOST_TRIED = 12
"""Places of one weekday that are looked at on every date; the best by one date, that is."""
MOST_OFFERED = 8
MOST_ON_A_DATE = 400
NOWHERE = -1_000_000
"""The number of a session that is only looked for: no other has it."""
LEAST_PART = 0.5
"""A series that is free on less than this part of its dates is none (a choice of ours)."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the week.

    Attributes:
        weekday: Monday 0.
        start_min: Local minute of the start.
        minutes: How long.
        pitch_key: Where.
        area_key: Which part of it.
    """

    weekday: int
    start_min: int
    minutes: int
    pitch_key: str
    area_key: str


@dataclass(frozen=True, slots=True)
class Series:
    """A place in the week with its dates.

    Attributes:
        spot: The place.
        dates: Those on which it is free.
        lost: Those on which a rule stands in the way, with its words.
        is_preferred: Whether it lies within the times that the squad likes best.
        area_m2: How large the ground is.
    """

    spot: Spot
    dates: tuple[date, ...]
    lost: tuple[tuple[date, str], ...]
    is_preferred: bool
    area_m2: float


def find_series(
    scene: Scene,
    squad: Squad,
    ask: Ask,
    dates: Sequence[date],
    now: datetime,
    at: Venue | None = None,
) -> list[Series]:
    """Return where one session a week of an ask could be, the best first.

    Best is what is free on most dates, then what the squad prefers, then what takes the least
    ground, then the earliest.

    Args:
        scene: The club round all the dates.
        squad: Whose.
        ask: What they ask for.
        dates: Training dates, in order.
        now: The present instant; nothing starts before it.
        at: The venue that is looked at; None for all.
    """
    by_weekday: dict[int, list[date]] = defaultdict(list)
    for day in dates:
        by_weekday[day.weekday()].append(day)
    found, rules = [], AskedOnce()
    for weekday in sorted({window.weekday for window in ask.possible}):
        days = by_weekday.get(weekday, [])
        for spot in _spots(scene, squad, ask, days, now, at):
            series = _series(scene, squad, ask, spot, days, rules)
            if len(series.dates) >= _fewest(days):
                found.append(series)
    found.sort(key=_rank)
    return found


def _fewest(days: Sequence[date]) -> float:
    """Return on how many of some dates a place must be free to be offered."""
    return max(1, LEAST_PART * len(days))


def _rank(one: Series) -> tuple[float, bool, float, int, int, str]:
    lost = len(one.lost) / (len(one.dates) + len(one.lost))
    spot = one.spot
    return lost, not one.is_preferred, one.area_m2, spot.start_min, spot.weekday, spot.area_key


def _spots(
    scene: Scene,
    squad: Squad,
    ask: Ask,
    days: Sequence[date],
    now: datetime,
    at: Venue | None,
) -> list[Spot]:
    """Return the places that look best on the first, a middle and the last date of a weekday."""
    found: dict[Spot, tuple[bool, float, int, str]] = {}
    for day in dict.fromkeys((days[0], days[len(days) // 2], days[-1])) if days else ():
        for need in needs_on(scene, squad, ask, day, now):
            for place in find_places(scene, need, most=MOST_ON_A_DATE, at=at):
                spot = _spot(scene, place, day)
                area_m2 = scene.pitches[spot.pitch_key].area(spot.area_key).area_m2
                found[spot] = (
                    not _prefers(ask, spot),
                    area_m2,
                    spot.start_min,
                    spot.pitch_key + spot.area_key,
                )
    return sorted(found, key=lambda spot: found[spot])[:MOST_TRIED]


def needs_on(scene: Scene, squad: Squad, ask: Ask, day: date, now: datetime) -> Iterator[Need]:
    """Yield what a session of an ask needs on a date, window by window."""
    zone = scene.club.time_zone
    for window in ask.possible:
        if window.weekday != day.weekday():
            continue
        start = instant_from_wall(day, window.start_min, zone)
        latest = instant_from_wall(day, window.end_min, zone) - timedelta(minutes=ask.minutes)
        if start > now and latest >= start:
            during = TimeRange(start, start + timedelta(minutes=ask.minutes))
            yield Need(wanted_session(squad, during), ask, squad, start, latest)


def why_none(
    scene: Scene,
    squad: Squad,
    ask: Ask,
    dates: Sequence[date],
    now: datetime,
    at: Venue | None = None,
) -> tuple[str, ...]:
    """Say what stands in the way where the fewest rules do, on the first date that is possible."""
    for day in dates:
        for need in needs_on(scene, squad, ask, day, now):
            found = what_hinders(scene, need, at=at) or ()
            return tuple(f"{short_day(day)}: {one.words}" for one in found)
    return ()


def wanted_session(
    squad: Squad,
    during: TimeRange,
    number: int = NOWHERE,
    ground: tuple[str, str, int] = ("", "", 0),
) -> Booking:
    """Return a session that stands nowhere yet, or where it would (keys of ground, cells)."""
    pitch_key, area_key, cells = ground
    return Booking(
        number=number,
        uid="",
        pitch_key=pitch_key,
        area_key=area_key,
        cells=cells,
        during=during,
        purpose=Purpose.TRAINING,
        squad_key=squad.key,
        holder=squad.name,
        note="",
        is_withdrawn=False,
        sequence=0,
        changed_at=during.starts_at,
        is_fixed=True,
    )


def sessions_of(scene: Scene, squad: Squad, spots: Mapping[Spot, Sequence[date]]) -> list[Booking]:
    """Return the sessions of places in the week as they would stand.

    They are numbered below nought and below whatever stands in the scene: a case leaves out the
    booking of its own number.
    """
    lowest = scene.lowest_number
    places = [(spot, day) for spot, days in spots.items() for day in days]
    return [
        _session_at(scene, squad, spot, day, lowest - n)
        for n, (spot, day) in enumerate(places, start=1)
    ]


def _session_at(
    scene: Scene, squad: Squad, spot: Spot, day: date, number: int = NOWHERE
) -> Booking:
    pitch = scene.pitches[spot.pitch_key]
    end_min = spot.start_min + spot.minutes
    during = range_from_wall(day, spot.start_min, end_min, scene.club.time_zone)
    cells = pitch.area(spot.area_key).cells
    return wanted_session(squad, during, number, (spot.pitch_key, spot.area_key, cells))


def hindrances_of(scene: Scene, session: Booking) -> tuple[Hindrance, ...]:
    """Return every rule that keeps a session from where it would stand."""
    pitch = scene.pitches[session.pitch_key]
    area = pitch.area(session.area_key)
    return hindrances(case_at(scene, session, pitch, area, session.during))


def _series(
    scene: Scene, squad: Squad, ask: Ask, spot: Spot, days: Sequence[date], rules: AskedOnce
) -> Series:
    free, lost = [], []
    pitch = scene.pitches[spot.pitch_key]
    area = pitch.area(spot.area_key)
    for day, session in zip(days, sessions_of(scene, squad, {spot: days}), strict=True):
        hindrance = rules.first_hindrance(case_at(scene, session, pitch, area, session.during))
        if hindrance is None:
            free.append(day)
            continue
        lost.append((day, f"{short_day(day)}: {hindrance.words}"))
        if len(days) - len(lost) < _fewest(days):
            break  # it is none, whatever the later dates say
    return Series(spot, tuple(free), tuple(lost), _prefers(ask, spot), area.area_m2)


def _spot(scene: Scene, place: Place, day: date) -> Spot:
    pitch_key, area_key = scene.area_keys[place.area_id]
    start = minute_from_instant(place.during.starts_at, day, scene.club.time_zone)
    return Spot(day.weekday(), start, place.during.minutes, pitch_key, area_key)


def _prefers(ask: Ask, spot: Spot) -> bool:
    return any(
        window.weekday == spot.weekday
        and window.start_min <= spot.start_min
        and spot.start_min + spot.minutes <= window.end_min
        for window in ask.preferred
    )
