"""How much sessions wear a pitch, week by week, and what its load limit leaves room for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Ask, Ground, Problem, Standing

A_SESSION = 100
"""A session in the units of a limit on sessions: percent."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit of a pitch.

    Attributes:
        pitch: Number of the pitch.
        is_minutes: Whether minutes of the whole pitch count; otherwise percent of sessions.
        room: By week, what standing bookings leave of it; below 0 where they leave nothing.
    """

    pitch: int
    is_minutes: bool
    room: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class WearBook:
    """The weeks of a plan and the limits that bind in them.

    Attributes:
        week_of: By day, the number of the week of each of its dates.
        limits: All limits.
    """

    week_of: tuple[NDArray[np.int64], ...]
    limits: tuple[Limit, ...]


def open_wear_book(problem: Problem, pitches: Sequence[str]) -> WearBook:
    """Compute the weeks and limits of a problem."""
    mondays = sorted({_monday(when) for day in problem.days for when in day.dates})
    numbers = {monday: n for n, monday in enumerate(mondays)}
    week_of = tuple(
        np.array([numbers[_monday(when)] for when in day.dates], dtype=np.int64)
        for day in problem.days
    )
    limits: list[Limit] = []
    for load in problem.loads:
        for is_minutes, most in ((True, load.most_minutes), (False, load.most_sessions)):
            if most is None:
                continue
            full = most if is_minutes else most * A_SESSION
            room = np.full(len(mondays), full, dtype=np.int64)
            for booking in problem.standing:
                week = numbers.get(_monday(booking.date))
                if booking.pitch == load.pitch and week is not None:
                    room[week] -= _wear_of_standing(problem, booking, is_minutes=is_minutes)
            limits.append(Limit(list(pitches).index(load.pitch), is_minutes, room))
    return WearBook(week_of, tuple(limits))


def wear(ground: Ground, minutes: int, percent: int, *, is_minutes: bool) -> int:
    """Measure what one session counts: whole minutes of the pitch, rounded up, or percent."""
    if not is_minutes:
        return percent
    if ground.share is not None:
        return -(-minutes * percent * ground.share // 1200)
    return int(np.ceil(minutes * percent * ground.share_of_pitch / 100 - 1e-6))


def overloads_alone(
    terrain: Terrain, ask: Ask, day: int, lost: NDArray[np.uint64]
) -> NDArray[np.bool_]:
    """Tell which places a single session wears too much, with nobody else there.

    Args:
        terrain: The problem's columns.
        ask: Whose session.
        day: Index of the day.
        lost: Dates lost, by ground and start.
    """
    over = np.zeros(lost.shape, dtype=bool)
    for limit in terrain.wear.limits:
        for ground in np.flatnonzero(terrain.pitch == limit.pitch).tolist():
            amount = _amount(terrain, limit, ground, ask)
            for mask in np.unique(lost[ground]):
                used = _dates_by_week(terrain.wear, limit, day, int(mask))
                if ((used * amount > limit.room) & (used * amount > 0)).any():
                    over[ground, lost[ground] == mask] = True
    return over


def week_loads(
    terrain: Terrain, rows: Candidates, limit: Limit
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Measure what rows count against one limit.

    Returns:
        The numbers of the rows on its pitch, and for each what it counts by week.
    """
    here = np.flatnonzero(terrain.pitch[rows.ground] == limit.pitch)
    loads = np.zeros((len(here), len(limit.room)), dtype=np.int64)
    known: dict[tuple[int, int], NDArray[np.int64]] = {}
    for n, row in enumerate(here.tolist()):
        key = int(rows.day[row]), int(rows.lost[row])
        if key not in known:
            known[key] = _dates_by_week(terrain.wear, limit, *key)
        ask = terrain.problem.asks[int(rows.ask[row])]
        minutes = int(rows.end[row] - rows.start[row])
        ground = terrain.problem.grounds[int(rows.ground[row])]
        amount = wear(ground, minutes, ask.wear_percent, is_minutes=limit.is_minutes)
        loads[n] = amount * known[key]
    return here, loads


def overloads(terrain: Terrain, rows: Candidates, plan: Candidates) -> NDArray[np.bool_]:
    """Tell which rows would wear a pitch beyond its limit if they were added to a plan."""
    over = np.zeros(len(rows), dtype=bool)
    for limit in terrain.wear.limits:
        _, planned = week_loads(terrain, plan, limit)
        here, loads = week_loads(terrain, rows, limit)
        total = planned.sum(axis=0)[None, :] + loads
        over[here] |= ((total > limit.room[None, :]) & (loads > 0)).any(axis=1)
    return over


def _monday(when: date) -> date:
    return when - timedelta(days=when.weekday())


def _amount(terrain: Terrain, limit: Limit, ground: int, ask: Ask) -> int:
    where = terrain.problem.grounds[ground]
    return wear(where, ask.minutes, ask.wear_percent, is_minutes=limit.is_minutes)


def _dates_by_week(book: WearBook, limit: Limit, day: int, lost: int) -> NDArray[np.int64]:
    weeks = [int(week) for n, week in enumerate(book.week_of[day]) if not lost >> n & 1]
    return np.bincount(np.array(weeks, dtype=np.int64), minlength=len(limit.room))


def _wear_of_standing(problem: Problem, booking: Standing, *, is_minutes: bool) -> int:
    """Measure a standing booking as a session on the smallest ground that holds its cells."""
    if not is_minutes:
        return booking.wear_percent
    parts: dict[int, Ground] = {}
    for ground in problem.grounds:
        if ground.pitch == booking.pitch and booking.cells & ~ground.cells == 0:
            parts[ground.cells] = ground
    minutes = booking.end_min - booking.start_min
    amounts = [wear(g, minutes, booking.wear_percent, is_minutes=True) for g in parts.values()]
    return min(amounts, default=-(-minutes * booking.wear_percent // 100))
