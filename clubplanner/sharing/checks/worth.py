"""The points of a plan once more, one place at a time, in plain Python.

Like `checking`, it shares nothing with the search but the values of a problem and the points that
`scoring` names, so that a mistake there cannot hide here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.by_place import grouped
from clubplanner.sharing.checks.checking import is_covered
from clubplanner.sharing.values.points import (
    CLOSE_POINTS,
    DAY_POINTS,
    FIRST_POINTS,
    LOST_POINTS,
    PLACED_POINTS,
    SESSION_POINTS,
    THRESHOLDS,
    TIME_POINTS,
    WISH_POINTS,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Ask, Day, Ground, Placement, Problem
    from clubplanner.sharing.values.wants import Wish


@dataclass(frozen=True, slots=True)
class Served:
    """How well a squad is served: wish points, those it could have alone, percentage and past."""

    squad: str
    score: int
    best_alone: int
    percent: int
    past: int


def placing(problem: Problem, plan: Sequence[Placement]) -> int:
    """Count sessions by priority, and each squad's first by its highest."""
    by_ask = {ask.key: ask for ask in problem.asks}
    by_squad = grouped(problem.asks, lambda ask: ask.squad)
    total = sum(SESSION_POINTS * by_ask[item.ask].priority for item in plan)
    for squad in {by_ask[item.ask].squad for item in plan}:
        total += FIRST_POINTS * max(ask.priority for ask in by_squad[squad])
    return total


def wish(problem: Problem, ask: Ask, ground: Ground, day: Day, start_min: int, lost: int) -> int:
    """Score one place: placed, time, close ground, less for lost dates, more for kept wishes.

    Of the problem only the ground of that pitch counts.
    """
    needed = max(ask.least_m2, ask.least_share * ground.area_m2 / ground.share_of_pitch)
    close = math.floor(CLOSE_POINTS * min(1.0, needed / ground.area_m2) + 0.05)
    taken = math.ceil(LOST_POINTS * lost / len(day.dates))
    points = PLACED_POINTS + _time(ask, day.index, start_min) + close - taken
    for item in ask.wishes:
        is_then = _is_wished_then(item, ask, day.index, start_min)
        if is_then and is_wished_there(problem, item, ground):
            points += WISH_POINTS * item.grade // sum(other.grade for other in ask.wishes)
    return points


def is_wished_there(problem: Problem, item: Wish, ground: Ground) -> bool:
    """Whether a ground is as a wish says."""
    is_venue = not item.venues or ground.venue in item.venues
    around = [
        other
        for other in problem.grounds
        if other.pitch == ground.pitch and ground.cells | other.cells == other.cells
    ]
    return is_venue and (not item.grounds or any(other.key in item.grounds for other in around))


def _is_wished_then(item: Wish, ask: Ask, day: int, start_min: int) -> bool:
    """Whether the whole of a session is when a wish says."""
    is_day = not item.days or day in item.days
    ranges = [(w.start_min, w.end_min) for w in item.windows if w.day == day]
    return is_day and (not item.windows or is_covered(start_min, start_min + ask.minutes, ranges))


def _time(ask: Ask, day: int, start_min: int) -> int:
    ranges = [(w.start_min, w.end_min) for w in ask.preferred if w.day == day]
    if not ask.preferred or is_covered(start_min, start_min + ask.minutes, ranges):
        return TIME_POINTS
    return DAY_POINTS if ranges else 0


def worst_off(served: Sequence[Served]) -> int:
    """Return the least percentage with the past, at most 100."""
    return min([100, *(item.percent + item.past for item in served if item.best_alone)])


def shortfall(served: Sequence[Served]) -> int:
    """Add up percent points under the thresholds, the past counted in."""
    total = 0
    for item in served:
        for percent, weight in THRESHOLDS:
            if item.best_alone:
                lacking = (percent - item.past) * item.best_alone - 100 * item.score
                total += weight * max(0, math.ceil(lacking / item.best_alone))
    return total
