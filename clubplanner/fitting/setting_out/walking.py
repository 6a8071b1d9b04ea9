"""The order in which a coach walks to lay out cones: short, and without crossing one's own way.

The walk starts where one comes in. Several are made (always to the nearest next cone, each cone put
in where it lengthens the walk least, round about, up and down), and each is bettered as long as
turning a stretch round or putting one elsewhere makes it shorter; so no two legs cross.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    import numpy.typing as npt

    Metres: TypeAlias = npt.NDArray[np.float64]
    Stops: TypeAlias = npt.NDArray[np.intp]

Spot: TypeAlias = tuple[float, float]
"""(x, y) in metres."""
MOST_STARTS = 4
"""Cones near the way in that are tried as the first one."""
MOST_MOVED = 3
"""Cones that are put elsewhere together at most."""
_SHORTER_M = 1e-6
_SAME_M = 1e-6
"""Lengths that differ by less count as one."""


def order_walk(start: Spot, spots: Sequence[Spot]) -> list[int]:
    """Order spots so that the walk through all of them is short.

    Args:
        start: Where one comes in.
        spots: Where to go, each once.

    Returns:
        Their numbers in the order of walking. No two legs cross, counting the one from the start;
        turning any stretch round would make the walk no shorter.
    """
    if not spots:
        return []
    points = [*spots, start]
    away = np.zeros((len(points) + 1, len(points) + 1))  # where a walk ends nothing comes after
    away[:-1, :-1] = [[math.dist(one, other) for other in points] for one in points]
    known: set[tuple[int, ...]] = set()
    walks = [_bettered(walk, away, known) for walk in _first_walks(spots, away)]
    found = [walk for walk in walks if walk is not None]
    return min(found, key=lambda walk: (round(_length(walk, away), 6), walk))


def walk_length_m(start: Spot, spots: Sequence[Spot]) -> float:
    """Return how far one walks from the start through spots in their order."""
    points = [start, *spots]
    return sum(math.dist(one, other) for one, other in pairwise(points))


def _first_walks(spots: Sequence[Spot], away: Metres) -> Iterator[list[int]]:
    """Make walks that are good to begin with."""
    near = away[len(spots)].tolist()
    numbers = list(range(len(spots)))
    for first in sorted(numbers, key=lambda n: (near[n], spots[n]))[:MOST_STARTS]:
        yield _by_nearest(first, away)
    yield _by_insertion(away)
    middle_x = sum(x for x, _y in spots) / len(spots)
    middle_y = sum(y for _x, y in spots) / len(spots)
    turns = [math.atan2(y - middle_y, x - middle_x) for x, y in spots]
    yield sorted(numbers, key=lambda n: (turns[n], n))
    for along, across in ((0, 1), (1, 0)):
        bands = sorted({round(spot[along], 1) for spot in spots})
        yield sorted(
            numbers,
            key=lambda n: (
                bands.index(round(spots[n][along], 1)),
                spots[n][across] * (-1) ** bands.index(round(spots[n][along], 1)),
            ),
        )


def _by_insertion(away: Metres) -> list[int]:
    """Put in always the cone that lengthens the walk least, where it does so."""
    walk: list[int] = []
    left = list(range(len(away) - 2))
    while left:
        stops = [len(away) - 2, *walk, len(away) - 1]
        before, after = stops[:-1], stops[1:]
        more = away[left][:, before] + (away[left][:, after] - away[before, after])
        least = np.argwhere(more <= more.min() + 2 * _SAME_M).tolist()
        _more, n, at = min((round(float(more[m, at]), 6), left[m], at) for m, at in least)
        walk.insert(at, n)
        left.remove(n)
    return walk


def _by_nearest(first: int, away: Metres) -> list[int]:
    walk = [first]
    left = set(range(len(away) - 2)) - {first}
    legs = away.tolist()
    while left:
        here = legs[walk[-1]]
        nearest = min(left, key=lambda n: (round(here[n], 6), n))
        walk.append(nearest)
        left.remove(nearest)
    return walk


def _bettered(walk: list[int], away: Metres, known: set[tuple[int, ...]]) -> list[int] | None:
    """Take changes that make a walk shorter until there is none.

    Returns:
        The walk; None where one that is known was come by, which leads to what came of that.
    """
    while tuple(walk) not in known:
        known.add(tuple(walk))
        other = _turned_round(walk, away) or _moved(walk, away)
        if other is None:
            return walk
        walk = other
    return None


def _along(walk: Sequence[int], away: Metres) -> Metres:
    """Return the lengths between all stops in the order of walking, from the start to the end."""
    stops = np.array([len(away) - 2, *walk, len(away) - 1])
    ways: Metres = away[stops[:, None], stops]
    return ways


def _turned_round(walk: list[int], away: Metres) -> list[int] | None:
    """Return the walk with a stretch turned round that makes it shorter; None without any."""
    ways = _along(walk, away)
    legs = ways.diagonal(1)
    more = (ways[:-1, :-1] - legs[:, None]) + (ways[1:, 1:] - legs)
    found = _first((more < -_SHORTER_M) & _follows(len(legs)))
    if found is None:
        return None
    i, j = found
    return [*walk[:i], *reversed(walk[i:j]), *walk[j:]]


@lru_cache(maxsize=128)
def _follows(count: int) -> npt.NDArray[np.bool_]:
    """Tell of two legs, by row and column, whether the second comes after the first, not next."""
    return np.triu(np.ones((count, count), dtype=bool), 2)


def _moved(walk: list[int], away: Metres) -> list[int] | None:
    """Return the walk with a few cones put elsewhere that makes it shorter; None without any."""
    count = len(walk)
    ways = _along(walk, away)
    legs = ways.diagonal(1)
    for size in range(1, min(MOST_MOVED, count - 1) + 1):
        gap = np.arange(count - size + 1)
        without = (ways.diagonal(size + 1) - legs[size:]) - legs[: len(gap)]
        few = gap[:, None] + 1, gap[:, None] + size
        before, then = _gaps(count, size)
        rest = ways[before, then]
        as_is, turned = (
            (without[:, None] + ways[first, before]) + (ways[last, then] - rest) < -_SHORTER_M
            for first, last in (few, few[::-1])
        )
        found = _first(as_is | turned)
        if found is not None:
            i, j = found
            taken, left = walk[i : i + size], [*walk[:i], *walk[i + size :]]
            return [*left[:j], *(taken if as_is[i, j] else taken[::-1]), *left[j:]]
    return None


@lru_cache(maxsize=384)
def _gaps(count: int, size: int) -> tuple[Stops, Stops]:
    """List the legs of a walk without a few cones: between which of its stops each leads.

    Args:
        count: Cones of the walk.
        size: How many that follow each other are taken out.

    Returns:
        The stops before and after: a row for each first cone taken out, a column for each leg.
    """
    first, leg = np.arange(count - size + 1)[:, None], np.arange(count - size + 1)[None, :]
    before = np.where(leg <= first, leg, leg + size)
    return before, np.where(leg < first, leg, leg + size) + 1


def _first(holds: npt.NDArray[np.bool_]) -> tuple[int, int] | None:
    """Return row and column of the first place that holds; None without any."""
    at = int(holds.argmax())
    row, column = divmod(at, holds.shape[1])
    return (row, column) if holds[row, column] else None


def _length(walk: Sequence[int], away: Metres) -> float:
    total, here = 0.0, len(away) - 2
    for there in walk:
        total += float(away[here, there])
        here = there
    return total
