"""Which candidates are in each other's way, and a quick first plan."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.wear import overloads

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Problem


def people_shared(problem: Problem) -> NDArray[np.bool_]:
    """Tell for each two asks whether one person is needed for both: squad or coach."""
    shared = np.zeros((len(problem.asks), len(problem.asks)), dtype=bool)
    people: dict[tuple[str, str], list[int]] = {}
    for number, ask in enumerate(problem.asks):
        people.setdefault(("squad", ask.squad), []).append(number)
        if ask.coach is not None:
            people.setdefault(("coach", ask.coach), []).append(number)
    for own in people.values():
        shared[np.ix_(own, own)] = True
    return shared


def ground_clashes(terrain: Terrain, rows: Candidates, others: Candidates) -> NDArray[np.bool_]:
    """Tell which rows share ground at one moment with which others.

    Returns:
        Array of shape (len(rows), len(others)).
    """
    cells = (terrain.cells[rows.ground][:, None] & terrain.cells[others.ground][None, :]) != 0
    same = terrain.pitch[rows.ground][:, None] == terrain.pitch[others.ground][None, :]
    return np.asarray(cells & same & _is_near(rows, others, terrain.problem.changeover_minutes))


def people_clashes(
    terrain: Terrain,
    shared: NDArray[np.bool_],
    rows: Candidates,
    others: Candidates,
    *,
    needs_rest: bool = True,
) -> NDArray[np.bool_]:
    """Tell which rows need a person who is at which others, on the way or resting from it.

    One ask's day twice counts as well.

    Args:
        terrain: The problem's columns.
        shared: From `people_shared`.
        rows: Some candidates.
        others: Other candidates.
        needs_rest: Whether days of rest count; among pinned sessions they do not.

    Returns:
        Array of shape (len(rows), len(others)).
    """
    same_venue = terrain.venue[rows.ground][:, None] == terrain.venue[others.ground][None, :]
    here = _is_near(rows, others, 0) & same_venue
    away = _is_near(rows, others, terrain.problem.travel_minutes) & ~same_venue
    same_ask = rows.ask[:, None] == others.ask[None, :]
    same_day = rows.day[:, None] == others.day[None, :]
    busy = shared[rows.ask][:, others.ask] & (here | away)
    clash = busy | (same_ask & same_day)
    if needs_rest and terrain.rest.any():
        rest = terrain.rest[rows.ask][:, others.ask]
        clash |= (terrain.apart[rows.day][:, others.day] <= rest) & (rest > 0)
    return np.asarray(clash)


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
    alive &= ~_too_worn(terrain, candidates, chosen)
    limited = {limit.pitch for limit in terrain.wear.limits}
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
        if terrain.pitch[candidates.ground[row]] in limited:
            alive &= ~_too_worn(terrain, candidates, chosen)
            left = np.bincount(candidates.ask[alive], minlength=len(problem.asks))
        else:
            left -= np.bincount(candidates.ask[gone], minlength=len(problem.asks))


def _most_urgent(
    problem: Problem, waiting: Sequence[int], left: NDArray[np.int64], served: Collection[str]
) -> int:
    """Choose the next ask: squads without a session, then priority, then the fewest places left."""

    def urgency(number: int) -> tuple[bool, int, int, int]:
        ask = problem.asks[number]
        return ask.squad in served, -ask.priority, int(left[number]), number

    return min(waiting, key=urgency)


class Index:
    """Candidates by pitch and day and by ask, so that only near ones are looked at."""

    def __init__(self, terrain: Terrain, candidates: Candidates) -> None:
        self._terrain = terrain
        self._rows = candidates
        self._shared = people_shared(terrain.problem)
        days = max(1, len(terrain.problem.days))
        places = terrain.pitch[candidates.ground] * days + candidates.day
        self._days = days
        self._by_place = _grouped(places, len(terrain.pitches) * days)
        self._by_ask = _grouped(candidates.ask, len(terrain.problem.asks))

    def of_ask(self, ask: int) -> NDArray[np.int64]:
        """Return the rows of an ask, in order."""
        return self._by_ask[ask]

    def in_the_way(self, row: int) -> NDArray[np.int64]:
        """List the rows that cannot be in a plan with one."""
        place = int(self._terrain.pitch[self._rows.ground[row]]) * self._days
        friends = np.flatnonzero(self._shared[self._rows.ask[row]]).tolist()
        near = [self._by_place[place + int(self._rows.day[row])]]
        near += [self._by_ask[ask] for ask in friends]
        found = np.unique(np.concatenate(near))
        one = self._rows.take(np.array([row], dtype=np.int64))
        rows = self._rows.take(found)
        clash = ground_clashes(self._terrain, rows, one)[:, 0]
        clash |= people_clashes(self._terrain, self._shared, rows, one)[:, 0]
        return np.asarray(found[clash])


def _grouped(keys: NDArray[np.int64], count: int) -> list[NDArray[np.int64]]:
    """List the places of each key, in order."""
    order = np.argsort(keys, kind="stable")
    bounds = np.searchsorted(keys[order], np.arange(count + 1))
    return [order[start:end] for start, end in pairwise(bounds.tolist())]


def _best_row(terrain: Terrain, candidates: Candidates, rows: NDArray[np.int64]) -> int:
    size = terrain.share_of_pitch[candidates.ground[rows]]
    order = np.lexsort((rows, -candidates.score[rows], size))
    return int(rows[order[0]])


def _too_worn(terrain: Terrain, candidates: Candidates, chosen: Sequence[int]) -> NDArray[np.bool_]:
    plan = candidates.take(np.array(chosen, dtype=np.int64))
    return overloads(terrain, candidates, plan)


def _is_near(rows: Candidates, others: Candidates, gap: int) -> NDArray[np.bool_]:
    same_day = rows.day[:, None] == others.day[None, :]
    before = rows.start[:, None] < others.end[None, :] + gap
    after = others.start[None, :] < rows.end[:, None] + gap
    return np.asarray(same_day & before & after)
