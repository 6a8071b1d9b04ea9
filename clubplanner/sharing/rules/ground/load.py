"""Load: how much sessions wear a pitch, week by week, and what its limit leaves room for.

Pinned sessions may pass a limit; nothing is added to what passes it.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.language import _
from clubplanner.sharing.ground.terrain import once
from clubplanner.sharing.rules.rule import Rule, Words

if TYPE_CHECKING:
    from collections.abc import Collection
    from datetime import date

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Draft, Mask, Stays
    from clubplanner.sharing.values.facts import RuleSaid
    from clubplanner.sharing.values.problem import Ask, Ground, Problem, Standing

_NO_LIMIT = 1 << 40
GRASS = "grass"
"""The surface that wears; limits on others are told without a word of grass."""
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


@once
def weeks_of(terrain: Terrain) -> tuple[NDArray[np.int64], ...]:
    """Return by day the number of the week, Monday to Sunday, of each of its dates."""
    numbers = _week_numbers(terrain.problem)
    return tuple(
        np.array([numbers[_monday(when)] for when in day.dates], dtype=np.int64)
        for day in terrain.problem.days
    )


@once
def limits_of(terrain: Terrain) -> tuple[Limit, ...]:
    """Return the limits of a problem, with the room that standing bookings leave."""
    problem = terrain.problem
    weeks = _week_numbers(problem)
    limits: list[Limit] = []
    for load in problem.loads:
        for is_minutes, most in ((True, load.most_minutes), (False, load.most_sessions)):
            if most is None:
                continue
            full = most if is_minutes else most * A_SESSION
            room = np.full(len(weeks), full, dtype=np.int64)
            for booking in problem.standing:
                week = weeks.get(_monday(booking.date))
                if booking.pitch == load.pitch and week is not None:
                    room[week] -= _wear_of_standing(problem, booking, is_minutes=is_minutes)
            limits.append(Limit(terrain.pitches.index(load.pitch), is_minutes, room))
    return tuple(limits)


def limited_pitches(terrain: Terrain) -> set[int]:
    """Return the numbers of the pitches that have a limit."""
    return {limit.pitch for limit in limits_of(terrain)}


def wear(ground: Ground, minutes: int, percent: int, *, is_minutes: bool) -> int:
    """Measure what one session counts: whole minutes of the pitch, rounded up, or percent."""
    if not is_minutes:
        return percent
    if ground.share is not None:
        return -(-minutes * percent * ground.share // 1200)
    return int(np.ceil(minutes * percent * ground.share_of_pitch / 100 - 1e-6))


def wears_too_much(terrain: Terrain, ask: Ask, stays: Stays) -> Mask | None:
    """Mark places that a single session wears too much, with nobody else there."""
    if not limits_of(terrain):
        return None
    over = np.zeros(stays.lost.shape, dtype=bool)
    for is_minutes, most in _most_by_day(terrain).items():
        amounts = _wear_by_ground(terrain, ask.minutes, ask.wear_percent, is_minutes=is_minutes)
        # a place that loses dates wears it less, so only these can be too much
        for number in np.flatnonzero(amounts > most[stays.day]).tolist():
            amount = int(amounts[number])
            for limit in limits_of(terrain):
                if (limit.pitch, limit.is_minutes) != (int(terrain.pitch[number]), is_minutes):
                    continue
                for mask in np.unique(stays.lost[number]):
                    used = _dates_by_week(terrain, limit, stays.day, int(mask))
                    if ((used * amount > limit.room) & (used * amount > 0)).any():
                        over[number, stays.lost[number] == mask] = True
    return over


@once
def _most_by_day(terrain: Terrain) -> dict[bool, NDArray[np.int64]]:
    """Return by sort of limit, day and ground what one session may count on all its dates."""
    shape = len(terrain.problem.days), len(terrain.problem.grounds)
    most = {is_minutes: np.full(shape, _NO_LIMIT) for is_minutes in (True, False)}
    for limit in limits_of(terrain):
        here = terrain.pitch == limit.pitch
        for day in range(shape[0]):
            dates = _dates_by_week(terrain, limit, day, 0)
            rooms = limit.room[dates > 0] // dates[dates > 0]
            least = int(rooms.min(initial=_NO_LIMIT))
            most[limit.is_minutes][day, here] = np.minimum(most[limit.is_minutes][day, here], least)
    return most


@once
def _known_wear(_terrain: Terrain) -> dict[tuple[int, int, bool], NDArray[np.int64]]:
    return {}


def _wear_by_ground(
    terrain: Terrain, minutes: int, percent: int, *, is_minutes: bool
) -> NDArray[np.int64]:
    """Measure by ground what one session there counts."""
    known, key = _known_wear(terrain), (minutes, percent, is_minutes)
    if key not in known:
        amounts = [
            wear(g, minutes, percent, is_minutes=is_minutes) for g in terrain.problem.grounds
        ]
        known[key] = np.array(amounts, dtype=np.int64)
    return known[key]


def week_loads(
    terrain: Terrain, rows: Candidates, limit: Limit
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Measure what rows count against one limit.

    Returns:
        The numbers of the rows on its pitch, and for each what it counts by week.
    """
    here = np.flatnonzero(terrain.pitch[rows.ground] == limit.pitch)
    percents = np.array([ask.wear_percent for ask in terrain.problem.asks], dtype=np.int64)
    wears, which = _distinct(
        percents[rows.ask[here]], rows.ground[here], rows.end[here] - rows.start[here]
    )
    amounts = np.zeros(len(wears), dtype=np.int64)
    for n, (percent, ground, minutes) in enumerate(wears):
        where = terrain.problem.grounds[ground]
        amounts[n] = wear(where, minutes, percent, is_minutes=limit.is_minutes)
    days, when = _distinct(rows.day[here], rows.lost[here])
    dates = np.zeros((len(days), len(limit.room)), dtype=np.int64)
    for n, (day, lost) in enumerate(days):
        dates[n] = _dates_by_week(terrain, limit, day, lost)
    return here, amounts[which][:, None] * dates[when]


