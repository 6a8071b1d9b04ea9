"""Pairs of squads, days, evenings, cost and dead minutes of a plan again, in plain Python.

Like `checking` and `worth`, it shares nothing with the search but values and named points.
"""

from __future__ import annotations

import math
from fractions import Fraction
from itertools import pairwise
from typing import TYPE_CHECKING

from clubplanner.domain.club.spread import (
    EVENING_POINTS,
    NEAR_POINTS,
    ROW_POINTS,
    SAME_DAY_POINTS,
)
from clubplanner.sharing.checks.by_place import grouped
from clubplanner.sharing.values.points import PAIR_POINTS
from clubplanner.sharing.values.wants import CLOSE_MIN, PairKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Ground, Placement, Problem
    from clubplanner.sharing.values.wants import Pair, Price


def pairs(problem: Problem, plan: Sequence[Placement]) -> int:
    """Add up what wishes about two squads bring and cost."""
    squads = {ask.key: ask.squad for ask in problem.asks}
    grounds = {ground.key: ground for ground in problem.grounds}
    by_squad = grouped(plan, lambda item: squads[item.ask])
    total = 0
    for pair in problem.pairs:
        points = PAIR_POINTS[pair.grade]
        for one in by_squad[pair.squad]:
            if not any(_meet(grounds, pair, one, other) for other in by_squad[pair.other]):
                continue
            if pair.kind in (PairKind.KEEP_APART, PairKind.NOT_TOGETHER):
                total -= points
            else:
                total += points
    return total


def apart(problem: Problem, plan: Sequence[Placement]) -> int:
    """Add up sessions of a squad on one day, on neighbouring ones and on three in a row."""
    squads = {ask.key: ask.squad for ask in problem.asks}
    total = 0
    for sessions in grouped(plan, lambda item: squads[item.ask]).values():
        own = [item.day for item in sessions]
        days = sorted(set(own))
        total += SAME_DAY_POINTS * (len(own) - len(days))
        beside = {one: {other for other in days if _is_beside(problem, one, other)} for one in days}
        total += NEAR_POINTS * sum(len(others) for others in beside.values()) // 2
        total += ROW_POINTS * sum(math.comb(len(others), 2) for others in beside.values())
    return total


def _is_beside(problem: Problem, one: int, other: int) -> bool:
    return any(
        abs(when.toordinal() - then.toordinal()) == 1
        for when in problem.days[one].dates
        for then in problem.days[other].dates
    )


def even(problem: Problem, plan: Sequence[Placement]) -> int:
    """Let each further session on a venue's evening count two times more than the one before."""
    venues = {ground.key: ground.venue for ground in problem.grounds}
    pitches = grouped(
        {(ground.venue, ground.pitch) for ground in problem.grounds}, lambda at: at[0]
    )
    evenings = grouped(plan, lambda item: (venues[item.ground], item.day))
    total = 0
    for (venue, _), here in evenings.items():
        points = max(1, EVENING_POINTS // len(pitches[venue]))
        total += sum(points * (2 * before + 1) for before in range(len(here)))
    return total


def few(problem: Problem, plan: Sequence[Placement]) -> int:
    """Count evenings on which venues are used."""
    venues = {ground.key: ground.venue for ground in problem.grounds}
    return len({(venues[item.ground], item.day) for item in plan})


def cost(problem: Problem, plan: Sequence[Placement]) -> int:
    """Add up hire by its minutes, each venue's opening once a day, and floodlights that burn."""
    grounds = {ground.key: ground for ground in problem.grounds}
    total = 0
    by_venue = grouped(problem.prices, lambda price: price.venue)
    opened: set[tuple[str, int]] = set()
    lit: dict[tuple[str, int, int], int] = {}
    for item in plan:
        ground = grounds[item.ground]
        opened.add((ground.venue, item.day))
        hire = Fraction(0)
        for first, last in _pieces(by_venue[ground.venue], item):
            price = _price_at(by_venue[ground.venue], ground, item.day, first)
            if price is not None:
                share = Fraction(1 if price.ground else ground.share_of_pitch)
                if ground.share is not None and not price.ground:
                    share = Fraction(ground.share, 12)
                hire += price.per_hour * share * (last - first) / 60
            lamps = _price_at(by_venue[ground.venue], ground, item.day, first, for_floodlights=True)
            if lamps is not None:
                burn = math.ceil(lamps.per_hour / 60)
                lit |= {(ground.pitch, item.day, minute): burn for minute in range(first, last)}
        total += math.ceil(hire if ground.share is not None else float(hire) - 1e-6)
    for venue, day in opened:
        of_venue = [price for price in by_venue[venue] if price.pitch is None]
        own = sum(price.per_opening for price in of_venue if price.day == day)
        total += own or sum(price.per_opening for price in of_venue if price.day is None)
    return total + sum(lit.values())


def _pieces(prices: Sequence[Price], item: Placement) -> Sequence[tuple[int, int]]:
    """Cut a session where some price begins or ends: in between the same one holds throughout."""
    bounds = {minute for price in prices for minute in (price.from_min, price.until_min)}
    inner = sorted(m for m in bounds if m is not None and item.start_min < m < item.end_min)
    return list(pairwise((item.start_min, *inner, item.end_min)))


def _price_at(
    prices: Sequence[Price],
    ground: Ground,
    day: int,
    minute: int,
    *,
    for_floodlights: bool = False,
) -> Price | None:
    """Return that of a venue's prices that holds: of the smallest place, of a day before of all."""

    def holds(price: Price) -> bool:
        is_here = price.pitch in (None, ground.pitch)
        is_then = price.from_min is None or price.until_min is None
        return (
            price.for_floodlights is for_floodlights
            and is_here
            and price.ground in (None, ground.key)
            and price.day in (None, day)
            and not (price.per_opening and not price.per_hour)
            and (is_then or price.from_min <= minute < price.until_min)  # type: ignore[operator]
        )

    def rank(price: Price) -> tuple[bool, bool, bool]:
        return price.ground is not None, price.pitch is not None, price.day is not None

    return max(filter(holds, prices), key=rank, default=None)


def dead(problem: Problem, plan: Sequence[Placement]) -> int:
    """Count the minutes on which a pitch that is used before and after stands empty."""
    pitches = {ground.key: ground.pitch for ground in problem.grounds}
    total = 0
    for here in grouped(plan, lambda item: (pitches[item.ground], item.day)).values():
        first = min(item.start_min for item in here)
        last = max(item.start_min for item in here)
        total += sum(
            not any(
                item.start_min <= minute < item.end_min + problem.changeover_minutes
                for item in here
            )
            for minute in range(first, last)
        )
    return total


def _meet(grounds: dict[str, Ground], pair: Pair, one: Placement, other: Placement) -> bool:
    here, there = grounds[one.ground], grounds[other.ground]
    if one.day != other.day:
        return False
    minutes = range(one.start_min, one.end_min)
    is_at_once = any(other.start_min <= minute < other.end_min for minute in minutes)
    if pair.kind is PairKind.NOT_TOGETHER:
        return is_at_once
    if pair.kind in (PairKind.SHARE_PITCH, PairKind.KEEP_APART):
        return is_at_once and here.pitch == there.pitch
    if pair.kind is PairKind.SAME_EVENING:
        return here.venue == there.venue
    waits = (other.start_min - one.end_min, one.start_min - other.end_min)
    return here.venue == there.venue and any(0 <= wait <= CLOSE_MIN for wait in waits)
