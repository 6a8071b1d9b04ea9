"""Invented problems of any size, to try the share-out on: a pure function of a few numbers.

Nothing here is measured. Ages, hours and sizes are of the kind that clubs commonly have (common
practice, no source), and every name is made up.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.sharing.example.example_ground import DARK_FROM, invent_site
from clubplanner.sharing.example.example_names import COACH_FIRST, COACH_LAST, FLOCKS
from clubplanner.sharing.values.problem import Ask, Day, Problem, Standing
from clubplanner.sharing.values.wants import Window

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.example.example_ground import Site
    from clubplanner.sharing.values.problem import Ground

MOST_SQUADS = 1_000
MOST_PITCHES = 200
LEAST_PRESSURE = 0.1
MOST_PRESSURE = 10.0
ROOM = 0.8
"""Part of the open ground and hours that a plan can fill: squads do not fit without gaps."""
FIRST_MONDAY = date(2027, 4, 12)
WEEKS = 12
EVENING_FROM = 17 * 60
FINE_STEP_SQUADS = 200
"""Up to so many squads sessions start every quarter of an hour, beyond that every half."""
DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday")
AGES = (7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 0)
"""Under so many years; 0 for adults."""


@dataclass(frozen=True, slots=True)
class _Habit:
    """What squads up to an age commonly want."""

    age: int
    minutes: int
    earliest: int
    latest: int
    sizes_m2: tuple[float, ...]


_HABITS = (
    _Habit(9, 60, 17 * 60, 19 * 60, (800.0, 1000.0, 1200.0)),
    _Habit(12, 75, 17 * 60, 19 * 60 + 45, (1200.0, 1500.0, 1900.0)),
    _Habit(14, 75, 17 * 60 + 30, 20 * 60 + 15, (1500.0, 2000.0, 2600.0)),
    _Habit(16, 90, 17 * 60 + 30, 21 * 60, (2000.0, 2800.0, 3200.0)),
    _Habit(99, 90, 18 * 60, 22 * 60, (2000.0, 2800.0, 3200.0)),
)
_LARGEST_M2 = 6000.0
_LONGEST_MIN = 120
_SHORTEST_MIN = 45


def example(squads: int, pitches: int, seed: int, pressure: float = 1.0) -> Problem:
    """Invent a problem.

    Args:
        squads: How many, 1 to `MOST_SQUADS`; most ask for two sessions.
        pitches: How many, 1 to `MOST_PITCHES`, at venues of one to four.
        seed: Equal numbers give equal problems.
        pressure: What is wanted over what there is room for, about: sessions are made longer and
            grounds larger or the other way round until it is met, as far as that goes.

    Raises:
        ValueError: If a number is out of range.
    """
    _check("squads", squads, 1, MOST_SQUADS)
    _check("pitches", pitches, 1, MOST_PITCHES)
    _check("pressure", pressure, LEAST_PRESSURE, MOST_PRESSURE)
    chance = random.Random(seed)  # noqa: S311 - inventions, nothing secret
    days = _days()
    site = invent_site(chance, pitches, days)
    coaches = _coaches(chance, squads)
    names = _names(chance, squads)
    asks = [_invent_ask(chance, n, names[n], coaches[n], site.grounds) for n in range(squads)]
    return Problem(
        grounds=site.grounds,
        days=days,
        openings=site.openings,
        darkness=site.darkness,
        lights_out=site.lights_out,
        standing=tuple(_invent_bookings(chance, site.grounds, days)),
        asks=tuple(_press(chance, asks, site, pressure)),
        step_minutes=15 if squads <= FINE_STEP_SQUADS else 30,
    )


def _check(name: str, value: float, least: float, most: float) -> None:
    if not least <= value <= most:
        raise ValueError(f"{name} must be from {least:g} to {most:g}, not {value:g}.")


def _days() -> tuple[Day, ...]:
    return tuple(
        Day(
            n, name, n, tuple(FIRST_MONDAY + timedelta(days=n, weeks=week) for week in range(WEEKS))
        )
        for n, name in enumerate(DAY_NAMES)
    )


def _names(chance: random.Random, count: int) -> list[tuple[int, str]]:
    """Return an age and a name for each squad, no two alike."""
    flocks = {age: chance.sample(FLOCKS, len(FLOCKS)) for age in AGES}
    order = [AGES[n % len(AGES)] for n in range(count)]
    chance.shuffle(order)
    return [
        (age, f"U{age} {flocks[age].pop()}" if age else f"Adult {flocks[0].pop()}") for age in order
    ]


def _coaches(chance: random.Random, count: int) -> list[str]:
    """Return a coach for each squad; about one in six has two."""
    people = [f"{first} {last}" for first in COACH_FIRST for last in COACH_LAST]
    chance.shuffle(people)
    coaches = people[:count]
    for n in range(1, count):
        if chance.random() < 1 / 6 and coaches[:n].count(coaches[n - 1]) == 1:
            coaches[n] = coaches[n - 1]
    return coaches


def _invent_ask(
    chance: random.Random,
    number: int,
    named: tuple[int, str],
    coach: str,
    grounds: Sequence[Ground],
) -> Ask:
    age, name = named
    habit = next(item for item in _HABITS if (age or 99) <= item.age)
    days = sorted(chance.sample(range(len(DAY_NAMES)), chance.choice([3, 4, 4, 5])))
    best = sorted(chance.sample(days, 2))
    earliest = habit.earliest + chance.choice([0, 0, 15, 30])
    middle = earliest + chance.choice([0, 15, 30, 45])
    size = chance.choice(habit.sizes_m2)
    formats = [item for item in ("5v5", "7v7") if chance.random() < 0.04]
    return Ask(
        key=f"ask-{number + 1}",
        squad=f"squad-{number + 1}",
        squad_name=name,
        coach=coach,
        sessions=2,
        minutes=habit.minutes,
        possible=tuple(Window(day, earliest, habit.latest) for day in days),
        preferred=tuple(
            Window(day, middle, min(habit.latest, middle + habit.minutes + 15)) for day in best
        ),
        least_m2=size,
        least_format=formats[0] if formats else None,
        surfaces=frozenset({"grass", "artificial"}) if chance.random() < 0.2 else frozenset(),
        needs_goal=chance.random() < 0.25,
        needs_light=not age and chance.random() < 0.3,
        venues=_near_venues(chance, grounds, size),
        priority=2 if chance.random() < 0.1 else 1,
    )


def _near_venues(
    chance: random.Random, grounds: Sequence[Ground], size_m2: float
) -> frozenset[str]:
    """Pick about four venues of a large town, one with enough ground; all of a small one."""
    venues = list(dict.fromkeys(ground.venue for ground in grounds))
    if len(venues) <= 4:
        return frozenset()
    enough = [v for v in venues if any(g.venue == v and g.area_m2 >= size_m2 for g in grounds)]
    home = chance.randrange(len(venues))
    near = {venues[(home + step) % len(venues)] for step in range(4)}
    return frozenset(near if near & set(enough) or not enough else {*near, chance.choice(enough)})


def _invent_bookings(
    chance: random.Random, grounds: Sequence[Ground], days: Sequence[Day]
) -> list[Standing]:
    """Invent late hires for a whole term, cup matches and closed days."""
    wholes = [ground for ground in grounds if ground.cut == "whole"]
    found: list[Standing] = []
    for ground in wholes:
        if chance.random() < 0.3:
            day = chance.choice(days)
            found += [
                Standing(ground.pitch, ground.cells, when, 20 * 60, 21 * 60, "Hire")
                for when in day.dates
            ]
        if chance.random() < 0.5:
            when = chance.choice(chance.choice(days).dates)
            found.append(Standing(ground.pitch, ground.cells, when, 1110, 1230, "Cup match"))
        if chance.random() < 0.2:
            when = chance.choice(chance.choice(days).dates)
            found.append(Standing(ground.pitch, ground.cells, when, 0, 1440, "Closed for care"))
    return found


def _press(chance: random.Random, asks: Sequence[Ask], site: Site, pressure: float) -> list[Ask]:
    """Make asks larger or smaller, one at a time, until they meet the pressure."""
    room = pressure * ROOM * _supply(site)
    pressed = list(asks)
    sizes = _Sizes(site.grounds)
    needs = [sizes.need(ask) for ask in pressed]
    grows = sum(needs) < room
    order = list(range(len(pressed)))
    while order:
        chance.shuffle(order)
        still: list[int] = []
        for n in order:
            if (sum(needs) < room) is not grows:
                return pressed
            changed = _change(chance, pressed[n], grows=grows)
            if changed is not None and sizes.fits(changed):
                pressed[n] = changed
                needs[n] = sizes.need(changed)
                still.append(n)
        order = still
    return pressed


def _change(chance: random.Random, ask: Ask, *, grows: bool) -> Ask | None:
    """Make a session a quarter of an hour longer or its ground larger, or the other way round."""
    shortest_window = min(window.end_min - window.start_min for window in ask.possible)
    if chance.random() < 0.3:
        minutes = ask.minutes + (15 if grows else -15)
        if _SHORTEST_MIN <= minutes <= min(_LONGEST_MIN, shortest_window - 15):
            return replace(ask, minutes=minutes)
    size = round(ask.least_m2 * (1.2 if grows else 0.85), -1)
    if 300.0 <= size <= _LARGEST_M2:
        return replace(ask, least_m2=size)
    return None


def _supply(site: Site) -> float:
    """Measure the open ground of a week's evenings, in square metres times minutes."""
    total = 0.0
    for opening in site.openings:
        off = [rule.from_min for rule in site.lights_out if rule.venue == opening.venue]
        for ground in site.grounds:
            if ground.cut == "whole" and ground.venue == opening.venue:
                is_dark = not (ground.is_lit or ground.is_indoor)
                until = DARK_FROM if is_dark else min([opening.end_min, *off])
                hours = min(until, opening.end_min) - max(opening.start_min, EVENING_FROM)
                total += ground.area_m2 * max(0, hours)
    return total


