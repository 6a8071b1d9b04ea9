"""Which cells are taken when, so that free places are found without comparing all with all."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain


class Occupied:
    """The cells that sessions take, which share none of them at a time.

    Time is cut wherever a candidate begins or is changed over.

    Attributes:
        place: Number of each candidate's pitch and day.
        first: The stretch of time in which each begins.
        last: The stretch after the one in which it is changed over.
        cells: Of each candidate.
    """

    def __init__(self, terrain: Terrain, candidates: Candidates) -> None:
        ends = candidates.end + terrain.problem.changeover_minutes
        cuts = np.unique(np.concatenate([candidates.start, ends]))
        days = max(1, len(terrain.problem.days))
        self.place = terrain.pitch[candidates.ground] * days + candidates.day
        self.first = np.searchsorted(cuts, candidates.start)
        self.last = np.searchsorted(cuts, ends)
        self.cells = terrain.cells[candidates.ground]
        self._taken = np.zeros((len(terrain.pitches) * days, len(cuts)), dtype=np.uint64)

    def take(self, row: int) -> None:
        """Take a candidate's cells."""
        self._taken[self.place[row], self.first[row] : self.last[row]] |= self.cells[row]

    def leave(self, row: int) -> None:
        """Leave a candidate's cells."""
        self._taken[self.place[row], self.first[row] : self.last[row]] &= ~self.cells[row]

    def is_free(self, windows: Windows) -> NDArray[np.bool_]:
        """Tell which of some candidates find their cells free."""
        inside = self._taken[windows.places, windows.stretches]
        taken = np.bitwise_or.reduce(inside, axis=1)[windows.of_row]
        return np.asarray(taken & windows.cells == 0)

    def shares(self, row: int, other: int) -> bool:
        """Tell whether two candidates share a cell at one time."""
        return bool(
            self.place[row] == self.place[other]
            and self.cells[row] & self.cells[other]
            and self.first[row] < self.last[other]
            and self.first[other] < self.last[row]
        )


class Windows:
    """Some candidates by the pitch, day and time that several of them have in common.

    Attributes:
        places: Of each window its pitch and day, as a column.
        stretches: Of each window the stretches of time within it; the last one is repeated.
        of_row: The window of each candidate.
        cells: Of each candidate.
    """

    def __init__(self, occupied: Occupied, rows: NDArray[np.int64]) -> None:
        keys = np.stack([occupied.place[rows], occupied.first[rows], occupied.last[rows]])
        (place, first, last), owner = np.unique(keys, axis=1, return_inverse=True)
        width = int((last - first).max(initial=1))
        self.places = place[:, None]
        self.stretches = np.minimum(first[:, None] + np.arange(width), last[:, None] - 1)
        self.of_row = owner.reshape(-1)
        self.cells = occupied.cells[rows]
