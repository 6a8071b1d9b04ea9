"""A problem's ground and days as NumPy columns.

Whatever a rule or a wish looks up besides is a function of the terrain marked with `once`, beside
that rule.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import wraps
from typing import TYPE_CHECKING, TypeVar, cast

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from numpy.typing import NDArray

    from clubplanner.sharing.values.problem import Day, Ground, Problem

NEVER = 1 << 20
"""A minute that no session reaches, and more days than a plan has."""

_Found = TypeVar("_Found")


@dataclass(frozen=True, slots=True)
class Terrain:
    """What rules and wishes look up, computed once for a problem.

    Attributes:
        problem: The problem.
        pitch: Number of the pitch of each ground.
        venue: Number of the venue of each ground.
        cells: Cells of each ground, uint64.
        area_m2: Size of each ground.
        share_of_pitch: Size of each ground over that of its pitch.
        pitches: Keys of the pitches, by number.
        venues: Keys of the venues, by number.
        nested: Rows (a, b) of grounds of one pitch where a's cells all belong to b.
        apart: By two days, the fewest days from a date of one to a date of the other.
        kept: What functions marked with `once` have found.
    """

    problem: Problem
    pitch: NDArray[np.int64]
    venue: NDArray[np.int64]
    cells: NDArray[np.uint64]
    area_m2: NDArray[np.float64]
    share_of_pitch: NDArray[np.float64]
    pitches: tuple[str, ...]
    venues: tuple[str, ...]
    nested: NDArray[np.int64]
    apart: NDArray[np.int64]
    kept: dict[object, object] = field(default_factory=dict, repr=False, compare=False)


def once(find: Callable[[Terrain], _Found]) -> Callable[[Terrain], _Found]:
    """Make a look-up be worked out at its first use only, and kept with its terrain."""

    @wraps(find)
    def found(terrain: Terrain) -> _Found:
        if find not in terrain.kept:
            terrain.kept[find] = find(terrain)
        return cast("_Found", terrain.kept[find])

    return found


def survey(problem: Problem) -> Terrain:
    """Compute the look-up columns of a problem."""
    grounds = problem.grounds
    pitches = _numbered(ground.pitch for ground in grounds)
    venues = _numbered(ground.venue for ground in grounds)
    return Terrain(
        problem=problem,
        pitch=np.array([pitches[g.pitch] for g in grounds], dtype=np.int64),
        venue=np.array([venues[g.venue] for g in grounds], dtype=np.int64),
        cells=np.array([g.cells for g in grounds], dtype=np.uint64),
        area_m2=np.array([g.area_m2 for g in grounds], dtype=np.float64),
        share_of_pitch=np.array([g.share_of_pitch for g in grounds], dtype=np.float64),
        pitches=tuple(pitches),
        venues=tuple(venues),
        nested=np.array(_nested(grounds), dtype=np.int64).reshape(-1, 2),
        apart=_days_apart(problem.days),
    )


@once
def ground_numbers(terrain: Terrain) -> dict[str, int]:
    """Return the number of each ground, by its key."""
    return _numbered(ground.key for ground in terrain.problem.grounds)


@once
def asks_by_squad(terrain: Terrain) -> dict[str, list[int]]:
    """Return the numbers of each squad's asks, in order."""
    squads: dict[str, list[int]] = {}
    for number, ask in enumerate(terrain.problem.asks):
        squads.setdefault(ask.squad, []).append(number)
    return squads


def _days_apart(days: tuple[Day, ...]) -> NDArray[np.int64]:
    apart = np.full((len(days), len(days)), NEVER, dtype=np.int64)
    numbers = [np.array([when.toordinal() for when in day.dates], dtype=np.int64) for day in days]
    for a, first in enumerate(numbers):
        for b, second in enumerate(numbers):
            if len(first) and len(second):
                apart[a, b] = np.abs(first[:, None] - second[None, :]).min()
    return apart


def _numbered(keys: Iterable[str]) -> dict[str, int]:
    """Number keys in the order in which they come."""
    return {key: number for number, key in enumerate(dict.fromkeys(keys))}


def _nested(grounds: tuple[Ground, ...]) -> list[tuple[int, int]]:
    by_pitch: dict[str, list[int]] = {}
    for number, ground in enumerate(grounds):
        by_pitch.setdefault(ground.pitch, []).append(number)
    return [
        (a, b)
        for a, small in enumerate(grounds)
        for b in by_pitch[small.pitch]
        if a != b and small.cells & ~grounds[b].cells == 0
    ]
