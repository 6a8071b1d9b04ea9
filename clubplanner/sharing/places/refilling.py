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

from clubplanner.sharing.places.occupied import Occupied, Windows
from clubplanner.sharing.rules.book import RULES, people_clashes, too_many
from clubplanner.sharing.rules.people.persons import people_shared
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
PATIENCE, TRY_STEPS = 1_000, 7e-6
"""So many rounds in a row without a better plan end it; the steps that each look for a place
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
    steps, clock = budget.left * part, budget.clock_left * (1 - part)
    refiller = Refiller(terrain, candidates, plan, budget.effort.seed)

    def has_left() -> bool:
        is_late = budget.clock_left <= clock
        budget.is_cut |= is_late
        return not is_late and refiller.tries * TRY_STEPS < steps

    refiller.run(enough, has_left)
    budget.steps += refiller.tries * TRY_STEPS
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
        self._terrain, self._candidates = terrain, candidates
        self._chance = random.Random(seed)  # noqa: S311 - a search, nothing secret
        self._occupied = Occupied(terrain, candidates)
        self._ask = candidates.ask.tolist()
        self._own, self._sizes = _own_rows(terrain, candidates)
        self._windows = [Windows(self._occupied, rows) for rows in self._own]
        self._friends = [np.flatnonzero(row).tolist() for row in people_shared(terrain)]
        self._has_sums = any(
            rule.counted is not None and rule.counted(terrain, candidates).any() for rule in RULES
        )
        self._squads = [ask.squad for ask in terrain.problem.asks]
        self._tops: dict[str, int] = {}
        for ask in terrain.problem.asks:
            self._tops[ask.squad] = max(self._tops.get(ask.squad, 0), ask.priority)
        self._served = dict.fromkeys(self._tops, 0)
        self._plan: list[list[int]] = [[] for _ in terrain.problem.asks]
        self._there: dict[int, list[int]] = {}
        for row in plan:
            self._add(row)

    @property
    def rows(self) -> list[int]:
        """The plan, in order."""
        return sorted(row for own in self._plan for row in own)

    def run(self, enough: int, has_left: Callable[[], bool], patience: int = PATIENCE) -> None:
        """Better the plan.

        Args:
            enough: Points in placing sessions that no plan can pass.
            has_left: Tells whether there may be more.
            patience: So many rounds in a row without a better plan end it.
        """
        idle = 0
        while idle < patience and self.points < enough and has_left():
            open_ = self._open()
            if not open_:
                return
            before = self.points
            gone, come = self._round(open_)
            idle = 0 if self.points > before else idle + 1
            if self.points < before:
                for row in come:
                    self._remove(row)
                for row in gone:
                    self._add(row)

    def _round(self, open_: Sequence[int]) -> tuple[list[int], list[int]]:
        """Take sessions out and put them in again; return those that went and those that came."""
        chance = self._chance
        seed = self._seed(open_)
        row = chance.choice(self._least(seed))
        gone = self._in_the_way(row)
        if any(self._candidates.session[one] >= 0 for one in gone):
            return [], []
        gone += self._beside(row, gone)
        for one in gone:
            self._remove(one)
        come = [row] if self._fits(row) else []
        for one in come:
            self._add(one)
        others = chance.sample(open_, min(len(open_), MOST_OTHERS))
        asks = list(dict.fromkeys([self._ask[one] for one in gone] + others))
        if chance.random() < SHUFFLED:
            chance.shuffle(asks)
        else:
            asks.sort(key=lambda ask: self._cost(ask) * chance.uniform(0.7, 1.4))
        for ask in asks:
            while len(self._plan[ask]) < self._terrain.problem.asks[ask].sessions:
                found = self._free_place(ask)
                if found is None:
                    break
                self._add(found)
                come.append(found)
        return gone, come

    def _open(self) -> list[int]:
        """List the asks that miss a session and have places."""
        asks = self._terrain.problem.asks
        return [
            n
            for n, ask in enumerate(asks)
            if len(self._plan[n]) < ask.sessions and len(self._own[n])
        ]

    def _seed(self, open_: Sequence[int]) -> int:
        """Choose who is given a place by force: now and then somebody who has nothing yet."""
        bare = [ask for ask in open_ if not self._served[self._squads[ask]]]
        if bare and self._chance.random() < FOR_THE_BARE:
            return self._chance.choice(bare)
        return min(self._chance.choices(open_, k=SEEDS), key=self._cost)

    def _least(self, ask: int) -> list[int]:
        """List the places of an ask on the smallest ground that it could have."""
        sizes = self._sizes[ask]
        least: list[int] = self._own[ask][: int(np.searchsorted(sizes, sizes[0], "right"))].tolist()
        return least

    def _cost(self, ask: int) -> float:
        one = self._terrain.problem.asks[ask]
        least = float(self._sizes[ask][0]) if len(self._sizes[ask]) else 1.0
        return least * one.minutes / one.priority

    def _in_the_way(self, row: int) -> list[int]:
        """List the sessions of the plan that cannot be beside a candidate."""
        there = self._there.get(int(self._occupied.place[row]), ())
        found = [other for other in there if self._occupied.shares(row, other)]
        own = self._with_friends(self._ask[row])
        if own:
            clash = self._people(row, own)
            found += [other for other, is_near in zip(own, clash, strict=True) if is_near]
        return list(dict.fromkeys(found))

    def _beside(self, row: int, gone: Sequence[int]) -> list[int]:
        """Choose some of the other sessions on the same pitch and day."""
        there = self._there.get(int(self._occupied.place[row]), ())
        others = [o for o in there if o not in gone and self._candidates.session[o] < 0]
        count = min(len(others), self._chance.randint(0, MOST_BESIDE))
        return self._chance.sample(others, count)

    def _free_place(self, ask: int) -> int | None:
        """Choose a place for an ask: mostly the first that is free, the smallest ground first."""
        self.tries += 1
        rows = self._own[ask]
        free = np.flatnonzero(self._occupied.is_free(self._windows[ask]))
        found = rows[free]
        own = self._with_friends(ask)
        if len(found) and own:
            taken = self._candidates.take(np.array(own, dtype=np.int64))
            clash = people_clashes(self._terrain, self._candidates.take(found), taken).any(axis=1)
            free, found = free[~clash], found[~clash]
        if len(found) and self._has_sums:
            barred = self._too_many(found)
            free, found = free[~barred], found[~barred]
        if not len(found):
            return None
        if self._chance.random() >= ANY_PLACE:
            return int(found[0])
        sizes = self._sizes[ask][free]
        return int(found[self._chance.randrange(int(np.searchsorted(sizes, sizes[0], "right")))])

    def _fits(self, row: int) -> bool:
        """Tell whether a place whose ground and people are free can be added to the plan."""
        one = np.array([row], dtype=np.int64)
        asked = self._terrain.problem.asks[self._ask[row]].sessions
        if len(self._plan[self._ask[row]]) >= asked:
            return False
        return not (self._has_sums and self._too_many(one)[0])

    def _too_many(self, rows: NDArray[np.int64]) -> NDArray[np.bool_]:
        plan = self._candidates.take(np.array(self.rows, dtype=np.int64))
        return too_many(self._terrain, self._candidates.take(rows), plan)

    def _with_friends(self, ask: int) -> list[int]:
        """List the sessions of the plan that need somebody whom an ask needs."""
        return [row for friend in self._friends[ask] for row in self._plan[friend]]

    def _people(self, row: int, others: Sequence[int]) -> list[bool]:
        one = self._candidates.take(np.array([row], dtype=np.int64))
        taken = self._candidates.take(np.array(others, dtype=np.int64))
        clash: list[bool] = people_clashes(self._terrain, one, taken)[0].tolist()
        return clash

    def _add(self, row: int) -> None:
        self._occupied.take(row)
        self._plan[self._ask[row]].append(row)
        self._there.setdefault(int(self._occupied.place[row]), []).append(row)
        self._count(self._ask[row], 1)

    def _remove(self, row: int) -> None:
        self._occupied.leave(row)
        self._plan[self._ask[row]].remove(row)
        self._there[int(self._occupied.place[row])].remove(row)
        self._count(self._ask[row], -1)

    def _count(self, ask: int, sign: int) -> None:
        squad = self._squads[ask]
        before = self._served[squad]
        self._served[squad] += sign
        self.points += sign * SESSION_POINTS * self._terrain.problem.asks[ask].priority
        if min(before, self._served[squad]) == 0:
            self.points += sign * FIRST_POINTS * self._tops[squad]


def _own_rows(
    terrain: Terrain, candidates: Candidates
) -> tuple[list[NDArray[np.int64]], list[NDArray[np.float64]]]:
    """List by ask its rows that are not pinned, those on small ground first, and their sizes."""
    size = terrain.share_of_pitch[candidates.ground]
    rows = np.flatnonzero(candidates.session < 0)
    rows = rows[np.lexsort((rows, -candidates.score[rows], size[rows], candidates.ask[rows]))]
    bounds = np.searchsorted(candidates.ask[rows], np.arange(len(terrain.problem.asks) + 1))
    own = [rows[a:b] for a, b in zip(bounds[:-1].tolist(), bounds[1:].tolist(), strict=True)]
    return own, [size[rows] for rows in own]
