"""A quick first plan: sessions placed one after the other.

Two orders are known. Scarcest first serves those with few places left; where these want much ground
(the whole of a pitch that many could share), they leave nothing to the others, and cheapest first,
by points for ground and time, places far more.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.in_the_way import Index
from clubplanner.sharing.rules.book import RULES, too_many
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Problem


def fill_plan(
    terrain: Terrain,
    candidates: Candidates,
    kept: Sequence[int] = (),
    *,
    cheapest_first: bool = False,
) -> NDArray[np.int64]:
    """Place sessions one after the other, scarcest ask first.

    Args:
        terrain: The problem's columns.
        candidates: All candidates.
        kept: Rows to start from, none in another's way; the pinned rows are always kept.
        cheapest_first: Whether asks go by the points for the ground and time that they take.

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
    costs = _least_costs(terrain, candidates) if cheapest_first else None
    while True:
        waiting = np.flatnonzero((wanted > 0) & (left > 0)).tolist()
        if not waiting:
            return np.array(chosen, dtype=np.int64)
        ask = _most_urgent(problem, waiting, left, served, costs)
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
    problem: Problem,
    waiting: Sequence[int],
    left: NDArray[np.int64],
    served: Collection[str],
    costs: NDArray[np.float64] | None,
) -> int:
    """Choose the next ask: squads without a session, then priority, then the fewest places left.

    With costs it is the most points for what they take, and then the fewest places left.
    """

    def urgency(number: int) -> tuple[float, int, int, int]:
        ask = problem.asks[number]
        is_served = ask.squad in served
        if costs is None:
            return is_served, -ask.priority, int(left[number]), number
        points = ask.priority * (SESSION_POINTS + FIRST_POINTS * (not is_served))
        return -points / costs[number], 0, int(left[number]), number

    return min(waiting, key=urgency)


def _least_costs(terrain: Terrain, candidates: Candidates) -> NDArray[np.float64]:
    """Compute for each ask the least ground and time that a session takes, in pitch minutes."""
    costs = np.full(len(terrain.problem.asks), np.inf)
    minutes = candidates.end - candidates.start + terrain.problem.changeover_minutes
    np.minimum.at(costs, candidates.ask, terrain.share_of_pitch[candidates.ground] * minutes)
    return costs


def _best_row(terrain: Terrain, candidates: Candidates, rows: NDArray[np.int64]) -> int:
    size = terrain.share_of_pitch[candidates.ground[rows]]
    order = np.lexsort((rows, -candidates.score[rows], size))
    return int(rows[order[0]])


def _taken(candidates: Candidates, chosen: Sequence[int]) -> Candidates:
    return candidates.take(np.array(chosen, dtype=np.int64))
