"""Which candidates a plan leaves free, kept up as sessions come and go.

Each session of a plan bars the candidates that cannot be beside it. How many sessions bar a
candidate is counted, so that a free place is looked up and not worked out: an ask has its places
side by side here, the smallest ground first, and the first that nobody bars is the one wanted.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.rules.book import people_clashes
from clubplanner.sharing.rules.people.persons import people_shared

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain

MOST_KEPT = 8_000_000
"""So many numbers of candidates are remembered at most, 4 bytes each."""


class Barring:
    """Counts for each candidate how many sessions of a plan bar it.

    Candidates have other numbers here, their spots: by ask, and within an ask by ground and points.

    Attributes:
        spots: The spot of each candidate.
        rows: The candidate of each spot.
        bars: How many sessions of the plan bar each spot, itself included.
        has: Whether each spot is in the plan.
        place: Number of the pitch and day of each spot.
    """

    def __init__(self, terrain: Terrain, candidates: Candidates) -> None:
        size = terrain.share_of_pitch[candidates.ground]
        is_pinned = candidates.session >= 0
        numbers = np.arange(len(candidates))
        self.rows = np.lexsort((numbers, -candidates.score, size, is_pinned, candidates.ask))
        self.spots = np.empty(len(candidates), dtype=np.int64)
        self.spots[self.rows] = numbers
        self.bars = np.zeros(len(candidates), dtype=np.int16)
        self.has = np.zeros(len(candidates), dtype=bool)
        own = candidates.take(self.rows)
        days = max(1, len(terrain.problem.days))
        self.place = terrain.pitch[own.ground] * days + own.day
        self._bounds = _bounds(own.ask, len(terrain.problem.asks))
        self._free_ends = [
            first + int(np.count_nonzero(own.session[first:last] < 0))
            for first, last in pairwise(self._bounds)
        ]
        self._class_ends = np.searchsorted(
            *_classes(own, size[self.rows], is_pinned[self.rows]), side="right"
        ).tolist()
        self._terrain, self._own = terrain, own
        self._ends = own.end + terrain.problem.changeover_minutes
        self._cells = terrain.cells[own.ground]
        order = np.argsort(self.place, kind="stable")
        bounds = _bounds(self.place[order], len(terrain.pitches) * days)
        self._there = [
            (spots, own.start[spots], self._ends[spots], self._cells[spots])
            for spots in (order[first:last] for first, last in pairwise(bounds))
        ]
        self._friends = [np.flatnonzero(row).tolist() for row in people_shared(terrain)]
        self._known: dict[int, NDArray[np.int32]] = {}
        self._kept = 0

    def add(self, spot: int) -> None:
        """Put a spot into the plan."""
        self.bars[self.barred_by(spot)] += 1
        self.has[spot] = True

    def remove(self, spot: int) -> None:
        """Take a spot out of the plan."""
        self.bars[self.barred_by(spot)] -= 1
        self.has[spot] = False

    def in_the_way(self, spot: int) -> list[int]:
        """List the spots of the plan that cannot be beside one."""
        near = self.barred_by(spot)
        found: list[int] = near[self.has[near]].tolist()
        return found

    def of_ask(self, ask: int) -> tuple[int, int]:
        """Return the first spot of an ask, and the one after its last that is not pinned."""
        return self._bounds[ask], self._free_ends[ask]

    def on_least(self, ask: int) -> tuple[int, int]:
        """Return the same of the spots on the smallest ground that an ask could have."""
        first, last = self.of_ask(ask)
        return first, self._class_ends[first] if first < last else last

    def first_free(self, ask: int) -> int | None:
        """Return the first spot of an ask that nobody bars."""
        first, last = self.of_ask(ask)
        if first == last:
            return None
        found = first + int(self.bars[first:last].argmin())
        return found if not self.bars[found] else None

    def as_free(self, spot: int) -> list[int]:
        """List the free spots of the ask of a free one from there on, on ground of its size."""
        found = np.flatnonzero(self.bars[spot : self._class_ends[spot]] == 0) + spot
        return found.tolist()

    def free(self, ask: int) -> NDArray[np.int64]:
        """List the spots of an ask that nobody bars, in order."""
        first, last = self.of_ask(ask)
        return np.flatnonzero(self.bars[first:last] == 0) + first

    def barred_by(self, spot: int) -> NDArray[np.int32]:
        """List the spots that cannot be in a plan with one, itself included."""
        known = self._known.get(spot)
        if known is None:
            known = self._work_out(spot)
            if self._kept + len(known) > MOST_KEPT:
                self._known.clear()
                self._kept = 0
            self._known[spot] = known
            self._kept += len(known)
        return known

    def _work_out(self, spot: int) -> NDArray[np.int32]:
        own, place = self._own, int(self.place[spot])
        start, end, cells = own.start[spot], self._ends[spot], self._cells[spot]
        there, starts, ends, all_cells = self._there[place]
        on_ground = there[(starts < end) & (start < ends) & ((all_cells & cells) != 0)]
        friends = self._friends[int(own.ask[spot])]
        theirs = np.concatenate(
            [np.arange(self._bounds[ask], self._bounds[ask + 1]) for ask in friends]
        )
        one = own.take(np.array([spot], dtype=np.int64))
        theirs = theirs[people_clashes(self._terrain, own.take(theirs), one)[:, 0]]
        is_known = (self.place[theirs] == place) & (self._cells[theirs] & cells != 0)
        is_known &= (own.start[theirs] < end) & (start < self._ends[theirs])
        return np.concatenate([on_ground, theirs[~is_known]]).astype(np.int32)


def _bounds(keys: NDArray[np.int64], count: int) -> list[int]:
    """Return where each key begins in a column in order, and where the last one ends."""
    bounds: list[int] = np.searchsorted(keys, np.arange(count + 1)).tolist()
    return bounds


def _classes(
    own: Candidates, size: NDArray[np.float64], is_pinned: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Number ask and size of each spot, rising with the spots; twice, to be looked up in itself."""
    steps = np.ones(len(size), dtype=np.int64)
    steps[1:] = (np.diff(own.ask) != 0) | (np.diff(size) != 0) | (np.diff(is_pinned) != 0)
    numbers = np.cumsum(steps)
    return numbers, numbers
