"""What chosen slots come to on each aim, and what no plan can pass, both without a model."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.model.cost_terms import Costs, dead_minutes
from clubplanner.sharing.model.measures import (
    placing_points,
    satisfactions_of,
    shortfall_points,
    worst_percent,
)
from clubplanner.sharing.values.levels import (
    COMPACT,
    COST,
    FAIRNESS,
    PLACING,
    SIGNS,
    WISHES,
    WORST_OFF,
)
from clubplanner.sharing.values.points import PAIR_POINTS
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
        if problem.prices:
            values[COST] = self.costs.of_plan(plan)
        if problem.wants_compact:
            values[COMPACT] = dead_minutes(self._slots, plan, problem.changeover_minutes)
        return values

    def rank(self, plan: Sequence[int]) -> tuple[int, ...]:
        """Put the values in the order of the aims, each as more is better."""
        return tuple(SIGNS[name] * value for name, value in self.values(plan).items())

    def most(self) -> dict[str, int]:
        """Return for each aim what no plan can pass, from each squad by itself."""
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
        return {
            PLACING: placing_points(problem, placed),
            WORST_OFF: 100,
            FAIRNESS: 0,
            WISHES: int(self._best.sum()) + pairs,
            COST: 0,
            COMPACT: 0,
        }

    def _pair_points(self, plan: Sequence[int]) -> int:
        problem = self._terrain.problem
        if not problem.pairs:
            return 0
        spots: dict[str, list[Spot]] = {}
        for slot in plan:
            squad = problem.asks[int(self._slots.ask[slot])].squad
            spots.setdefault(squad, []).append(spot_of(self._terrain, self._slots, slot))
        return pair_points(problem.pairs, spots)
