"""A quick first plan: sessions placed one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.club.spread import Evenings
from clubplanner.sharing.places.in_the_way import Index
from clubplanner.sharing.rules.book import RULES, too_many

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Problem


def fill_plan(
    terrain: Terrain, candidates: Candidates, kept: Sequence[int] = ()
) -> NDArray[np.int64]:
    """Place sessions one after the other, scarcest ask first.

    Args:
        terrain: The problem's columns.
        candidates: All candidates.
        kept: Rows to start from, none in another's way; the pinned rows are always kept.

    Returns:
        Numbers of the chosen rows, the kept ones first. Not the best plan, only a sound one.
    """
    problem = terrain.problem
    index = Index(terrain, candidates)
    pinned = np.flatnonzero(candidates.session >= 0).tolist()
    chosen = list(dict.fromkeys([*pinned, *kept]))
    wanted = np.array([ask.sessions for ask in problem.asks], dtype=np.int64)
    alive = candidates.session < 0
    for row in chosen:
        wanted[candidates.ask[row]] -= 1
        alive[index.in_the_way(row)] = False
    alive &= ~too_many(terrain, candidates, _taken(candidates, chosen))
    summing = [
        (rule.too_many, rule.counted(terrain, candidates))
        for rule in RULES
        if rule.too_many is not None and rule.counted is not None
    ]
    served = {problem.asks[int(candidates.ask[row])].squad for row in chosen}
    week = _Week(terrain, candidates, chosen)
    left = np.bincount(candidates.ask[alive], minlength=len(problem.asks))
    while True:
        waiting = np.flatnonzero((wanted > 0) & (left > 0)).tolist()
        if not waiting:
            return np.array(chosen, dtype=np.int64)
        ask = _most_urgent(problem, waiting, left, served)
        own = index.of_ask(ask)
        row = _best_row(terrain, candidates, own[alive[own]], week)
        chosen.append(row)
        week.note(row)
        served.add(problem.asks[ask].squad)
        wanted[ask] -= 1
        gone = index.in_the_way(row)
        gone = gone[alive[gone]]
        alive[gone] = False
        left -= np.bincount(candidates.ask[gone], minlength=len(problem.asks))
        for is_too_many, counted in summing:
            if counted[row]:
                near = index.concerned(row)
                near = near[alive[near]]
                plan = _taken(candidates, chosen)
                gone = near[is_too_many(terrain, candidates.take(near), plan)]
                alive[gone] = False
                left -= np.bincount(candidates.ask[gone], minlength=len(problem.asks))


def _most_urgent(
    problem: Problem, waiting: Sequence[int], left: NDArray[np.int64], served: Collection[str]
) -> int:
    """Choose the next ask: squads without a session, then priority, then the fewest places left."""

    def urgency(number: int) -> tuple[bool, int, int, int]:
        ask = problem.asks[number]
        return ask.squad in served, -ask.priority, int(left[number]), number

    return min(waiting, key=urgency)


def _best_row(
    terrain: Terrain, candidates: Candidates, rows: NDArray[np.int64], week: _Week
) -> int:
    """Choose the smallest ground, then the most points, then days apart and the emptier evening."""
    size = terrain.share_of_pitch[candidates.ground[rows]]
    order = np.lexsort((rows, week.filled(rows), week.near(rows), -candidates.score[rows], size))
    return int(rows[order[0]])


class _Week:
    """How near to its squad's other sessions a place lies, and how full its evening is so far."""

    def __init__(self, terrain: Terrain, candidates: Candidates, chosen: Sequence[int]) -> None:
        problem = terrain.problem
        squads = {squad: n for n, squad in enumerate({ask.squad: 0 for ask in problem.asks})}
        self._squad = np.array([squads[ask.squad] for ask in problem.asks], dtype=np.int64)
        self._rows = candidates
        self._venue = terrain.venue[candidates.ground]
        self._beside = (terrain.apart <= 1).astype(np.int64) * problem.wants_apart
        self._near = np.zeros((len(squads), len(problem.days)), dtype=np.int64)
        self._filled = np.zeros((len(terrain.venues), len(problem.days)), dtype=np.int64)
        self._counts = int(problem.evenings in (Evenings.EVEN, Evenings.CHEAP))
        for row in chosen:
            self.note(row)

    def note(self, row: int) -> None:
        """Let a row be part of the plan."""
        day = self._rows.day[row]
        self._near[self._squad[self._rows.ask[row]]] += self._beside[day]
        self._filled[self._venue[row], day] += self._counts

    def near(self, rows: NDArray[np.int64]) -> NDArray[np.int64]:
        """Count for each row its squad's sessions on the same day or on neighbouring ones."""
        found: NDArray[np.int64] = self._near[
            self._squad[self._rows.ask[rows]], self._rows.day[rows]
        ]
        return found

    def filled(self, rows: NDArray[np.int64]) -> NDArray[np.int64]:
        """Count for each row the sessions on its evening."""
        found: NDArray[np.int64] = self._filled[self._venue[rows], self._rows.day[rows]]
        return found


def _taken(candidates: Candidates, chosen: Sequence[int]) -> Candidates:
    return candidates.take(np.array(chosen, dtype=np.int64))
