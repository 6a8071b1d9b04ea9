"""An ask that finds too little ground, and a single change to try for it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.rules.book import bit_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.places.placements import Known
    from clubplanner.sharing.reasons.alone import Alone
    from clubplanner.sharing.rules.rule import Rule
    from clubplanner.sharing.values.problem import Ask, Problem


@dataclass(frozen=True, slots=True)
class Trial:
    """One change to try.

    Attributes:
        code: As in `Remedy`.
        text: What to do, a whole sentence.
        problem: The problem with the change made; None where only the ask changes.
        ask: The ask with the change made; None where only the problem changes.
        pitch: Key of the pitch whose record would change; blank for others.
        venue: Key of the venue whose record would change; blank for others.
    """

    code: str
    text: str
    problem: Problem | None = None
    ask: Ask | None = None
    pitch: str = ""
    venue: str = ""


@dataclass(frozen=True, slots=True)
class Case:
    """An ask in trouble.

    Attributes:
        terrain: The problem's columns.
        ask: The ask.
        alone: What it could have.
        names: What venues and pitches are called, by key.
        known: What was seen of ground before; see `look_alone`.
    """

    terrain: Terrain
    ask: Ask
    alone: Alone
    names: Mapping[str, str]
    known: Known

    def venue_name(self, key: str) -> str:
        """Return what a venue is called."""
        return self.names.get(key, key)

    def but_for(self, bits: int) -> NDArray[np.bool_]:
        """Mark ground with a place, on a day not free yet, that breaks nothing but some rules."""
        found = np.zeros(len(self.terrain.problem.grounds), dtype=bool)
        for day in self.alone.days:
            if not day.is_free:
                found |= ((day.broken & ~bits) == 0).any(axis=1)
        return found

    def minutes_but_for(self, rule: Rule) -> NDArray[np.int64]:
        """List start and end of every place, on a day not free yet, that breaks only one rule."""
        found = [np.empty((0, 2), dtype=np.int64)]
        for day in self.alone.days:
            if not day.is_free:
                here = (day.broken == bit_of(rule)).any(axis=0)
                found.append(np.stack([day.stays.starts[here], day.stays.ends[here]], axis=1))
        return np.concatenate(found)

    def days_but_for(self, bits: int, grounds: NDArray[np.bool_]) -> list[int]:
        """List the days, not free yet, with a place on some grounds that breaks only some rules."""
        return [
            day.stays.day
            for day in self.alone.days
            if not day.is_free and ((day.broken[grounds] & ~bits) == 0).any()
        ]