class _Sizes:
    """What asks really take: the smallest part of a pitch that is large enough."""

    def __init__(self, grounds: Sequence[Ground]) -> None:
        by_pitch: dict[str, set[float]] = {}
        for ground in grounds:
            by_pitch.setdefault(ground.pitch, set()).add(ground.area_m2)
        self._kinds: dict[tuple[float, ...], int] = {}
        for sizes in by_pitch.values():
            kind = tuple(sorted(sizes))
            self._kinds[kind] = self._kinds.get(kind, 0) + 1
        self._by_venue: dict[str, float] = {}
        for ground in grounds:
            most = max(ground.area_m2, self._by_venue.get(ground.venue, 0.0))
            self._by_venue[ground.venue] = most

    def fits(self, ask: Ask) -> bool:
        """Tell whether some ground of the ask's venues is large enough."""
        venues = ask.venues or self._by_venue.keys()
        return any(self._by_venue[venue] >= ask.least_m2 for venue in venues)

    def need(self, ask: Ask) -> float:
        """Measure what an ask takes, averaged over the pitches that are large enough."""
        taken = [
            (next(size for size in kind if size >= ask.least_m2), count)
            for kind, count in self._kinds.items()
            if kind[-1] >= ask.least_m2
        ]
        if not taken:
            return 0.0
        average = sum(size * count for size, count in taken) / sum(count for _, count in taken)
        return average * ask.minutes * ask.sessions
