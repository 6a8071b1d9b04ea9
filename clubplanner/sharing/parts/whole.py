"""The plan of the whole while its parts are worked on: what it comes to, and what none can pass."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.model.aim import Alone
from clubplanner.sharing.model.aim_book import aim_named, aims_of
from clubplanner.sharing.model.measures import satisfactions_of
from clubplanner.sharing.model.plan_worth import PlanWorth
from clubplanner.sharing.parts.cutting import plan_of, sessions_of
from clubplanner.sharing.places.merging import ground_weights, merge
from clubplanner.sharing.places.placements import rows_of_placements

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.parts.cutting import Plan
    from clubplanner.sharing.parts.looking import Look
    from clubplanner.sharing.places.placements import Known
    from clubplanner.sharing.values.outcome import Level, Placement


class Whole:
    """One plan of a problem, bettered part by part.

    Attributes:
        plan: Everybody's sessions, pinned ones included.
        values: What it comes to on each aim.
    """

    def __init__(self, terrain: Terrain, look: Look, start: Sequence[Placement] = ()) -> None:
        self.terrain = terrain
        self.look = look
        self._aims = aims_of(terrain.problem)
        self.names = tuple(aim.name for aim in self._aims)
        self._weights = ground_weights(terrain)
        self._known: Known = {}
        self._ground = {ground.key: n for n, ground in enumerate(terrain.problem.grounds)}
        pins = [pin for ask in terrain.problem.asks for pin in ask.pinned]
        given = {(pin.ask, pin.session) for pin in pins}
        self.plan: Plan = plan_of([*pins, *(i for i in start if (i.ask, i.session) not in given)])
        self.values = self.measure(self.plan)

    def take(self, placements: Collection[Placement], asks: Collection[str]) -> bool:
        """Take the sessions of some asks over where the whole is no worse for it.

        Args:
            placements: All sessions of these asks; others are not looked at.
            asks: Keys of the asks.

        Returns:
            Whether the plan is better now.
        """
        fresh = plan_of([item for item in placements if item.ask in asks])
        plan = {key: own for key, own in self.plan.items() if key not in asks} | fresh
        values = self.measure(plan)
        if self._rank(values) < self._rank(self.values):
            return False
        is_better = self._rank(values) > self._rank(self.values)
        self.plan, self.values = plan, values
        return is_better

    def sessions(self) -> tuple[Placement, ...]:
        """Return the placements of the plan in order of day, time and ground."""
        ground = self._ground
        items = sessions_of(self.plan)
        return tuple(sorted(items, key=lambda i: (i.day, i.start_min, ground[i.ground])))

    def measure(self, plan: Plan) -> dict[str, int]:
        """Measure a plan on each aim."""
        rows = rows_of_placements(self.terrain, sessions_of(plan), self._known)
        slots = merge(self.terrain, rows, self._weights)
        worth = PlanWorth(self.terrain, slots, self.look.best)
        return worth.values(range(len(slots)))

    def percents(self) -> dict[str, int]:
        """Return for each squad how well it is served, its past counted in."""
        problem = self.terrain.problem
        scores = np.zeros(len(problem.asks), dtype=np.int64)
        rows = rows_of_placements(self.terrain, sessions_of(self.plan), self._known)
        np.add.at(scores, rows.ask, rows.score)
        served = satisfactions_of(problem, scores.tolist(), self.look.best.tolist())
        return {item.squad: item.percent + item.past for item in served if item.best_alone > 0}

    def most(self) -> dict[str, int]:
        """Return for each aim what no plan can pass, from each squad by itself."""
        return most_alone(self.terrain, self.look, range(len(self.terrain.problem.asks)))

    def level(self, name: str, bound: int) -> Level:
        """Say how far the plan is from a bound."""
        return aim_named(name).level(self.values[name], bound, lambda: self.measure({})[name])

    def _rank(self, values: Mapping[str, int]) -> tuple[int, ...]:
        return tuple(aim.sign * values[aim.name] for aim in self._aims)


def most_alone(terrain: Terrain, look: Look, asks: Collection[int]) -> dict[str, int]:
    """Return for each aim what some asks cannot pass, from each squad by itself."""
    alone = Alone(terrain, look.best, look.days, asks=asks)
    return {aim.name: aim.most(alone) for aim in aims_of(terrain.problem)}
