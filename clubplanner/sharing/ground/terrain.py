"""A problem's ground and days as NumPy columns, and the static rules as bit masks over them."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntFlag
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.wear import open_wear_book, overloads_alone
from clubplanner.sharing.values.problem import AREA_SLACK_M2, SHARE_SLACK, merge_ranges

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.wear import WearBook
    from clubplanner.sharing.values.problem import Ask, Day, Ground, LightsOut, Problem, Standing

NEVER = 1 << 20
"""A minute that no session reaches: for ground that is never dark."""


class Rule(IntFlag):
    """Groups of rules that can keep a session from a place at a time."""

    TOO_SMALL = 1
    FORMAT = 2
    SURFACE = 4
    GOAL = 8
    LIGHT = 16
    VENUE = 32
    CLOSED = 64
    DARK = 128
    STANDING = 256
    TIME = 512
    FINISH = 1024
    REST = 2048
    LOAD = 4096


VENUE_RULES = Rule.CLOSED | Rule.DARK | Rule.STANDING
"""The rules that bind a pinned session as well."""


@dataclass(frozen=True, slots=True)
class Terrain:
    """What the rules look up, computed once for a problem.

    Attributes:
        problem: The problem.
        pitch: Number of the pitch of each ground.
        venue: Number of the venue of each ground.
        cells: Cells of each ground, uint64.
        area_m2: Size of each ground.
        share_of_pitch: Size of each ground over that of its pitch.
        pitches: Keys of the pitches, by number.
        openings: Ranges in order, by (venue key, day).
        usable_until: By ground and day, the minute from which it is too dark.
        standing: Standing bookings by day, each with the place of its date in the day's list.
        nested: Rows (a, b) of grounds of one pitch where a's cells all belong to b.
        apart: By two days, the fewest days from a date of one to a date of the other.
        rest: By two asks, how many days of rest must lie between their sessions; 0 for none.
        wear: Weeks and load limits.
    """

    problem: Problem
    pitch: NDArray[np.int64]
    venue: NDArray[np.int64]
    cells: NDArray[np.uint64]
    area_m2: NDArray[np.float64]
    share_of_pitch: NDArray[np.float64]
    pitches: tuple[str, ...]
    openings: Mapping[tuple[str, int], list[tuple[int, int]]]
    usable_until: NDArray[np.int64]
    standing: tuple[tuple[tuple[int, Standing], ...], ...]
    nested: NDArray[np.int64]
    apart: NDArray[np.int64]
    rest: NDArray[np.int64]
    wear: WearBook


def survey(problem: Problem) -> Terrain:
    """Compute the look-up columns of a problem."""
    grounds = problem.grounds
    pitches = list(dict.fromkeys(ground.pitch for ground in grounds))
    venues = list(dict.fromkeys(ground.venue for ground in grounds))
    raw: dict[tuple[str, int], list[tuple[int, int]]] = {}
    for opening in problem.openings:
        key = (opening.venue, opening.day)
        raw.setdefault(key, []).append((opening.start_min, opening.end_min))
    return Terrain(
        problem=problem,
        pitch=np.array([pitches.index(g.pitch) for g in grounds], dtype=np.int64),
        venue=np.array([venues.index(g.venue) for g in grounds], dtype=np.int64),
        cells=np.array([g.cells for g in grounds], dtype=np.uint64),
        area_m2=np.array([g.area_m2 for g in grounds], dtype=np.float64),
        share_of_pitch=np.array([g.share_of_pitch for g in grounds], dtype=np.float64),
        pitches=tuple(pitches),
        openings={key: merge_ranges(ranges) for key, ranges in raw.items()},
        usable_until=_usable_until(problem),
        standing=_standing_by_day(problem),
        nested=np.array(_nested(grounds), dtype=np.int64).reshape(-1, 2),
        apart=_days_apart(problem.days),
        rest=_rest_needed(problem.asks),
        wear=open_wear_book(problem, pitches),
    )


def ground_rules(terrain: Terrain, ask: Ask) -> NDArray[np.int64]:
    """Mark for each ground which of an ask's rules about ground it breaks."""
    bits = np.zeros(len(terrain.problem.grounds), dtype=np.int64)
    small = terrain.area_m2 < ask.least_m2 - AREA_SLACK_M2
    small |= terrain.share_of_pitch < ask.least_share - SHARE_SLACK
    bits[small] |= Rule.TOO_SMALL
    for n, ground in enumerate(terrain.problem.grounds):
        if ask.least_format is not None and ask.least_format not in ground.formats:
            bits[n] |= Rule.FORMAT
        if ask.surfaces and ground.surface not in ask.surfaces:
            bits[n] |= Rule.SURFACE
        if ask.needs_goal and not ground.has_goal:
            bits[n] |= Rule.GOAL
        if ask.needs_light and not (ground.is_lit or ground.is_indoor):
            bits[n] |= Rule.LIGHT
        if ask.venues and ground.venue not in ask.venues:
            bits[n] |= Rule.VENUE
    return bits


