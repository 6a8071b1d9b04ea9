"""Pairs of squads, cost and dead minutes of a plan once more, in plain Python.

Like `checking` and `worth`, it shares nothing with the search but values and named points.
"""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

from clubplanner.sharing.values.points import PAIR_POINTS
from clubplanner.sharing.values.wants import CLOSE_MIN, PairKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Placement, Problem
    from clubplanner.sharing.values.wants import Pair


def pairs(problem: Problem, plan: Sequence[Placement]) -> int:
    """Add up what wishes about two squads bring and cost."""
    squads = {ask.key: ask.squad for ask in problem.asks}
    total = 0
    for pair in problem.pairs:
        mine = [item for item in plan if squads[item.ask] == pair.squad]
        theirs = [item for item in plan if squads[item.ask] == pair.other]
        points = PAIR_POINTS[pair.grade]
        for one in mine:
            if not any(_meet(problem, pair, one, other) for other in theirs):
                continue
            if pair.kind in (PairKind.KEEP_APART, PairKind.NOT_TOGETHER):
                total -= points
            else:
                total += points
    return total


def cost(problem: Problem, plan: Sequence[Placement]) -> int:
    """Add up the hire of every session, and each venue's opening once a day."""
    grounds = {ground.key: ground for ground in problem.grounds}
    total = 0
    opened: set[tuple[str, int]] = set()
    for item in plan:
        ground = grounds[item.ground]
        opened.add((ground.venue, item.day))
        own = [p for p in problem.prices if (p.venue, p.pitch) == (ground.venue, ground.pitch)]
        usual = [p for p in problem.prices if (p.venue, p.pitch) == (ground.venue, None)]
        rate = [price.per_hour for price in own or usual][-1:]
        hours = Fraction(item.end_min - item.start_min, 60)
        if ground.share is not None:
            total += math.ceil(sum(rate) * hours * Fraction(ground.share, 12))
        else:
            total += math.ceil(sum(rate) * float(hours) * ground.share_of_pitch - 1e-6)
    for venue, _ in opened:
        total += sum(
            price.per_opening
            for price in problem.prices
            if price.venue == venue and price.pitch is None
        )
    return total


def dead(problem: Problem, plan: Sequence[Placement]) -> int:
    """Count the minutes on which a pitch that is used before and after stands empty."""
    pitches = {ground.key: ground.pitch for ground in problem.grounds}
    total = 0
    for place in {(pitches[item.ground], item.day) for item in plan}:
        here = [item for item in plan if (pitches[item.ground], item.day) == place]
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


def _meet(problem: Problem, pair: Pair, one: Placement, other: Placement) -> bool:
    grounds = {ground.key: ground for ground in problem.grounds}
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
