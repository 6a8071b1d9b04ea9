"""The points of a plan once more, one place at a time, in plain Python.

Like `checking`, it shares nothing with the search but the values of a problem and the points that
`scoring` names, so that a mistake there cannot hide here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import AREA_SLACK_M2
from clubplanner.sharing.checks.checking import check
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
from clubplanner.sharing.values.problem import Placement

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date

    from clubplanner.sharing.values.problem import Ask, Day, Ground, Problem
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
    total = sum(SESSION_POINTS * by_ask[item.ask].priority for item in plan)
    for squad in {by_ask[item.ask].squad for item in plan}:
        top = max(ask.priority for ask in problem.asks if ask.squad == squad)
        total += FIRST_POINTS * top
    return total


def wish(problem: Problem, ask: Ask, ground: Ground, day: Day, start_min: int, lost: int) -> int:
    """Score one place: placed, time, close ground, less for lost dates, more for kept wishes."""
    needed = max(ask.least_m2, ask.least_share * ground.area_m2 / ground.share_of_pitch)
    close = math.floor(CLOSE_POINTS * min(1.0, needed / ground.area_m2) + 0.05)
    taken = math.ceil(LOST_POINTS * lost / len(day.dates))
    points = PLACED_POINTS + _time(ask, day.index, start_min) + close - taken
    for item in ask.wishes:
        if _keeps(problem, item, ask, ground, day.index, start_min):
            points += WISH_POINTS * item.grade // sum(other.grade for other in ask.wishes)
    return points


def _keeps(
    problem: Problem, item: Wish, ask: Ask, ground: Ground, day: int, start_min: int
) -> bool:
    """Whether a session meets every part of a wish."""
    is_day = not item.days or day in item.days
    is_venue = not item.venues or ground.venue in item.venues
    around = [
        other
        for other in problem.grounds
        if other.pitch == ground.pitch and ground.cells | other.cells == other.cells
    ]
    is_ground = not item.grounds or any(other.key in item.grounds for other in around)
    is_time = not item.windows or all(
        any(w.day == day and w.start_min <= minute < w.end_min for w in item.windows)
        for minute in range(start_min, start_min + ask.minutes)
    )
    return is_day and is_venue and is_ground and is_time


def serve(problem: Problem, plan: Sequence[Placement]) -> tuple[Served, ...]:
    """Measure how well each squad is served, in the order of the asks."""
    days, grounds = problem.days, {ground.key: ground for ground in problem.grounds}
    by_ask = {ask.key: ask for ask in problem.asks}
    scores: dict[str, int] = {}
    for item in plan:
        ask, ground = by_ask[item.ask], grounds[item.ground]
        points = wish(problem, ask, ground, days[item.day], item.start_min, len(item.lost_dates))
        scores[ask.squad] = scores.get(ask.squad, 0) + points
    alone: dict[str, int] = {}
    past: dict[str, int] = {}
    for ask in problem.asks:
        alone[ask.squad] = alone.get(ask.squad, 0) + best_alone(problem, ask)
        past.setdefault(ask.squad, ask.past)
    return tuple(
        Served(
            squad,
            scores.get(squad, 0),
            most,
            100 * scores.get(squad, 0) // most if most else 100 * (scores.get(squad, 0) > 0),
            past[squad],
        )
        for squad, most in alone.items()
    )


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


def best_alone(problem: Problem, ask: Ask) -> int:
    """Add up the best places on days far enough apart, for as many sessions as asked."""
    best = [_best_of_day(problem, ask, day) for day in problem.days]
    if not ask.rest_days and _most_in_a_row(problem, ask) is None:
        return sum(sorted(best, reverse=True)[: ask.sessions])
    return _most_apart(problem, ask, tuple(best), 0, ())


def _most_apart(
    problem: Problem, ask: Ask, best: Sequence[int], at: int, taken: tuple[int, ...]
) -> int:
    """Take a day or leave it, one after the other."""
    if at == len(best) or len(taken) == ask.sessions:
        return 0
    most = _most_apart(problem, ask, best, at + 1, taken)
    near = any(
        abs((one - other).days) <= ask.rest_days
        for day in taken
        for one in problem.days[day].dates
        for other in problem.days[at].dates
    )
    if best[at] and not near and not _is_too_long(problem, ask, (*taken, at)):
        most = max(most, best[at] + _most_apart(problem, ask, best, at + 1, (*taken, at)))
    return most


def _most_in_a_row(problem: Problem, ask: Ask) -> int | None:
    """Return the smallest number of evenings in a row that the squad's asks allow."""
    own = [other.most_in_a_row for other in problem.asks if other.squad == ask.squad]
    return min((most for most in own if most is not None), default=None)


def _is_too_long(problem: Problem, ask: Ask, days: Sequence[int]) -> bool:
    """Whether the dates of some days hold more in a row than the squad may have."""
    most = _most_in_a_row(problem, ask)
    dates = sorted(when.toordinal() for day in days for when in problem.days[day].dates)
    length = 0
    for n, when in enumerate(dates):
        length = length + 1 if n and when == dates[n - 1] + 1 else 1
        if most is not None and length > most:
            return True
    return False


def lost_dates(
    problem: Problem, ground: Ground, day: Day, start_min: int, end_min: int
) -> tuple[date, ...]:
    """List the dates on which standing bookings take a ground at a time."""
    taken = {
        booking.date
        for booking in problem.standing
        for gap in (problem.changeover_minutes if booking.needs_changeover else 0,)
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
            points = wish(problem, ask, grounds[pin.ground], day, pin.start_min, len(lost))
            best = max(best, points)
    if not day.dates:
        return best
    starts = starts_of(problem, ask, day.index)
    likely = [
        (wish(problem, ask, ground, day, start, 0), start, n)
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
            best = max(best, wish(problem, ask, ground, day, start, len(lost)))
    return best


def starts_of(problem: Problem, ask: Ask, day: int) -> list[int]:
    """List the minutes at which a session of an ask could start on a day, by its own windows."""
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
    """Return a problem with one ask, not pinned, and one pitch: to judge a place by itself."""
    here = tuple(booking for booking in problem.standing if booking.pitch == ground.pitch)
    parts = tuple(other for other in problem.grounds if other.pitch == ground.pitch)
    return replace(problem, grounds=parts, asks=(replace(ask, pinned=()),), standing=here)
