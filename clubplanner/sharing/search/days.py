"""Whole days: which asks go together on the pitches of a day, by all rules that bind a day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.merging import ground_weights
from clubplanner.sharing.search.evening import Evening

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.search.evening import Filled
    from clubplanner.sharing.values.budget import Budget


@dataclass(frozen=True, slots=True)
class Together:
    """Of some asks no plan has more than so many on a day."""

    day: int
    asks: frozenset[int]
    most: int


class Days:
    """Fills all pitches of a day at once, with exact rows for their ground."""

    def __init__(
        self,
        terrain: Terrain,
        candidates: Candidates,
        slots: Slots,
        best: NDArray[np.int64],
        budget: Budget,
    ) -> None:
        """Remember the problem, and the budget that gets the steps taken."""
        self._terrain, self._candidates, self._slots, self._best = terrain, candidates, slots, best
        self._budget = budget
        self._weights = ground_weights(terrain)
        self._days: dict[int, Evening] = {}

    def fill(self, day: int, asks: Collection[int]) -> Filled | None:
        """Place a session of each of some asks on a day, of as many as can be.

        Returns:
            The most that can be, and a choice of slots; None where pinned sessions cannot be.
        """
        gains = np.isin(self._slots.ask, list(asks)).astype(np.int64)
        budget = self._budget
        filled = self._model(day).fill(gains, budget.effort.seed, budget.clock_left)
        if filled is not None:
            budget.steps += filled.steps
            budget.is_cut |= filled.is_cut
        return filled

    def together(
        self, day: int, asks: Sequence[int], most: int, has_left: Callable[[], bool]
    ) -> Together:
        """Leave out asks without which the others do not go together either.

        Args:
            day: Index of the day.
            asks: Asks that do not all go together on it.
            most: How many of them do, at most.
            has_left: Tells whether there may be more.
        """
        kept = list(asks)
        for ask in asks:
            others = [one for one in kept if one != ask]
            filled = self.fill(day, others) if has_left() else None
            if filled is not None and filled.most < len(others):
                kept, most = others, filled.most
        return Together(day, frozenset(kept), most)

    def _model(self, day: int) -> Evening:
        if day not in self._days:
            members = np.flatnonzero(self._slots.day == day).tolist()
            model = Evening(
                self._terrain, self._candidates, self._slots, self._best, self._weights, members
            )
            for pitch in sorted(set(self._slots.pitch[members].tolist())):
                model.add_detail((pitch, day))
            self._days[day] = model
        return self._days[day]
