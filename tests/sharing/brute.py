"""Every plan of a tiny problem, sharing nothing with the model but values and the checker."""

from __future__ import annotations

import math
from datetime import timedelta
from functools import cache
from itertools import combinations, product
from typing import TYPE_CHECKING, Any

from clubplanner.sharing import Placement, check

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from clubplanner.sharing import Ask, Ground, Price, Problem, Standing


BEYOND_MIN = 60
"""How long before and after everything that an ask may have its session is tried, minutes: whether
the checker refuses what lies further away is looked at once (`test_brute.py`)."""


@cache
def every_place(problem: Problem, ask: Ask, beyond_min: int = BEYOND_MIN) -> list[Placement]:
    """List every place that the checker passes for one session of an ask by itself."""

    def gap(booking: Standing) -> int:
        return problem.changeover_minutes if booking.needs_changeover else 0

    found = []
    starts = {window.start_min for window in ask.possible}
    first = min((window.start_min for window in ask.possible), default=0) - beyond_min
    last = max((window.end_min for window in ask.possible), default=0) + beyond_min
    starts |= {n for n in range(0, 24 * 60, problem.step_minutes) if first <= n <= last}
    for ground, day, start in product(problem.grounds, problem.days, sorted(starts)):
        lost = tuple(
            when
            for when in day.dates
            if any(
                booking.date == when
                and booking.pitch == ground.pitch
                and booking.cells & ground.cells
                and start < booking.end_min + gap(booking)
                and booking.start_min < start + ask.minutes + gap(booking)
                for booking in problem.standing
            )
        )
        place = Placement(
            ask.key, 0, ground.key, day.index, start, start + ask.minutes, lost_dates=lost
        )
        if day.dates and not [f for f in check(problem, [place]) if f.code != "pin"]:
            found.append(place)
    return found


def most_plans(problem: Problem) -> int:
    """Return a number that the plans of a problem do not pass."""
    return math.prod((1 + len(every_place(problem, ask))) ** ask.sessions for ask in problem.asks)


def every_plan(problem: Problem) -> Iterator[tuple[Placement, ...]]:
    """Yield every sound plan of a tiny problem without pins."""
    sessions = [(ask, n) for ask in problem.asks for n in range(ask.sessions)]
    places = {ask.key: every_place(problem, ask) for ask in problem.asks}

    def grow(at: int, plan: tuple[Placement, ...]) -> Iterator[tuple[Placement, ...]]:
        if at == len(sessions):
            yield plan
            return
        ask, number = sessions[at]
        yield from grow(at + 1, plan)
        for place in places[ask.key]:
            own = Placement(
                place.ask,
                number,
                place.ground,
                place.day,
                place.start_min,
                place.end_min,
                place.lost_dates,
            )
            before = plan[-1] if plan and plan[-1].ask == place.ask else None
            if before is not None and before.day >= place.day:
                continue  # the sessions of an ask are alike, so one order of days is enough
            if not check(problem, [*plan, own]):
                yield from grow(at + 1, (*plan, own))

    yield from grow(0, ())


def points(problem: Problem, plan: tuple[Placement, ...]) -> int:
    """Count 5 a session and 2 more for a squad's first, by priority."""
    by_ask = {ask.key: ask for ask in problem.asks}
    total = sum(5 * by_ask[placement.ask].priority for placement in plan)
    for squad in {by_ask[placement.ask].squad for placement in plan}:
        total += 2 * max(ask.priority for ask in problem.asks if ask.squad == squad)
    return total


