"""What chosen slots come to on each aim, and what no plan can pass, both without a model."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.club.spread import Evenings
from clubplanner.sharing.model.cost_terms import Costs, dead_minutes
from clubplanner.sharing.model.measures import (
    placing_points,
    satisfactions_of,
    shortfall_points,
    worst_percent,
)
from clubplanner.sharing.values.levels import (
    APART,
    COMPACT,
    COST,
    EVEN,
    FAIRNESS,
    FEW,
    PLACING,
    SIGNS,
    WISHES,
    WORST_OFF,
    level_names,
)
from clubplanner.sharing.values.points import FIRST_POINTS, PAIR_POINTS, SESSION_POINTS
from clubplanner.sharing.wishes.apart import apart_points, least_apart, near_asks
from clubplanner.sharing.wishes.evenings import (
    asks_on_full_evenings,
    even_points,
    least_even,
    open_evenings,
)
from clubplanner.sharing.wishes.two_squads import AVERSE, Spot, pair_points, spot_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain


class PlanWorth:
    """Measures plans of one problem.

    Attributes:
        costs: Prices of its slots.
    """

    def __init__(self, terrain: Terrain, slots: Slots, best: NDArray[np.int64]) -> None:
        self.costs = Costs(terrain, slots)
        self._terrain = terrain
        self._slots = slots
        self._best = best
        self._names = level_names(terrain.problem)

    def values(self, plan: Sequence[int]) -> dict[str, int]:
        """Compute what chosen slots come to on each aim of the problem."""
        problem = self._terrain.problem
        placed = np.zeros(len(problem.asks), dtype=np.int64)
        scores = np.zeros(len(problem.asks), dtype=np.int64)
        rows = np.array(plan, dtype=np.int64)
        np.add.at(placed, self._slots.ask[rows], 1)
        np.add.at(scores, self._slots.ask[rows], self._slots.score[rows])
        served = satisfactions_of(problem, scores.tolist(), self._best.tolist())
        values = {
            PLACING: placing_points(problem, placed.tolist()),
            WORST_OFF: worst_percent(served),
            FAIRNESS: shortfall_points(served),
            WISHES: int(scores.sum()) + self._pair_points(plan),
        }
        if problem.wants_apart:
            values[APART] = apart_points(self._terrain, self._slots, plan)
        if problem.evenings is Evenings.FEW:
            values[FEW] = open_evenings(self._terrain, self._slots, plan)
        elif problem.evenings is not None:
            values[EVEN] = even_points(self._terrain, self._slots, plan)
        if problem.prices:
            values[COST] = self.costs.of_plan(plan)
        if problem.wants_compact:
            values[COMPACT] = dead_minutes(self._slots, plan, problem.changeover_minutes)
        return {name: values[name] for name in self._names}

    def rank(self, plan: Sequence[int]) -> tuple[int, ...]:
        """Put the values in the order of the aims, each as more is better."""
        return tuple(SIGNS[name] * value for name, value in self.values(plan).items())

    def asks_in_the_way(self, name: str, plan: Sequence[int]) -> list[int]:
        """Return asks whose sessions keep the aims about days and evenings from being better."""
        find = near_asks if name == APART else asks_on_full_evenings
        return find(self._terrain, self._slots, plan)

    def most(self, points: int = 0) -> dict[str, int]:
        """Return for each aim what no plan can pass, from each squad by itself.

        Args:
            points: Points in placing sessions that plans have at least.
        """
        problem, slots = self._terrain.problem, self._slots
        days = np.zeros((len(problem.asks), max(1, len(problem.days))), dtype=bool)
        days[slots.ask, slots.day] = True
        counts = days.sum(axis=1).tolist()
        placed = [min(ask.sessions, counts[n]) for n, ask in enumerate(problem.asks)]
        sessions = {ask.squad: 0 for ask in problem.asks}
        for ask in problem.asks:
            sessions[ask.squad] += ask.sessions
        pairs = sum(
            PAIR_POINTS[pair.grade] * sessions[pair.squad]
            for pair in problem.pairs
            if pair.kind not in AVERSE
        )
        least = self._least_placed(points)
        is_full = least >= sum(placed)
        return {
            PLACING: placing_points(problem, placed),
            WORST_OFF: 100,
            FAIRNESS: 0,
            WISHES: int(self._best.sum()) + pairs,
            APART: least_apart(self._terrain, slots) if problem.wants_apart and is_full else 0,
            EVEN: least_even(self._terrain, slots, least) if problem.evenings else 0,
            FEW: min(1, least),
            COST: 0,
            COMPACT: 0,
        }

    def _least_placed(self, points: int) -> int:
        """Return how many sessions it takes at least for so many points in placing."""
        firsts: dict[str, int] = {}
        weights: list[int] = []
        for ask in self._terrain.problem.asks:
            weights += [SESSION_POINTS * ask.priority] * ask.sessions
            firsts[ask.squad] = max(FIRST_POINTS * ask.priority, firsts.get(ask.squad, 0))
        weights.sort(reverse=True)
        tops = sorted(firsts.values(), reverse=True)
        count = total = 0
        while total < points and count < len(weights):
            total += weights[count] + (tops[count] if count < len(tops) else 0)
            count += 1
        return count

    def _pair_points(self, plan: Sequence[int]) -> int:
        problem = self._terrain.problem
        if not problem.pairs:
            return 0
        spots: dict[str, list[Spot]] = {}
        for slot in plan:
            squad = problem.asks[int(self._slots.ask[slot])].squad
            spots.setdefault(squad, []).append(spot_of(self._terrain, self._slots, slot))
        return pair_points(problem.pairs, spots)