def _distinct(
    *columns: NDArray[np.int64] | NDArray[np.uint64],
) -> tuple[list[tuple[int, ...]], NDArray[np.int64]]:
    """List the different rows of some columns, and which of them each row is."""
    numbers = np.zeros(len(columns[0]), dtype=np.int64)
    for column in columns:
        values, places = np.unique(column, return_inverse=True)
        numbers = numbers * max(1, len(values)) + places
    _unused, first, which = np.unique(numbers, return_index=True, return_inverse=True)
    found = zip(*(column[first].tolist() for column in columns), strict=True)
    return list(found), which


def overloads(terrain: Terrain, rows: Candidates, plan: Candidates) -> Mask:
    """Tell which rows would wear a pitch beyond its limit if they were added to a plan."""
    over = np.zeros(len(rows), dtype=bool)
    pitches = set(terrain.pitch[rows.ground].tolist())
    for limit in limits_of(terrain):
        if limit.pitch not in pitches:
            continue
        _unused, planned = week_loads(terrain, plan, limit)
        here, loads = week_loads(terrain, rows, limit)
        total = planned.sum(axis=0)[None, :] + loads
        over[here] |= ((total > limit.room[None, :]) & (loads > 0)).any(axis=1)
    return over


def on_limited_pitch(terrain: Terrain, rows: Candidates) -> Mask:
    """Tell which rows count against a limit."""
    return np.isin(terrain.pitch[rows.ground], sorted(limited_pitches(terrain)))


def add_rows(draft: Draft) -> None:
    """Hold what sessions wear a pitch to its limit in every week; pinned ones may pass it."""
    for limit in limits_of(draft.terrain):
        here, loads = week_loads(draft.terrain, draft.rows, limit)
        pinned = loads[draft.slots.is_pinned[here]].sum(axis=0)
        room = limit.room
        if draft.fixed is not None:
            room = room - week_loads(draft.terrain, draft.fixed, limit)[1].sum(axis=0)
        room = np.maximum(room, pinned)
        known: dict[tuple[int, ...], int] = {}
        for week in range(loads.shape[1]):
            key = tuple(loads[:, week].tolist())
            known[key] = min(int(room[week]), known.get(key, int(room[week])))
        for key, most in known.items():
            pairs = zip(here.tolist(), key, strict=True)
            used = [(draft.chosen[slot], load) for slot, load in pairs if load]
            if sum(load for _variable, load in used) > most:
                terms, weights = zip(*used, strict=True)
                row = cp_model.LinearExpr.weighted_sum(list(terms), list(weights))
                draft.model.add(row <= max(0, most))


def _monday(when: date) -> date:
    return when - timedelta(days=when.weekday())


def _week_numbers(problem: Problem) -> dict[date, int]:
    mondays = sorted({_monday(when) for day in problem.days for when in day.dates})
    return {monday: number for number, monday in enumerate(mondays)}


def _dates_by_week(terrain: Terrain, limit: Limit, day: int, lost: int) -> NDArray[np.int64]:
    weeks = [int(week) for n, week in enumerate(weeks_of(terrain)[day]) if not lost >> n & 1]
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


def _is_grass(terrain: Terrain, pitches: Collection[int]) -> bool:
    """Tell whether all limited ones of some pitches, all for none, are of grass."""
    limited = {limit.pitch for limit in terrain.problem.loads}
    named = {terrain.pitches[number] for number in pitches} & limited or limited
    found = {g.surface for g in terrain.problem.grounds if g.pitch in named}
    return found == {GRASS}


def _but_for(said: RuleSaid) -> str:
    if said.names:
        return _("the limit on how much the grass may be used")
    return _("the limit on how much the ground may be used")


def _why_not(said: RuleSaid) -> str:
    if said.names:
        return _("the grass may not be used more")
    return _("the ground may not be used more")


RULE = Rule(
    code="load",
    on_ask=wears_too_much,
    too_many=overloads,
    counted=on_limited_pitch,
    add_rows=add_rows,
    words=Words(
        wanted=lambda _said: _("may be used that much more in a week"),
        but_for=_but_for,
    ),
    why_not=_why_not,
    says=lambda terrain, _ask, pitches: {"names": (GRASS,) if _is_grass(terrain, pitches) else ()},
)
