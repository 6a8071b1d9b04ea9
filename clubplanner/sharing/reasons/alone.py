"""What an ask could have with the whole club to itself, and what keeps it from more."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.alone import best_days
from clubplanner.sharing.rules.book import broken_by_ask, broken_on_ground, look_at
from clubplanner.sharing.rules.people.evenings_in_a_row import rows_of
from clubplanner.sharing.rules.times.asked_times import possible_starts

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.places.placements import Known
    from clubplanner.sharing.rules.rule import Stays
    from clubplanner.sharing.values.problem import Ask

MOST_KNOWN = 200
"""So many looks at all ground are kept at a time."""


@dataclass(frozen=True, slots=True)
class DayAlone:
    """One day of an ask.

    Attributes:
        stays: Its sessions at every start on every ground.
        broken: Rules that each breaks, by ground and start, as bits of the rule book.
    """

    stays: Stays
    broken: NDArray[np.int64]

    @property
    def is_free(self) -> bool:
        """Whether there is a place that breaks no rule."""
        return not self.broken.all()


@dataclass(frozen=True, slots=True)
class Alone:
    """What an ask could have.

    Attributes:
        days: The days with a possible start.
        sessions: How many of its sessions it could have, each on a day of its own.
    """

    days: tuple[DayAlone, ...]
    sessions: int

    @property
    def free_days(self) -> frozenset[int]:
        """Days with a place."""
        return frozenset(day.stays.day for day in self.days if day.is_free)


def look_alone(terrain: Terrain, ask: Ask, known: Known) -> Alone:
    """Look at what an ask could have with nobody else there.

    Args:
        terrain: The problem's columns.
        ask: The ask, which may be changed from the problem's own.
        known: What was seen of ground before; gets what is seen now.
    """
    if len(known) > MOST_KNOWN:
        known.clear()
    days = tuple(_days(terrain, ask, known))
    worth = np.zeros(max(1, len(terrain.problem.days)), dtype=np.int64)
    for day in days:
        worth[day.stays.day] = day.is_free
    too_long = rows_of(terrain, ask.squad)
    return Alone(days, best_days(worth, ask.sessions, terrain.apart, ask.rest_days, too_long))


def _days(terrain: Terrain, ask: Ask, known: Known) -> Iterator[DayAlone]:
    barred = broken_on_ground(terrain, ask)[:, None]
    for day in terrain.problem.days:
        starts = possible_starts(terrain.problem, ask, day.index)
        if len(starts):
            key = ask.minutes, day.index, starts.tobytes()
            if key not in known:
                known[key] = look_at(terrain, ask.minutes, day.index, starts)
            stays, broken = known[key]
            yield DayAlone(stays, broken | broken_by_ask(terrain, ask, stays) | barred)
