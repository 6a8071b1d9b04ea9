"""The points of a plan once more, one place at a time, in plain Python.

Like `checking`, it shares nothing with the search but the values of a problem and the points that
`scoring` names, so that a mistake there cannot hide here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checking import check
from clubplanner.sharing.problem import AREA_SLACK_M2, Placement
from clubplanner.sharing.scoring import (
    CLOSE_POINTS,
    DAY_POINTS,
    FIRST_POINTS,
    FLOOR_POINTS,
    LOST_POINTS,
    PLACED_POINTS,
    SESSION_POINTS,
    THRESHOLDS,
    TIME_POINTS,
)

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from clubplanner.sharing.problem import Ask, Day, Ground, Problem


@dataclass(frozen=True, slots=True)
class Served:
    """How well a squad is served: wish points, those it could have alone, and the percentage."""

    squad: str
    score: int
    best_alone: int
    percent: int


def placing(problem: Problem, plan: Sequence[Placement]) -> int:
    """Count sessions by priority, and each squad's first by its highest."""
    by_ask = {ask.key: ask for ask in problem.asks}
    total = sum(SESSION_POINTS * by_ask[item.ask].priority for item in plan)
    for squad in {by_ask[item.ask].squad for item in plan}:
        top = max(ask.priority for ask in problem.asks if ask.squad == squad)
        total += FIRST_POINTS * top
    return total


def wish(ask: Ask, ground: Ground, day: Day, start_min: int, lost: int) -> int:
    """Score one place: for being placed, for its time, for close ground, less for lost dates."""
    needed = max(ask.least_m2, ask.least_share * ground.area_m2 / ground.share_of_pitch)
    close = math.floor(CLOSE_POINTS * min(1.0, needed / ground.area_m2) + 0.05)
    taken = math.ceil(LOST_POINTS * lost / len(day.dates))
    return PLACED_POINTS + _time(ask, day.index, start_min) + close - taken


def serve(problem: Problem, plan: Sequence[Placement]) -> tuple[Served, ...]:
    """Measure how well each squad is served, in the order of the asks."""
    days, grounds = problem.days, {ground.key: ground for ground in problem.grounds}
    by_ask = {ask.key: ask for ask in problem.asks}
    scores: dict[str, int] = {}
    for item in plan:
        ask, ground = by_ask[item.ask], grounds[item.ground]
        points = wish(ask, ground, days[item.day], item.start_min, len(item.lost_dates))
        scores[ask.squad] = scores.get(ask.squad, 0) + points
    alone: dict[str, int] = {}
    for ask in problem.asks:
        alone[ask.squad] = alone.get(ask.squad, 0) + best_alone(problem, ask)
    return tuple(
        Served(
            squad,
            scores.get(squad, 0),
            most,
            100 * scores.get(squad, 0) // most if most else 100,
        )
        for squad, most in alone.items()
    )


def shortfall(served: Sequence[Served]) -> int:
    """Add up percent points under the thresholds and what the worst-off lacks to 100."""
    measured = [item for item in served if item.best_alone]
    total = FLOOR_POINTS * (100 - min((item.percent for item in measured), default=100))
    for item in measured:
        for percent, weight in THRESHOLDS:
            lacking = percent * item.best_alone - 100 * item.score
            total += weight * max(0, math.ceil(lacking / item.best_alone))
    return total


def best_alone(problem: Problem, ask: Ask) -> int:
    """Add up the best place of each day, best days first, for as many sessions as asked."""
    best = [_best_of_day(problem, ask, day) for day in problem.days]
    return sum(sorted(best, reverse=True)[: ask.sessions])


def lost_dates(
    problem: Problem, ground: Ground, day: Day, start_min: int, end_min: int
) -> tuple[date, ...]:
    """List the dates on which standing bookings take a ground at a time."""
    gap = problem.changeover_minutes
    taken = {
        booking.date
        for booking in problem.standing
        if booking.pitch == ground.pitch
        and booking.cells & ground.cells
        and start_min < booking.end_min + gap
        and booking.start_min < end_min + gap
    }
    return tuple(when for when in day.dates if when in taken)


def _time(ask: Ask, day: int, start_min: int) -> int:
    windows = [window for window in ask.preferred if window.day == day]
    minutes = range(start_min, start_min + ask.minutes)
    if not ask.preferred or all(
        any(window.start_min <= minute < window.end_min for window in windows) for minute in minutes
    ):
        return TIME_POINTS
    return DAY_POINTS if windows else 0


def _best_of_day(problem: Problem, ask: Ask, day: Day) -> int:
    """Score the best place of a day: the likeliest places first, until none can be better."""
    grounds = {ground.key: ground for ground in problem.grounds}
    best = 0
    for pin in ask.pinned:
        if pin.day == day.index:
            lost = lost_dates(problem, grounds[pin.ground], day, pin.start_min, pin.end_min)
            points = wish(ask, grounds[pin.ground], day, pin.start_min, len(lost))
            best = max(best, points)
    if not day.dates:
        return best
    starts = _starts(problem, ask, day.index)
    likely = [
        (wish(ask, ground, day, start, 0), start, n)
        for n, ground in enumerate(problem.grounds)
        if ground.area_m2 >= ask.least_m2 - AREA_SLACK_M2
        for start in starts
    ]
    for points, start, n in sorted(likely, reverse=True):
        if points <= best:
            break
        ground = problem.grounds[n]
        lost = lost_dates(problem, ground, day, start, start + ask.minutes)
        place = Placement(ask.key, 0, ground.key, day.index, start, start + ask.minutes, lost)
        if not check(_alone(problem, ask, ground), [place]):
            best = max(best, wish(ask, ground, day, start, len(lost)))
    return best


def _starts(problem: Problem, ask: Ask, day: int) -> list[int]:
    windows = [window for window in ask.possible if window.day == day]
    starts = {window.start_min for window in windows}
    for window in windows:
        starts |= {
            minute
            for minute in range(window.start_min, window.end_min)
            if minute % problem.step_minutes == 0
        }
    return sorted(starts)


def _alone(problem: Problem, ask: Ask, ground: Ground) -> Problem:
    """Return a problem with one ask, not pinned, and one ground: to judge a place by itself."""
    here = tuple(booking for booking in problem.standing if booking.pitch == ground.pitch)
    return replace(problem, grounds=(ground,), asks=(replace(ask, pinned=()),), standing=here)
