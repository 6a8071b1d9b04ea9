"""Which candidates cannot be in a plan with one, looked up by where, when and whose they are."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.rules.book import ground_clashes, people_clashes
from clubplanner.sharing.rules.people.persons import people_shared

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain


class Index:
    """Candidates by pitch and day and by ask, so that only near ones are looked at."""

    def __init__(self, terrain: Terrain, candidates: Candidates) -> None:
        self._terrain = terrain
        self._rows = candidates
        days = max(1, len(terrain.problem.days))
        places = terrain.pitch[candidates.ground] * days + candidates.day
        self._days = days
        self._by_place = _grouped(places, len(terrain.pitches) * days)
        self._by_ask = _grouped(candidates.ask, len(terrain.problem.asks))

    def of_ask(self, ask: int) -> NDArray[np.int64]:
        """Return the rows of an ask, in order."""
        return self._by_ask[ask]

    def concerned(self, row: int) -> NDArray[np.int64]:
        """List the rows on the pitch of one, or that need somebody whom it needs."""
        first = int(self._terrain.pitch[self._rows.ground[row]]) * self._days
        friends = np.flatnonzero(people_shared(self._terrain)[self._rows.ask[row]]).tolist()
        near = [*self._by_place[first : first + self._days], *(self._by_ask[n] for n in friends)]
        return np.unique(np.concatenate(near))

    def in_the_way(self, row: int) -> NDArray[np.int64]:
        """List the rows that cannot be in a plan with one."""
        place = int(self._terrain.pitch[self._rows.ground[row]]) * self._days
        friends = np.flatnonzero(people_shared(self._terrain)[self._rows.ask[row]]).tolist()
        one = self._rows.take(np.array([row], dtype=np.int64))
        there = self._by_place[place + int(self._rows.day[row])]
        theirs = np.concatenate([self._by_ask[ask] for ask in friends])
        on_ground = ground_clashes(self._terrain, self._rows.take(there), one)[:, 0]
        of_people = people_clashes(self._terrain, self._rows.take(theirs), one)[:, 0]
        return np.unique(np.concatenate([there[on_ground], theirs[of_people]]))


def _grouped(keys: NDArray[np.int64], count: int) -> list[NDArray[np.int64]]:
    """List the places of each key, in order."""
    order = np.argsort(keys, kind="stable")
    bounds = np.searchsorted(keys[order], np.arange(count + 1))
    return [order[start:end] for start, end in pairwise(bounds.tolist())]
