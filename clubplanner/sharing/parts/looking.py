"""What each ask could have alone, and where: one ask after the other, no places kept."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.terrain import NEVER
from clubplanner.sharing.places.alone import best_days
from clubplanner.sharing.places.listing import ask_candidates
from clubplanner.sharing.places.placements import row_of
from clubplanner.sharing.rules.people.evenings_in_a_row import most_by_squad, rows_of

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.places.placements import Known
    from clubplanner.sharing.values.problem import Ask


@dataclass(frozen=True, slots=True)
class Look:
    """What all asks could have, each by itself.

    Attributes:
        best: Wish points, as `best_alone` gives them.
        days: On how many days it has a place.
        places: By ask and pitch, how many places; pinned ones are not counted.
        least: By ask and pitch, the least part of the pitch that it needs; 0 without a place.
        minutes: By pitch, how many minutes of a plan's days somebody could be there.
    """

    best: NDArray[np.int64]
    days: NDArray[np.int64]
    places: NDArray[np.int64]
    least: NDArray[np.float64]
    minutes: NDArray[np.int64]

    @property
    def count(self) -> int:
        """How many places there are for all asks together."""
        return int(self.places.sum())


def look(terrain: Terrain) -> Look:
    """Look at each ask by itself; asks that want the same are looked at once."""
    problem = terrain.problem
    known: Known = {}
    spans = _Spans(terrain)
    seen: dict[tuple[Ask, int | None], _Had] = {}
    found = []
    for number, ask in enumerate(problem.asks):
        key = _wanted(ask), most_by_squad(terrain).get(ask.squad)
        if key not in seen:
            seen[key] = _look_at(terrain, ask, number, known, spans)
        found.append(seen[key])
    shape = len(found), len(terrain.pitches)
    return Look(
        best=np.array([had.best for had in found], dtype=np.int64),
        days=np.array([had.days for had in found], dtype=np.int64),
        places=np.array([had.places for had in found], dtype=np.int64).reshape(shape),
        least=np.array([had.least for had in found], dtype=np.float64).reshape(shape),
        minutes=spans.minutes(),
    )


def _wanted(ask: Ask) -> Ask:
    """Return an ask without whose it is; pinned sessions are its own."""
    if ask.pinned:
        return ask
    return replace(ask, key="", squad="", squad_name="", coach=None, priority=1, past=0)


@dataclass(frozen=True, slots=True)
class _Had:
    """What one ask could have; see `Look`."""

    best: int
    days: int
    places: NDArray[np.int64]
    least: NDArray[np.float64]


class _Spans:
    """From when to when somebody could be on each pitch, by day."""

    def __init__(self, terrain: Terrain) -> None:
        shape = len(terrain.pitches), max(1, len(terrain.problem.days))
        self._pitch = terrain.pitch
        self._first = np.full(shape, NEVER, dtype=np.int64)
        self._last = np.zeros(shape, dtype=np.int64)

    def add(self, rows: Candidates) -> None:
        """Take places in."""
        at = self._pitch[rows.ground], rows.day
        np.minimum.at(self._first, at, rows.start)
        np.maximum.at(self._last, at, rows.end)

    def minutes(self) -> NDArray[np.int64]:
        """Add the days up, by pitch."""
        lengths = np.maximum(0, self._last - self._first)
        return np.asarray(lengths.sum(axis=1), dtype=np.int64)


def _look_at(terrain: Terrain, ask: Ask, number: int, known: Known, spans: _Spans) -> _Had:
    rows = ask_candidates(terrain, ask, number, known=known)
    spans.add(rows)
    pitches = terrain.pitch[rows.ground]
    least = np.full(len(terrain.pitches), np.inf)
    np.minimum.at(least, pitches, terrain.share_of_pitch[rows.ground])
    worth = np.zeros(max(1, len(terrain.problem.days)), dtype=np.int64)
    had = np.zeros(len(worth), dtype=bool)
    for part in (rows, *(row_of(terrain, ask, number, pin, {}) for pin in ask.pinned)):
        np.maximum.at(worth, part.day, part.score)
        had[part.day] = True
    too_long = rows_of(terrain, ask.squad)
    return _Had(
        best=best_days(worth, ask.sessions, terrain.apart, ask.rest_days, too_long),
        days=int(had.sum()),
        places=np.bincount(pitches, minlength=len(terrain.pitches)),
        least=np.where(np.isinf(least), 0.0, least),
    )