@cache
def wish(problem: Problem, placement: Placement) -> int:
    """Score one placement by the words of the rule: 50 + time + closeness - lost dates."""
    ask = next(ask for ask in problem.asks if ask.key == placement.ask)
    ground: Ground = next(item for item in problem.grounds if item.key == placement.ground)
    score = 50
    preferred = [window for window in ask.preferred if window.day == placement.day]
    minutes = range(placement.start_min, placement.end_min)
    if not ask.preferred or all(
        any(w.start_min <= minute < w.end_min for w in preferred) for minute in minutes
    ):
        score += 40
    elif preferred:
        score += 20
    pitch_m2 = ground.area_m2 / ground.share_of_pitch
    needed = max(ask.least_m2, ask.least_share * pitch_m2)
    score += int(10 * min(1.0, needed / ground.area_m2) + 0.05)
    dates = len(problem.days[placement.day].dates)
    score -= -(-40 * len(placement.lost_dates) // dates)
    grades = sum(item.grade for item in ask.wishes)
    for item in ask.wishes:
        is_kept = (
            (not item.days or placement.day in item.days)
            and (not item.venues or ground.venue in item.venues)
            and (not item.grounds or any(_lies_in(problem, ground, key) for key in item.grounds))
            and (
                not item.windows
                or all(
                    any(
                        w.day == placement.day and w.start_min <= minute < w.end_min
                        for w in item.windows
                    )
                    for minute in minutes
                )
            )
        )
        score += 30 * item.grade // grades if is_kept else 0
    return score


def _lies_in(problem: Problem, ground: Ground, key: str) -> bool:
    other = next(item for item in problem.grounds if item.key == key)
    return ground.pitch == other.pitch and ground.cells & other.cells == ground.cells


def measures(problem: Problem, plan: tuple[Placement, ...]) -> tuple[int, ...]:
    """Compute the aims, each as more is better, those that the problem does not have as 0."""
    percents = []
    shortfall = 0
    for squad in dict.fromkeys(ask.squad for ask in problem.asks):
        own = [ask for ask in problem.asks if ask.squad == squad]
        alone = sum(best_alone(problem, ask) for ask in own)
        if not alone:
            continue
        keys = {ask.key for ask in own}
        score = sum(wish(problem, item) for item in plan if item.ask in keys)
        percents.append(100 * score // alone + own[0].past)
        for percent, weight in ((60, 2), (80, 1)):
            lacking = (percent - own[0].past) * alone - 100 * score
            shortfall += weight * max(0, -(-lacking // alone))
    return (
        points(problem, plan),
        min([100, *percents]),
        -shortfall,
        sum(wish(problem, item) for item in plan) + pair_points(problem, plan),
        -nearness(problem, plan) if problem.wants_apart else 0,
        -fullness(problem, plan) if problem.evenings == "even" else 0,
        -open_evenings(problem, plan) if problem.evenings == "few" else 0,
        -cost(problem, plan),
        -fullness(problem, plan) if problem.evenings == "cheap" else 0,
        -dead_minutes(problem, plan) if problem.wants_compact else 0,
    )


def nearness(problem: Problem, plan: tuple[Placement, ...]) -> int:
    """Walk through the dates: two and three of a squad's days that follow each other, each once.

    A further session on one day counts three.
    """
    day_of = {when: day.index for day in problem.days for when in day.dates}
    step = timedelta(days=1)
    total = 0
    for squad in {ask.squad for ask in problem.asks}:
        keys = {ask.key for ask in problem.asks if ask.squad == squad}
        used = [item.day for item in plan if item.ask in keys]
        found = set()
        for when in day_of:
            for length in (2, 3):
                days = [day_of.get(when + n * step) for n in range(length)]
                if all(day in used for day in days):
                    found.add(tuple(days))
        total += len(found) + 3 * (len(used) - len(set(used)))
    return total


def fullness(problem: Problem, plan: tuple[Placement, ...]) -> int:
    """Square the sessions of each venue's evening, over its pitches."""
    total = 0
    for venue, day in {(_venue(problem, item), item.day) for item in plan}:
        count = sum(item.day == day and _venue(problem, item) == venue for item in plan)
        total += (60 // len({g.pitch for g in problem.grounds if g.venue == venue})) * count**2
    return total


def open_evenings(problem: Problem, plan: tuple[Placement, ...]) -> int:
    """Count evenings on which venues are used."""
    return len({(_venue(problem, item), item.day) for item in plan})


def _venue(problem: Problem, item: Placement) -> str:
    return next(ground.venue for ground in problem.grounds if ground.key == item.ground)


def pair_points(problem: Problem, plan: tuple[Placement, ...]) -> int:
    """Count each session that keeps a wish about two squads, or breaks one to keep apart."""
    squads = {ask.key: ask.squad for ask in problem.asks}
    places = {ground.key: (ground.venue, ground.pitch) for ground in problem.grounds}
    total = 0
    for pair in problem.pairs:
        for one in (item for item in plan if squads[item.ask] == pair.squad):
            found = set()
            for other in (item for item in plan if squads[item.ask] == pair.other):
                if other.day != one.day:
                    continue
                both = min(one.end_min, other.end_min) > max(one.start_min, other.start_min)
                venue, pitch = (
                    a == b for a, b in zip(places[one.ground], places[other.ground], strict=True)
                )
                wait = max(other.start_min - one.end_min, one.start_min - other.end_min)
                found |= {"same evening"} if venue else set()
                found |= {"one after the other"} if venue and 0 <= wait <= 30 else set()
                found |= {"not at one time"} if both else set()
                found |= {"share a pitch", "keep apart"} if both and pitch else set()
            sign = -1 if pair.kind in ("keep apart", "not at one time") else 1
            total += sign * {1: 5, 2: 10, 3: 20}[pair.grade] * (pair.kind in found)
    return total


def cost(problem: Problem, plan: tuple[Placement, ...]) -> int:
    """Add hire by the minute, openings once a day, and floodlights once however many are there."""
    grounds = {ground.key: ground for ground in problem.grounds}
    hire_of = _hire(problem)
    total = 0
    lit: dict[tuple[str, int, int], int] = {}
    for item in plan:
        hire, lamps = hire_of(item.ground, item.day, item.start_min, item.end_min)
        total += hire
        lit |= lamps
    for venue, day in {(grounds[item.ground].venue, item.day) for item in plan}:
        fees = [p for p in problem.prices if p.venue == venue and p.per_opening]
        of_day = [p for p in fees if p.day == day]
        total += sum(p.per_opening for p in of_day or fees if p.day in (None, day))
    return total + sum(lit.values())


@cache
def _hire(problem: Problem) -> Callable[..., tuple[int, dict[tuple[str, int, int], int]]]:
    """Return what computes a session's own hire and, minute by minute, its pitch's floodlights."""
    grounds = {ground.key: ground for ground in problem.grounds}

    @cache
    def hire(key: str, day: int, start_min: int, end_min: int) -> tuple[int, dict[Any, int]]:
        ground, twelfths, lit = grounds[key], 0, {}
        for minute in range(start_min, end_min):
            for kind in (False, True):
                found = price_of(problem, ground, day, minute, kind)
                if found and kind:
                    lit[ground.pitch, day, minute] = -(-found.per_hour // 60)
                elif found:
                    twelfths += found.per_hour * (12 if found.ground else ground.share or 12)
        return math.ceil(twelfths / 720), lit

    return hire


def price_of(problem: Problem, ground: Ground, day: int, minute: int, lamps: bool) -> Price | None:
    """Look for the price in the order in which one goes before another."""
    for pitch, own in ((ground.pitch, ground.key), (ground.pitch, None), (None, None)):
        for when in (day, None):
            for price in problem.prices:
                place = (price.venue, price.pitch, price.ground, price.day, price.for_floodlights)
                if place != (ground.venue, pitch, own, when, lamps):
                    continue
                if price.from_min is None and (price.per_hour or not price.per_opening):
                    return price
                if price.from_min is None or price.until_min is None:
                    continue
                if price.from_min <= minute < price.until_min:
                    return price
    return None


def dead_minutes(problem: Problem, plan: tuple[Placement, ...]) -> int:
    """Count minutes on which a pitch used before and after stands empty, changeover aside."""
    pitches = {ground.key: ground.pitch for ground in problem.grounds}
    total = 0
    for pitch, day in {(pitches[item.ground], item.day) for item in plan}:
        own = [item for item in plan if pitches[item.ground] == pitch and item.day == day]
        busy = {
            minute
            for item in own
            for minute in range(item.start_min, item.end_min + problem.changeover_minutes)
        }
        whole = range(min(i.start_min for i in own), max(i.start_min for i in own))
        total += len(set(whole) - busy)
    return total


@cache
def best_alone(problem: Problem, ask: Ask) -> int:
    """Add the best score of each day, best days first, for as many sessions as asked."""
    days: dict[int, int] = {}
    for place in every_place(problem, ask):
        days[place.day] = max(days.get(place.day, 0), wish(problem, place))
    best = 0
    for count in range(1, ask.sessions + 1):
        for chosen in combinations(days, count):
            gaps = [
                abs((one - other).days)
                for a, b in combinations(chosen, 2)
                for one in problem.days[a].dates
                for other in problem.days[b].dates
            ]
            if all(gap > ask.rest_days for gap in gaps) and _is_allowed(problem, ask, chosen):
                best = max(best, sum(days[day] for day in chosen))
    return best


def _is_allowed(problem: Problem, ask: Ask, chosen: tuple[int, ...]) -> bool:
    """Whether no stretch of dates that the squad may not have lies wholly in some days."""
    limits = {a.most_in_a_row for a in problem.asks if a.squad == ask.squad} - {None}
    dates = {when for day in chosen for when in problem.days[day].dates}
    return not any(
        all(first + timedelta(days=n) in dates for n in range(most + 1))
        for most in limits
        if most is not None
        for first in dates
    )


def best_measures(problem: Problem) -> tuple[int, ...]:
    """Find the best measures of all plans."""
    return max(measures(problem, plan) for plan in every_plan(problem))
