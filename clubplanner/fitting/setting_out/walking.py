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
    away = [[*(math.dist(one, other) for other in points), 0.0] for one in points]
    away.append([0.0] * (len(points) + 1))  # where a walk ends nothing comes after
    known: set[tuple[int, ...]] = set()
    walks = [_bettered(walk, away, known) for walk in _first_walks(spots, away)]
    found = [walk for walk in walks if walk is not None]
    return min(found, key=lambda walk: (round(_length(walk, away), 6), walk))


def walk_length_m(start: Spot, spots: Sequence[Spot]) -> float:
    """Return how far one walks from the start through spots in their order."""
    points = [start, *spots]
    return sum(math.dist(one, other) for one, other in pairwise(points))


def _first_walks(spots: Sequence[Spot], away: Sequence[Sequence[float]]) -> Iterator[list[int]]:
    """Make walks that are good to begin with."""
    near = away[len(spots)]
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


def _by_insertion(away: Sequence[Sequence[float]]) -> list[int]:
    """Put in always the cone that lengthens the walk least, where it does so."""
    walk: list[int] = []
    left = set(range(len(away) - 2))
    while left:
        legs = _legs(walk, away)
        offers = [
            (round(away[n][before] + (away[n][after] - length), 6), n, at)
            for n in left
            for at, (before, after, length) in enumerate(legs)
        ]
        _more, n, at = min(offers)
        walk.insert(at, n)
        left.remove(n)
    return walk


def _by_nearest(first: int, away: Sequence[Sequence[float]]) -> list[int]:
    walk = [first]
    left = set(range(len(away) - 2)) - {first}
    while left:
        here = away[walk[-1]]
        nearest = min(left, key=lambda n: (round(here[n], 6), n))
        walk.append(nearest)
        left.remove(nearest)
    return walk


def _bettered(
    walk: list[int], away: Sequence[Sequence[float]], known: set[tuple[int, ...]]
) -> list[int] | None:
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


def _legs(walk: list[int], away: Sequence[Sequence[float]]) -> list[tuple[int, int, float]]:
    """List the legs from the start on: from where, to where, how long; the last leads nowhere."""
    stops = [len(away) - 2, *walk, len(away) - 1]
    return [(one, other, away[one][other]) for one, other in pairwise(stops)]


def _turned_round(walk: list[int], away: Sequence[Sequence[float]]) -> list[int] | None:
    """Return the walk with a stretch turned round that makes it shorter; None without any."""
    legs = _legs(walk, away)
    for i, (before, first, length) in enumerate(legs[:-2]):
        from_before, from_first = away[before], away[first]
        for j, (last, after, further) in enumerate(legs[i + 2 :], i + 2):
            more = (from_before[last] - length) + (from_first[after] - further)
            if more < -_SHORTER_M:
                return [*walk[:i], *reversed(walk[i:j]), *walk[j:]]
    return None


def _moved(walk: list[int], away: Sequence[Sequence[float]]) -> list[int] | None:
    """Return the walk with a few cones put elsewhere that makes it shorter; None without any."""
    count = len(walk)
    legs = _legs(walk, away)
    for size in range(1, min(MOST_MOVED, count - 1) + 1):
        for i in range(count - size + 1):
            (gap, first, to_first), (last, after, from_last) = legs[i], legs[i + size]
            without = (away[gap][after] - from_last) - to_first
            from_few, to_few = away[first], away[last]
            rest = [*legs[:i], (gap, after, away[gap][after]), *legs[i + size + 1 :]]
            for j, (before, then, length) in enumerate(rest):
                as_is = (without + from_few[before]) + (to_few[then] - length)
                if as_is < -_SHORTER_M or (
                    (without + to_few[before]) + (from_few[then] - length) < -_SHORTER_M
                ):
                    few, left = walk[i : i + size], [*walk[:i], *walk[i + size :]]
                    return [*left[:j], *(few if as_is < -_SHORTER_M else few[::-1]), *left[j:]]
    return None


def _length(walk: Sequence[int], away: Sequence[Sequence[float]]) -> float:
    total, here = 0.0, len(away) - 2
    for there in walk:
        total += away[here][there]
        here = there
    return total