def place_rules(
    terrain: Terrain, minutes: int, day: int, starts: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.uint64]]:
    """Mark which rules of venues and standing bookings a session breaks on each ground.

    Args:
        terrain: The problem's columns.
        minutes: Length of the session.
        day: Index of the day.
        starts: Minutes at which it could start.

    Returns:
        Two arrays of shape (grounds, starts): broken rules, and the dates lost to standing
        bookings as a bit mask over the day's list of dates.
    """
    grounds = terrain.problem.grounds
    ends = starts + minutes
    bits = np.zeros((len(grounds), len(starts)), dtype=np.int64)
    bits[ends[None, :] > terrain.usable_until[:, day, None]] |= Rule.DARK
    for venue in sorted({ground.venue for ground in grounds}):
        is_open = np.zeros(len(starts), dtype=bool)
        for start, end in terrain.openings.get((venue, day), []):
            is_open |= (starts >= start) & (ends <= end)
        there = np.array([ground.venue == venue for ground in grounds], dtype=bool)
        bits[np.ix_(np.flatnonzero(there), np.flatnonzero(~is_open))] |= Rule.CLOSED
    lost = _lost(terrain, day, starts, ends)
    dates = len(terrain.problem.days[day].dates)
    if dates == 0:
        bits |= Rule.CLOSED
        return bits, lost
    gone = np.bitwise_count(lost).astype(np.int64)
    limit = terrain.problem.most_dates_lost
    too_many = (gone * limit.denominator > limit.numerator * dates) | (gone == dates)
    bits[too_many] |= Rule.STANDING
    return bits, lost


def own_rules(
    terrain: Terrain, ask: Ask, day: int, starts: NDArray[np.int64], lost: NDArray[np.uint64]
) -> NDArray[np.int64]:
    """Mark which rules of age, rest and load a session breaks, whoever else is there.

    Args:
        terrain: The problem's columns.
        ask: Whose session.
        day: Index of the day.
        starts: Minutes at which it could start.
        lost: Dates lost, from `place_rules`.

    Returns:
        Array of shape (grounds, starts).
    """
    bits = np.zeros(lost.shape, dtype=np.int64)
    if ask.latest_finish_min is not None:
        bits[:, starts + ask.minutes > ask.latest_finish_min] |= Rule.FINISH
    weekday = terrain.problem.days[day].weekday
    if (weekday + 1) % 7 in ask.no_day_before or (weekday - 1) % 7 in ask.no_day_after:
        bits |= Rule.REST
    bits[overloads_alone(terrain, ask, day, lost)] |= Rule.LOAD
    return bits


