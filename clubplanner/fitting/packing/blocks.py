"""Good layouts of equal boxes in a box, by blocks.

A ground is cut in two by a straight line, or in five like a pinwheel round a middle block, and
each block again; cuts need only lie at raster points, the places a row of boxes can end. The
work is counted in steps, never in seconds, so the same question always gets the same answer.

Source of the method: R. Morabito and S. Morales, "A simple and effective recursive procedure for
the manufacturer's pallet loading problem", Journal of the Operational Research Society 49 (1998)
819-828 (from memory).
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from clubplanner.fitting.packing.bounds import bound_shortened, combinations

if TYPE_CHECKING:
    from numpy.typing import NDArray

    _Sides: TypeAlias = NDArray[np.int64]

Box: TypeAlias = tuple[int, int, bool]
"""(x, y, is_standing): lower left corner, and whether the length lies along y."""
_Part: TypeAlias = tuple[int, int, int, int]
"""(x, y, extent along x, extent along y)."""
_MOST_POINTS = 40
"""On a side with more raster points only every so many-th is tried as a cut."""
_HOPES_PER_STEP = 60
"""So many bounds of pinwheels take about as long as trying one cut."""
_DEEPEST = 4
"""Pinwheels inside pinwheels beyond this gained nothing on the published hard questions."""


@dataclass(slots=True)
class BlockSearch:
    """One question's memory: what was found for each block so far.

    Attributes:
        length: Longer side of a box, units.
        width: Shorter side of a box.
        sums: All sums of lengths and widths up to the ground's longer side, rising.
        steps: Cuts that may still be tried.
        is_coarse: Whether cuts lie only where rows of boxes that all lie one way can end.
    """

    length: int
    width: int
    sums: list[int]
    steps: int
    is_coarse: bool = False
    bounds: dict[tuple[int, int], int] = field(default_factory=dict)
    known: dict[tuple[int, int, int], int] = field(default_factory=dict)
    plans: dict[tuple[int, int, int], tuple[int, tuple[_Part, ...]]] = field(default_factory=dict)

    def shorten(self, side: int) -> int:
        """Return the largest sum of lengths and widths within a side."""
        return self.sums[bisect_right(self.sums, side) - 1]

    def most(self, along_x: int, along_y: int) -> int:
        """Bound a block by area and by Barnes' argument."""
        sides = (along_x, along_y)
        if sides not in self.bounds:
            short = (self.shorten(along_x), self.shorten(along_y))
            self.bounds[sides] = bound_shortened(short, (self.length, self.width))
        return self.bounds[sides]

    def _key(self, along_x: int, along_y: int, depth: int) -> tuple[int, int, int]:
        """Name a block by its shortened sides, the longer first: turning it changes nothing."""
        one, other = self.shorten(along_x), self.shorten(along_y)
        return max(one, other), min(one, other), depth

    def solve(self, along_x: int, along_y: int, depth: int) -> int:
        """Find a good count for a block and remember its plan.

        Args:
            along_x: Extent along x.
            along_y: Extent along y.
            depth: How many pinwheels may still lie inside each other.

        Returns:
            How many boxes were placed.
        """
        key = self._key(along_x, along_y, depth)
        if key in self.known:
            return self.known[key]
        big, small, _ = key
        best = max(_rows(big, small, self.length, self.width), self._inherit(key))
        self.known[key] = best
        most = self.most(big, small)
        for cut in (self._halve, self._pinwheel):
            if best < most and (depth > 0 or cut == self._halve):
                best = cut(key, best, most)
        return best

    def _inherit(self, key: tuple[int, int, int]) -> int:
        big, small, depth = key
        below = (big, small, depth - 1)
        if below in self.plans:
            self.plans[key] = self.plans[below]
        return self.known.get(below, 0)

    def _points(self, side: int) -> list[int]:
        """List the raster points strictly inside a side."""
        inside = self.sums[: bisect_right(self.sums, side)]
        self.steps -= len(inside) // 8
        if self.is_coarse:
            inside = [p for p in inside if p % self.length == 0 or p % self.width == 0]
        points = sorted({self.shorten(side - point) for point in inside} - {0, side})
        return points[:: 1 + len(points) // _MOST_POINTS]

    def _halve(self, key: tuple[int, int, int], best: int, most: int) -> int:
        big, small, depth = key
        halves: list[tuple[_Part, _Part]] = [
            ((0, 0, x, small), (x, 0, big - x, small)) for x in self._points(big) if 2 * x <= big
        ]
        halves += [
            ((0, 0, big, y), (0, y, big, small - y)) for y in self._points(small) if 2 * y <= small
        ]
        for parts in halves:
            self.steps -= 1
            if self.steps < 0 or best >= most:
                break
            best = self._try(key, best, parts, depth)
        return best

    def _pinwheel(self, key: tuple[int, int, int], best: int, most: int) -> int:
        big, small, depth = key
        x1, x2 = _ordered_pairs(self._points(big), big)
        y1, y2 = _ordered_pairs(self._points(small), 2 * small)
        self.steps -= len(x1) * len(y1) // _HOPES_PER_STEP
        if len(x1) == 0 or len(y1) == 0 or self.steps < 0:
            return best
        hope = self._hopes((x2, y1), (big - x2, y2), (big - x1, small - y2))
        hope += self._hopes((x1, small - y1), (x2 - x1, y2 - y1))
        flat = hope.ravel()
        order = np.flatnonzero(flat > best)
        order = order[np.argsort(-flat[order], kind="stable")]
        for place in order.tolist():
            self.steps -= 1
            if self.steps < 0 or best >= most or flat[place] <= best:
                break
            column, row = divmod(place, len(y1))
            corners = (int(x1[column]), int(x2[column]), int(y1[row]), int(y2[row]))
            best = self._try(key, best, _pinwheel_parts(big, small, corners), depth - 1)
        return best

    def _hopes(self, *sizes: tuple[_Sides, _Sides]) -> _Sides:
        """Add up the bounds of blocks, for every pair of an x size and a y size."""
        sums = np.asarray(self.sums)
        total = np.zeros((len(sizes[0][0]), len(sizes[0][1])), dtype=np.int64)
        for along_x, along_y in sizes:
            x = sums[np.searchsorted(sums, along_x, side="right") - 1][:, None]
            y = sums[np.searchsorted(sums, along_y, side="right") - 1][None, :]
            waste = np.maximum(_bar_wastes(x, y, self.length), _bar_wastes(x, y, self.width))
            total += (x * y - waste) // (self.length * self.width)
        return total

    def _try(
        self, key: tuple[int, int, int], best: int, parts: tuple[_Part, ...], depth: int
    ) -> int:
        hope = [self.most(part[2], part[3]) for part in parts]
        total = sum(hope)
        for part, expected in zip(parts, hope, strict=True):
            if total <= best:
                return best
            total += self.solve(part[2], part[3], depth) - expected
        if total > best:
            self.known[key], self.plans[key] = total, (depth, parts)
            return total
        return best

    def boxes(self, along_x: int, along_y: int, depth: int) -> list[Box]:
        """Write out the plan that `solve` remembered for a block, from (0, 0)."""
        key = self._key(along_x, along_y, depth)
        plan = self.plans.get(key)
        if plan is None:
            found = _row_boxes(key[0], key[1], self.length, self.width)
        else:
            lower, parts = plan
            found = [
                (x + u, y + v, is_standing)
                for x, y, part_x, part_y in parts
                for u, v, is_standing in self.boxes(part_x, part_y, lower)
            ]
        if self.shorten(along_x) >= self.shorten(along_y):
            return found
        return [(y, x, not is_standing) for x, y, is_standing in found]


def pack_blocks(ground: tuple[int, int], box: tuple[int, int], bound: int, steps: int) -> list[Box]:
    """Lay boxes by blocks, allowing one more pinwheel inside another until the bound is met.

    A first, short search looks at few cuts, so that on a large ground the steps do not run out
    among the first of very many.

    Args:
        ground: Sides along x and y, units.
        box: Length and width of a box, the longer first.
        bound: Where to stop: no layout holds more.
        steps: How many cuts may be tried in all.

    Returns:
        The boxes of the best layout found.
    """
    sums = combinations(max(ground), *box)
    coarse = BlockSearch(box[0], box[1], sums, steps // 3, is_coarse=True)
    rough = coarse.boxes(*ground, 0) if coarse.solve(*ground, 0) else []
    if len(rough) >= bound:
        return rough
    search = BlockSearch(box[0], box[1], sums, steps)
    count, depth = search.solve(*ground, 0), 0
    while count < bound and search.steps > 0 and depth < _DEEPEST:
        depth += 1
        count = search.solve(*ground, depth)
    return max(rough, search.boxes(*ground, depth), key=len)


def pack_rows(ground: tuple[int, int], box: tuple[int, int]) -> list[Box]:
    """Lay boxes in equal rows, all of them along or all across.

    Args:
        ground: Sides along x and y, units.
        box: Length and width of a box, the longer first.

    Returns:
        The better of the two layouts.
    """
    return _row_boxes(*ground, *box)


def _ordered_pairs(points: list[int], most: int) -> tuple[_Sides, _Sides]:
    """List all pairs of points in order whose sum is at most a number."""
    found = np.asarray(points, dtype=np.int64)
    first, second = np.triu_indices(len(points), 1)
    fits = found[first] + found[second] <= most
    return found[first][fits], found[second][fits]


def _pinwheel_parts(big: int, small: int, corners: tuple[int, int, int, int]) -> tuple[_Part, ...]:
    x1, x2, y1, y2 = corners
    return (
        (0, 0, x2, y1),
        (x2, 0, big - x2, y2),
        (x1, y2, big - x1, small - y2),
        (0, y1, x1, small - y1),
        (x1, y1, x2 - x1, y2 - y1),
    )


def _bar_wastes(x: _Sides, y: _Sides, bar: int) -> _Sides:
    """Work out what bars of one length leave empty, for many blocks at once."""
    r, s = x % bar, y % bar
    wastes: _Sides = np.where(r + s <= bar, r * s, (bar - r) * (bar - s))
    return wastes


def _rows(big: int, small: int, length: int, width: int) -> int:
    return max((big // length) * (small // width), (big // width) * (small // length))


def _row_boxes(big: int, small: int, length: int, width: int) -> list[Box]:
    is_standing = (big // width) * (small // length) > (big // length) * (small // width)
    step_x, step_y = (width, length) if is_standing else (length, width)
    return [
        (column * step_x, row * step_y, is_standing)
        for row in range(small // step_y)
        for column in range(big // step_x)
    ]
