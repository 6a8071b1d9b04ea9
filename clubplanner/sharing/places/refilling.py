"""Bettering a plan without a model: sessions are taken out round a place and put in again.

An ask that misses a session is given a place by force, whoever is in its way is taken out, with
some beside them, and all are put in again one after the other; what places less is taken back
(ruin and recreate: Schrimpf and others, "Record breaking optimization results using the ruin and
recreate principle", Journal of Computational Physics 159, 2000). It proves nothing, and a round
takes about a thousandth of a second, where the model of one evening on finely cut ground takes one
to be written.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.barring import Barring
from clubplanner.sharing.rules.book import RULES, too_many
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.budget import Budget

MOST_BESIDE, MOST_OTHERS = 4, 8
"""How many sessions beside those in the way are taken out at most, and how many asks that miss a
session are tried with them."""
PATIENCE, ASK_PATIENCE, PLACE_PATIENCE, TRY_STEPS = 1_000, 30, 3, 5e-6
"""So many rounds in a row without a better plan end it, or so many for each ask where that is more,
and no more than so many for each place where there are few; the steps that each look for a place
counts."""
PART = 0.4
"""Part of the steps, and of the time, left that it takes where nothing else is said."""
FOR_THE_BARE, SEEDS = 0.2, 3
"""How often a squad that has nothing is given a place by force; otherwise, of so many asks that
miss a session, the one that takes the least."""
SHUFFLED = 0.1
"""How often asks are put in again in any order, not about those first that take the least."""
ANY_PLACE = 0.2
"""How often a session has any free place on ground no larger than need be, not the first."""


def refilled(
    terrain: Terrain,
    candidates: Candidates,
    plan: Iterable[int],
    enough: int,
    budget: Budget,
    part: float = PART,
) -> list[int]:
    """Better a plan in placing sessions, for a part of what is left of an effort.

    Args:
        terrain: The problem's columns.
        candidates: All candidates.
        plan: Rows none of which is in another's way; pinned ones stay.
        enough: Points in placing sessions that no plan can pass.
        budget: Gets the steps taken.
        part: Part of the steps, and of the time, left that it may take.

    Returns:
        A plan that places no less, in order.
    """
    refiller = Refiller(terrain, candidates, plan, budget.effort.seed)
    return refill(refiller, enough, budget, part)


def refill(refiller: Refiller, enough: int, budget: Budget, part: float = PART) -> list[int]:
    """Better the plan that a refiller has; all else as for `refilled`."""
    steps, clock = budget.left * part, budget.clock_left * (1 - part)
    before = refiller.tries

    def has_left() -> bool:
        is_late = budget.clock_left <= clock
        budget.is_cut |= is_late
        return not is_late and (refiller.tries - before) * TRY_STEPS < steps

    refiller.run(enough, has_left)
    budget.steps += (refiller.tries - before) * TRY_STEPS
    return refiller.rows


class Refiller:
    """Betters one plan in placing sessions.

    Attributes:
        tries: How often a place was looked for.
        points: What the plan has in placing sessions.
    """

    def __init__(
        self, terrain: Terrain, candidates: Candidates, plan: Iterable[int], seed: int
    ) -> None:
        """Start from a plan.

        Args:
            terrain: The problem's columns.
            candidates: All candidates.
            plan: Rows none of which is in another's way; pinned ones stay.
            seed: Of the choices made by chance.
        """
        self.tries = self.points = 0
        self._terrain = terrain
        self._chance = random.Random(seed)  # noqa: S311 - a search, nothing secret
        self._barring = Barring(terrain, candidates)
        self._own = candidates.take(self._barring.rows)
        self._ask = self._own.ask.tolist()
        self._place = self._barring.place.tolist()
        self._is_pinned = (self._own.session >= 0).tolist()
        self._has_sums = any(
            rule.counted is not None and rule.counted(terrain, candidates).any() for rule in RULES
        )
        asks = terrain.problem.asks
        self._squads = [ask.squad for ask in asks]
        self._tops: dict[str, int] = {}
        for ask in asks:
            self._tops[ask.squad] = max(self._tops.get(ask.squad, 0), ask.priority)
        self._served = dict.fromkeys(self._tops, 0)
        self._plan: list[list[int]] = [[] for _ in asks]
        self._there: dict[int, list[int]] = {}
        self._costs = _least_costs(terrain, candidates)
        self._open: dict[int, None] = {
            ask: None
            for ask, one in enumerate(asks)
            if one.sessions and len(range(*self._barring.of_ask(ask)))
        }
        self.begin(plan)

    def begin(self, plan: Iterable[int]) -> None:
        """Go on from another plan.

        Args:
            plan: As at first.
        """
        for own in self._plan:
            for spot in list(own):
                self._remove(spot)
        for spot in self._barring.spots[sorted(plan)].tolist():
            self._add(spot)

    @property
    def rows(self) -> list[int]:
        """The plan, in order."""
        return sorted(self._barring.rows[[spot for own in self._plan for spot in own]].tolist())

    def run(self, enough: int, has_left: Callable[[], bool], patience: int | None = None) -> None:
        """Better the plan.

        Args:
            enough: Points in placing sessions that no plan can pass.
            has_left: Tells whether there may be more.
            patience: So many rounds in a row without a better plan end it; None as many as usual.
        """
        if patience is None:
            most = PLACE_PATIENCE * len(self._ask)
            patience = max(min(PATIENCE, most), ASK_PATIENCE * len(self._plan))
        idle = 0
        while idle < patience and self.points < enough and has_left():
            if not self._open:
                return
            before = self.points
            gone, come = self._round(list(self._open))
            idle = 0 if self.points > before else idle + 1
            if self.points < before:
                for spot in come:
                    self._remove(spot)
                for spot in gone:
                    self._add(spot)

    def _round(self, open_: Sequence[int]) -> tuple[list[int], list[int]]:
        """Take sessions out and put them in again; return those that went and those that came."""
        chance = self._chance
        seed = self._seed(open_)
        spot = chance.randrange(*self._barring.on_least(seed))
        gone = self._barring.in_the_way(spot)
        if any(self._is_pinned[one] for one in gone):
            return [], []
        gone += self._beside(spot, gone)
        for one in gone:
            self._remove(one)
        come = [spot] if self._fits(spot) else []
        for one in come:
            self._add(one)
        others = chance.sample(open_, min(len(open_), MOST_OTHERS))
        asks = list(dict.fromkeys([self._ask[one] for one in gone] + others))
        if chance.random() < SHUFFLED:
            chance.shuffle(asks)
        else:
            asks.sort(key=lambda ask: self._costs[ask] * chance.uniform(0.7, 1.4))
        for ask in asks:
            while len(self._plan[ask]) < self._terrain.problem.asks[ask].sessions:
                found = self._free_place(ask)
                if found is None:
                    break
                self._add(found)
                come.append(found)
        return gone, come

    def _seed(self, open_: Sequence[int]) -> int:
        """Choose who is given a place by force: now and then somebody who has nothing yet."""
        if self._chance.random() < FOR_THE_BARE:
            bare = [ask for ask in open_ if not self._served[self._squads[ask]]]
            if bare:
                return self._chance.choice(bare)
        return min(self._chance.choices(open_, k=SEEDS), key=self._costs.__getitem__)

    def _beside(self, spot: int, gone: Sequence[int]) -> list[int]:
        """Choose some of the other sessions on the same pitch and day."""
        there = self._there.get(self._place[spot], ())
        others = [o for o in there if o not in gone and not self._is_pinned[o]]
        count = min(len(others), self._chance.randint(0, MOST_BESIDE))
        return self._chance.sample(others, count)

    def _free_place(self, ask: int) -> int | None:
        """Choose a place for an ask: mostly the first that is free, the smallest ground first."""
        self.tries += 1
        if self._has_sums:
            return self._free_place_within_sums(ask)
        first: int | None = self._barring.first_free(ask)
        if first is None or self._chance.random() >= ANY_PLACE:
            return first
        return self._chance.choice(self._barring.as_free(first))

    def _free_place_within_sums(self, ask: int) -> int | None:
        """Do the same where some rules look at what a plan comes to as a whole."""
        free = self._barring.free(ask)
        if len(free):
            free = free[~self._too_many(free)]
        if not len(free):
            return None
        first = int(free[0])
        if self._chance.random() >= ANY_PLACE:
            return first
        as_free = set(self._barring.as_free(first))
        alike: list[int] = [spot for spot in free.tolist() if spot in as_free]
        return self._chance.choice(alike)

    def _fits(self, spot: int) -> bool:
        """Tell whether a spot whose ground and people are free can be added to the plan."""
        asked = self._terrain.problem.asks[self._ask[spot]].sessions
        if len(self._plan[self._ask[spot]]) >= asked:
            return False
        return not (self._has_sums and self._too_many(np.array([spot], dtype=np.int64))[0])

    def _too_many(self, spots: NDArray[np.int64]) -> NDArray[np.bool_]:
        taken = np.flatnonzero(self._barring.has)
        return too_many(self._terrain, self._own.take(spots), self._own.take(taken))

    def _add(self, spot: int) -> None:
        ask = self._ask[spot]
        self._barring.add(spot)
        self._plan[ask].append(spot)
        self._there.setdefault(self._place[spot], []).append(spot)
        self._count(ask, 1)

    def _remove(self, spot: int) -> None:
        ask = self._ask[spot]
        self._barring.remove(spot)
        self._plan[ask].remove(spot)
        self._there[self._place[spot]].remove(spot)
        self._count(ask, -1)

    def _count(self, ask: int, sign: int) -> None:
        one, squad = self._terrain.problem.asks[ask], self._squads[ask]
        before = self._served[squad]
        self._served[squad] += sign
        self.points += sign * SESSION_POINTS * one.priority
        if min(before, self._served[squad]) == 0:
            self.points += sign * FIRST_POINTS * self._tops[squad]
        if len(self._plan[ask]) >= one.sessions:
            self._open.pop(ask, None)
        elif len(range(*self._barring.of_ask(ask))):
            self._open[ask] = None


def _least_costs(terrain: Terrain, candidates: Candidates) -> list[float]:
    """Compute for each ask the least ground of a session times its minutes, by priority."""
    least = np.full(len(terrain.problem.asks), np.inf)
    free = candidates.session < 0
    size = terrain.share_of_pitch[candidates.ground[free]]
    np.minimum.at(least, candidates.ask[free], size)
    least[np.isinf(least)] = 1.0
    return [
        size * ask.minutes / ask.priority
        for size, ask in zip(least.tolist(), terrain.problem.asks, strict=True)
    ]
