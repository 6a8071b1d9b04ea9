"""The order in which a coach walks to lay out cones: short, and without crossing one's own way.

The walk starts where one comes in. Several are made (always to the nearest next cone, each cone put
in where it lengthens the walk least, round about, up and down), and each is bettered as long as
turning a stretch round or putting one elsewhere makes it shorter; so no two legs cross.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

Spot: TypeAlias = tuple[float, float]
"""(x, y) in metres."""
MOST_STARTS = 4
"""Cones near the way in that are tried as the first one."""
MOST_MOVED = 3
"""Cones that are put elsewhere together at most."""
_SHORTER_M = 1e-6


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
    away = [[math.dist(one, other) for other in points] for one in points]
    walks = [_bettered(walk, away) for walk in _first_walks(spots, away)]
    return min(walks, key=lambda walk: (round(_length(walk, away), 6), walk))


def walk_length_m(start: Spot, spots: Sequence[Spot]) -> float:
    """Return how far one walks from the start through spots in their order."""
    points = [start, *spots]
    return sum(math.dist(one, other) for one, other in pairwise(points))


def _first_walks(spots: Sequence[Spot], away: Sequence[Sequence[float]]) -> Iterator[list[int]]:
    """Make walks that are good to begin with."""
    numbers = list(range(len(spots)))
    for first in sorted(numbers, key=lambda n: (away[-1][n], spots[n]))[:MOST_STARTS]:
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


def _by_insertion(away: Sequence[Sequence[float]]) -> list[int]:
    """Put in always the cone that lengthens the walk least, where it does so."""
    walk: list[int] = []
    left = set(range(len(away) - 1))
    while left:
        offers = []
        for n in left:
            for at in range(len(walk) + 1):
                before = walk[at - 1] if at else len(away) - 1
                more = away[before][n]
                if at < len(walk):
                    more += away[n][walk[at]] - away[before][walk[at]]
                offers.append((round(more, 6), n, at))
        _more, n, at = min(offers)
        walk.insert(at, n)
        left.remove(n)
    return walk


def _by_nearest(first: int, away: Sequence[Sequence[float]]) -> list[int]:
    walk = [first]
    left = set(range(len(away) - 1)) - {first}
    while left:
        here = away[walk[-1]]
        nearest = min(left, key=lambda n: (round(here[n], 6), n))
        walk.append(nearest)
        left.remove(nearest)
    return walk


def _bettered(walk: list[int], away: Sequence[Sequence[float]]) -> list[int]:
    """Take changes that make a walk shorter until there is none."""
    while True:
        other = _turned_round(walk, away) or _moved(walk, away)
        if other is None:
            return walk
        walk = other


def _turned_round(walk: list[int], away: Sequence[Sequence[float]]) -> list[int] | None:
    """Return the walk with a stretch turned round that makes it shorter; None without any."""
    count = len(walk)
    for i in range(count - 1):
        before, first = walk[i - 1] if i else len(away) - 1, walk[i]
        for j in range(i + 2, count + 1):
            last = walk[j - 1]
            more = away[before][last] - away[before][first]
            if j < count:
                more += away[first][walk[j]] - away[last][walk[j]]
            if more < -_SHORTER_M:
                return [*walk[:i], *reversed(walk[i:j]), *walk[j:]]
    return None


def _moved(walk: list[int], away: Sequence[Sequence[float]]) -> list[int] | None:
    """Return the walk with a few cones put elsewhere that makes it shorter; None without any."""
    count, start = len(walk), len(away) - 1
    for size in range(1, min(MOST_MOVED, count - 1) + 1):
        for i in range(count - size + 1):
            few, rest = walk[i : i + size], [*walk[:i], *walk[i + size :]]
            gap = rest[i - 1] if i else start
            without = -away[gap][few[0]]
            if i < len(rest):
                without += away[gap][rest[i]] - away[few[-1]][rest[i]]
            for j in range(len(rest) + 1):
                before = rest[j - 1] if j else start
                for one in (few, few[::-1]):
                    more = without + away[before][one[0]]
                    if j < len(rest):
                        more += away[one[-1]][rest[j]] - away[before][rest[j]]
                    if more < -_SHORTER_M:
                        return [*rest[:j], *one, *rest[j:]]
    return None


def _length(walk: Sequence[int], away: Sequence[Sequence[float]]) -> float:
    total, here = 0.0, len(away) - 1
    for there in walk:
        total += away[here][there]
        here = there
    return total
