"""Upper bounds: how many equal boxes can fit in a box at most.

All lengths are whole numbers of one unit; boxes lie parallel to the sides, quarter turns allowed.
Each bound holds for every such layout, so a layout that meets one of them is proved best.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import TypeAlias

_MOST_SLICED = 300
"""Beyond so many boxes the bound by slices takes too long for what it gains."""
_Steps: TypeAlias = "list[tuple[int, int]]"


def combinations(reach: int, length: int, width: int) -> list[int]:
    """List every sum of whole lengths and widths up to a reach, 0 included, in rising order."""
    if (reach // length + 1) * (reach // width + 1) <= 2 * reach:
        return sorted(
            {
                i * length + rest
                for i in range(reach // length + 1)
                for rest in range(0, reach - i * length + 1, width)
            }
        )
    reached = 1  # bit n stands for the sum n
    for step in (length, width):
        shift = step
        while shift <= reach:
            reached |= reached << shift
            shift *= 2
    digits = bin(reached)[:1:-1][: reach + 1]
    return [number for number, digit in enumerate(digits) if digit == "1"]


def area_bound(ground: tuple[int, int], box: tuple[int, int]) -> int:
    """Bound the count by area, sides first shortened to what lengths and widths can fill."""
    across, along = _shortened(ground, box)
    return across * along // (box[0] * box[1])


def barnes_bound(ground: tuple[int, int], box: tuple[int, int]) -> int:
    """Bound the count by the waste that thin bars already leave (Barnes 1979).

    A box of l × w is w bars of l × 1. Colour the unit square (x, y) with x + y modulo l: a bar
    covers every colour once, so the rarest colour limits the bars, and what they leave is at
    least r·s where r + s ≤ l, else (l - r)(l - s), with r and s the sides modulo l. The same
    holds for bars of w × 1, and the waste of boxes also leaves the ground's area modulo l·w.

    Source: F. W. Barnes, "Packing the maximum number of m × n tiles in a large p × q rectangle",
    Discrete Mathematics 26 (1979) 93-100 (from memory; the colouring argument above stands by
    itself).

    Args:
        ground: Sides of the ground.
        box: Sides of the box.

    Returns:
        The most boxes, 0 or more.
    """
    return bound_shortened(_shortened(ground, box), box)


def bound_shortened(ground: tuple[int, int], box: tuple[int, int]) -> int:
    """Work out Barnes' bound for sides that are sums of lengths and widths already."""
    total, area = ground[0] * ground[1], box[0] * box[1]
    waste = max(_bar_waste(ground[0], ground[1], bar) for bar in box)
    return max(0, (total - waste) // area)


def slice_bound(ground: tuple[int, int], box: tuple[int, int], most: int) -> int:
    """Bound the count by what straight cuts through the ground can meet.

    A line along y meets i lying and j standing boxes with i·w + j·l ≤ W. Averaged over all such
    lines the pair (lying·l / L, standing·w / L) lies in the convex hull of these whole pairs;
    lines along x say the same the other way. The bound is the largest whole lying + standing
    that both allow.

    Source: H. Isermann, "Ein Planungssystem zur Optimierung der Palettenbeladung", OR Spektrum 9
    (1987) 235-249 (from memory; the averaging argument above stands by itself).

    Args:
        ground: Sides L (along x) and W (along y).
        box: Sides l and w; a lying box has l along x.
        most: A bound known already.

    Returns:
        The most boxes, never above `most`.
    """
    (big, small), (length, width) = ground, box
    by_columns = _hull(small, width, length)
    by_rows = _hull(big, length, width)
    best = 0
    for lying in range(most + 1):
        first = _height(by_columns, Fraction(lying * length, big))
        second = _height(by_rows, Fraction(lying * width, small))
        if first is None or second is None:
            break
        standing = min(first * big / width, second * small / length)
        best = max(best, lying + int(standing))
    return min(best, most)


def quick_bound(ground: tuple[int, int], box: tuple[int, int]) -> int:
    """Return the smaller of the bounds by area and by Barnes' argument."""
    if min(ground) < min(box) or max(ground) < max(box):
        return 0
    return min(area_bound(ground, box), barnes_bound(ground, box))


def least_bound(ground: tuple[int, int], box: tuple[int, int], known: int | None = None) -> int:
    """Return the smallest of the bounds that are cheap enough to work out.

    Args:
        ground: Sides of the ground.
        box: Length and width of the box, the longer first.
        known: A bound known already; None for none.
    """
    bound = quick_bound(ground, box)
    if known is not None:
        bound = min(bound, known)
    return slice_bound(ground, box, bound) if 0 < bound <= _MOST_SLICED else bound


def _shortened(ground: tuple[int, int], box: tuple[int, int]) -> tuple[int, int]:
    return combinations(ground[0], *box)[-1], combinations(ground[1], *box)[-1]


def _bar_waste(first: int, second: int, bar: int) -> int:
    r, s = first % bar, second % bar
    return r * s if r + s <= bar else (bar - r) * (bar - s)


def _hull(reach: int, lying: int, standing: int) -> _Steps:
    """List the upper hull of the pairs (i, j) with i·lying + j·standing ≤ reach."""
    hull: _Steps = []
    for i in range(reach // lying + 1):
        point = (i, (reach - i * lying) // standing)
        while len(hull) > 1 and _turns_left(hull[-2], hull[-1], point):
            hull.pop()
        hull.append(point)
    return hull


def _turns_left(a: tuple[int, int], b: tuple[int, int], c: tuple[int, int]) -> bool:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]) >= 0


def _height(hull: _Steps, at: Fraction) -> Fraction | None:
    """Read the upper hull at a place; None beyond its end."""
    if at > hull[-1][0]:
        return None
    for (x0, y0), (x1, y1) in pairwise(hull):
        if at <= x1:
            return y0 + (at - x0) * Fraction(y1 - y0, x1 - x0)
    return Fraction(hull[-1][1])
