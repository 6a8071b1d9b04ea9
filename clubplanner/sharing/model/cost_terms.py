"""What a plan costs and how much dead time it leaves, and both as terms of the model."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Ground, Problem


class Costs:
    """Prices by ground and venue, looked up once."""

    def __init__(self, terrain: Terrain, slots: Slots) -> None:
        problem = terrain.problem
        openings = opening_prices(problem)
        keys: dict[int, str] = {}
        for number, ground in enumerate(problem.grounds):
            keys[int(terrain.venue[number])] = ground.venue
        self._openings = {number: openings.get(key, 0) for number, key in keys.items()}
        self._slots = slots
        self.hire = [
            hire_price(problem, problem.grounds[slots.grounds[n][0]], int(slots.end[n] - start))
            for n, start in enumerate(slots.start.tolist())
        ]
        self.venue = [int(terrain.venue[grounds[0]]) for grounds in slots.grounds]

    def of_plan(self, plan: Sequence[int]) -> int:
        """Add up hire and openings of chosen slots."""
        opened = {(self.venue[slot], int(self._slots.day[slot])) for slot in plan}
        hire = sum(self.hire[slot] for slot in plan)
        return hire + sum(self._openings[venue] for venue, _ in opened)

    def add(
        self, model: cp_model.CpModel, chosen: Sequence[cp_model.IntVar]
    ) -> cp_model.LinearExprT:
        """Add the cost to a model; an ask has one session a day, so its slots count together."""
        groups: dict[tuple[int, int, int], list[cp_model.IntVar]] = {}
        for slot, variable in enumerate(chosen):
            day, ask = int(self._slots.day[slot]), int(self._slots.ask[slot])
            if self._openings[self.venue[slot]]:
                groups.setdefault((self.venue[slot], day, ask), []).append(variable)
        opened: dict[tuple[int, int], cp_model.IntVar] = {}
        for (venue, day, _), row in groups.items():
            if (venue, day) not in opened:
                opened[venue, day] = model.new_bool_var(f"venue {venue} opens on {day}")
            model.add(cp_model.LinearExpr.sum(row) <= opened[venue, day])
        fees = [self._openings[venue] for venue, _ in opened]
        hire = cp_model.LinearExpr.weighted_sum(list(chosen), self.hire)
        opening = cp_model.LinearExpr.weighted_sum(list(opened.values()), fees)
        return cp_model.LinearExpr.sum([hire, opening])


def opening_prices(problem: Problem) -> dict[str, int]:
    """Return what an opening of each venue costs."""
    prices: dict[str, int] = {}
    for price in problem.prices:
        if price.pitch is None:
            prices[price.venue] = prices.get(price.venue, 0) + price.per_opening
    return prices


def hire_price(problem: Problem, ground: Ground, minutes: int) -> int:
    """Compute the hire of a session, rounded up; a pitch's own price before its venue's."""
    rate = 0
    for price in problem.prices:
        if price.venue == ground.venue and price.pitch is None:
            rate = price.per_hour
    for price in problem.prices:
        if price.venue == ground.venue and price.pitch == ground.pitch:
            rate = price.per_hour
    if ground.share is not None:
        return -(-rate * minutes * ground.share // 720)
    return int(np.ceil(rate * minutes * ground.share_of_pitch / 60 - 1e-6))


def dead_minutes(slots: Slots, plan: Iterable[int], gap: int) -> int:
    """Add up the minutes between a pitch's first and last session of a day with nobody on it.

    Args:
        slots: The merged candidates.
        plan: Chosen slots.
        gap: Changeover minutes after each session, which are not dead.
    """
    days: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for slot in plan:
        place = int(slots.pitch[slot]), int(slots.day[slot])
        times = int(slots.start[slot]), int(slots.end[slot]) + gap
        days.setdefault(place, []).append(times)
    total = 0
    for ranges in days.values():
        until = min(start for start, _ in ranges)
        for start, end in sorted(ranges):
            total += max(0, start - until)
            until = max(until, end)
    return total


def add_dead_minutes(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
) -> cp_model.LinearExprT:
    """Add `dead_minutes` to a model, to be made small."""
    terms: list[cp_model.LinearExprT] = []
    for members in slots.by_pitch_and_day().values():
        terms += _dead_of_day(model, terrain, slots, chosen, members)
    return cp_model.LinearExpr.sum(terms)


def _dead_of_day(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
    members: Sequence[int],
) -> list[cp_model.LinearExprT]:
    """Say for each piece of a day that it is dead: used before and after, but not then."""
    gap = terrain.problem.changeover_minutes
    ends = {slot: int(slots.end[slot]) + gap for slot in members}
    starts = {slot: int(slots.start[slot]) for slot in members}
    marks = sorted({*ends.values(), *starts.values()})
    begun: cp_model.IntVar | None = None
    pieces: list[tuple[int, int, cp_model.IntVar, cp_model.IntVar]] = []
    coming: cp_model.IntVar | None = None
    for first, last in pairwise(marks):
        now, later = model.new_bool_var(""), model.new_bool_var("")
        if begun is not None and coming is not None:
            model.add_implication(begun, now)
            model.add_implication(later, coming)
        _at_least(model, slots, chosen, now, [n for n in members if starts[n] == first])
        _at_least(model, slots, chosen, later, [n for n in members if starts[n] == last])
        begun, coming = now, later
        pieces.append((first, last, now, later))
    terms: list[cp_model.LinearExprT] = []
    for first, last, now, later in pieces:
        busy = [chosen[n] for n in members if starts[n] <= first < ends[n]]
        dead = model.new_bool_var("")
        model.add(dead >= now + later - 1 - cp_model.LinearExpr.sum(busy))
        terms.append((last - first) * dead)
    return terms


def _at_least(
    model: cp_model.CpModel,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
    mark: cp_model.IntVar,
    members: Sequence[int],
) -> None:
    """Set a mark where one of some slots is chosen; an ask has at most one of them."""
    by_ask: dict[int, list[cp_model.IntVar]] = {}
    for slot in members:
        by_ask.setdefault(int(slots.ask[slot]), []).append(chosen[slot])
    for row in by_ask.values():
        model.add(cp_model.LinearExpr.sum(row) <= mark)
