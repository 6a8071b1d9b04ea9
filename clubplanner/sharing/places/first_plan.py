"""A quick first plan: sessions placed one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

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
    left = np.bincount(candidates.ask[alive], minlength=len(problem.asks))
    while True:
        waiting = np.flatnonzero((wanted > 0) & (left > 0)).tolist()
        if not waiting:
            return np.array(chosen, dtype=np.int64)
        ask = _most_urgent(problem, waiting, left, served)
        own = index.of_ask(ask)
        row = _best_row(terrain, candidates, own[alive[own]])
        chosen.append(row)
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


def _best_row(terrain: Terrain, candidates: Candidates, rows: NDArray[np.int64]) -> int:
    size = terrain.share_of_pitch[candidates.ground[rows]]
    order = np.lexsort((rows, -candidates.score[rows], size))
    return int(rows[order[0]])


def _taken(candidates: Candidates, chosen: Sequence[int]) -> Candidates:
    return candidates.take(np.array(chosen, dtype=np.int64))
