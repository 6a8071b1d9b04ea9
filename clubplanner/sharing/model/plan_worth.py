"""What chosen slots come to on each aim, and what no plan can pass, both without a model."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.model.aim import Alone, Chosen
from clubplanner.sharing.model.aim_book import aim_named, aims_of
from clubplanner.sharing.model.cost_terms import Costs

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.outcome import Level


class PlanWorth:
    """Measures plans of one problem."""

    def __init__(self, terrain: Terrain, slots: Slots, best: NDArray[np.int64]) -> None:
        self._terrain = terrain
        self._slots = slots
        self._best = best
        self._aims = aims_of(terrain.problem)

    def values(self, plan: Sequence[int]) -> dict[str, int]:
        """Compute what chosen slots come to on each aim of the problem."""
        chosen = self._chosen(plan)
        return {aim.name: aim.worth(chosen) for aim in self._aims}

    def rank(self, plan: Sequence[int]) -> tuple[int, ...]:
        """Put the values in the order of the aims, each as more is better."""
        values = self.values(plan)
        return tuple(aim.sign * values[aim.name] for aim in self._aims)

    def level(self, name: str, value: int, bound: int) -> Level:
        """Say how far a value of an aim is from a bound."""
        aim = aim_named(name)
        return aim.level(value, bound, lambda: aim.worth(self._chosen([])))

    def asks_in_the_way(self, name: str, plan: Sequence[int]) -> list[int]:
        """Return asks whose sessions keep an aim from being better, where it tells."""
        find = aim_named(name).in_the_way
        return [] if find is None else find(self._chosen(plan))

    def most(self, points: int = 0) -> dict[str, int]:
        """Return for each aim of the problem what no plan can pass, from each squad by itself.

        Args:
            points: Points in placing sessions that plans have at least.
        """
        alone = self._alone(points)
        return {aim.name: aim.most(alone) for aim in self._aims}

    def attained(self, name: str, bound: int) -> int:
        """Return what plans can come to at most on an aim within a bound."""
        return aim_named(name).attained(self._alone(0), bound)

    def _alone(self, points: int) -> Alone:
        slots, problem = self._slots, self._terrain.problem
        days = np.zeros((len(problem.asks), max(1, len(problem.days))), dtype=bool)
        days[slots.ask, slots.day] = True
        counts = days.sum(axis=1)
        return Alone(self._terrain, self._best, counts, slots=slots, points=points)

    def _chosen(self, plan: Sequence[int]) -> Chosen:
        return Chosen(
            self._terrain, self._slots, plan, self._best, lambda slots: self._costs.of_plan(slots)
        )

    @cached_property
    def _costs(self) -> Costs:
        return Costs(self._terrain, self._slots)