def time_rule(ask: Ask, day: int, starts: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Tell which starts keep a session within the ask's possible windows of a day."""
    fits = np.zeros(len(starts), dtype=bool)
    for start, end in merge_ranges(
        [(w.start_min, w.end_min) for w in ask.possible if w.day == day]
    ):
        fits |= (starts >= start) & (starts + ask.minutes <= end)
    return fits


def possible_starts(problem: Problem, ask: Ask, day: int) -> NDArray[np.int64]:
    """List the starts within an ask's possible windows of a day, in order."""
    raw = [(w.start_min, w.end_min) for w in ask.possible if w.day == day]
    found = {start for start, _ in raw}
    step = problem.step_minutes
    for start, end in merge_ranges(raw):
        found.update(range(-(-start // step) * step, end, step))
    starts = np.array(sorted(found), dtype=np.int64)
    return starts[time_rule(ask, day, starts)]


def _lost(
    terrain: Terrain, day: int, starts: NDArray[np.int64], ends: NDArray[np.int64]
) -> NDArray[np.uint64]:
    lost = np.zeros((len(terrain.problem.grounds), len(starts)), dtype=np.uint64)
    gap = terrain.problem.changeover_minutes
    for place, booking in terrain.standing[day]:
        when = (starts < booking.end_min + gap) & (booking.start_min < ends + gap)
        number = terrain.pitches.index(booking.pitch)
        where = (terrain.pitch == number) & ((terrain.cells & np.uint64(booking.cells)) != 0)
        lost[np.ix_(np.flatnonzero(where), np.flatnonzero(when))] |= np.uint64(1 << place)
    return lost


def _usable_until(problem: Problem) -> NDArray[np.int64]:
    until = np.full((len(problem.grounds), len(problem.days)), NEVER, dtype=np.int64)
    dark: dict[tuple[str, int], int] = {}
    for rule in problem.darkness:
        key = (rule.venue, rule.day)
        dark[key] = min(rule.from_min, dark.get(key, NEVER))
    for n, ground in enumerate(problem.grounds):
        for day in range(len(problem.days)):
            from_min = dark.get((ground.venue, day), NEVER)
            if not ground.is_indoor:
                off = _lights_off(problem.lights_out, ground, day)
                until[n, day] = max(from_min, off) if ground.is_lit else from_min
    return until


def _lights_off(rules: tuple[LightsOut, ...], ground: Ground, day: int) -> int:
    return min(
        (
            rule.from_min
            for rule in rules
            if rule.venue == ground.venue and rule.day == day and rule.pitch in (None, ground.pitch)
        ),
        default=NEVER,
    )


def _standing_by_day(problem: Problem) -> tuple[tuple[tuple[int, Standing], ...], ...]:
    places = {
        when: (day.index, place) for day in problem.days for place, when in enumerate(day.dates)
    }
    by_day: list[list[tuple[int, Standing]]] = [[] for _ in problem.days]
    for booking in problem.standing:
        if booking.date in places:
            day, place = places[booking.date]
            by_day[day].append((place, booking))
    return tuple(tuple(bookings) for bookings in by_day)


def _days_apart(days: tuple[Day, ...]) -> NDArray[np.int64]:
    apart = np.full((len(days), len(days)), NEVER, dtype=np.int64)
    numbers = [np.array([when.toordinal() for when in day.dates], dtype=np.int64) for day in days]
    for a, first in enumerate(numbers):
        for b, second in enumerate(numbers):
            if len(first) and len(second):
                apart[a, b] = np.abs(first[:, None] - second[None, :]).min()
    return apart


def _rest_needed(asks: tuple[Ask, ...]) -> NDArray[np.int64]:
    """Take the larger of two asks' rest where one squad makes both."""
    rest = np.zeros((len(asks), len(asks)), dtype=np.int64)
    by_squad: dict[str, list[int]] = {}
    for n, ask in enumerate(asks):
        by_squad.setdefault(ask.squad, []).append(n)
    for own in by_squad.values():
        for a in own:
            for b in own:
                rest[a, b] = max(asks[a].rest_days, asks[b].rest_days)
    return rest


def _nested(grounds: tuple[Ground, ...]) -> list[tuple[int, int]]:
    return [
        (a, b)
        for a, small in enumerate(grounds)
        for b, big in enumerate(grounds)
        if a != b and small.pitch == big.pitch and small.cells & ~big.cells == 0
    ]
