"""Ground whose edges all lie along one direction or across it: L-shapes, halls with pillars.

On such ground pieces that lie along the edges can be pushed left and down until each touches an
edge or another piece, so all that was said of rectangles holds here too, with more places to
start from. Lengths are whole units in a frame of the ground's own; where pieces keep a gap each
carries it along two of its sides, and so does the ground.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

import shapely

from clubplanner.fitting.packing.spans import edges_of, sin_cos

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from shapely import Polygon

_Rect: TypeAlias = tuple[int, int, int, int]
"""(x, y, x, y) of two opposite corners."""
_Runs: TypeAlias = tuple[tuple[int, int, tuple[tuple[int, int], ...]], ...]
"""(from, to, stretches of ground across it) of each slab, in rising order."""
_MOST_LINES = 26
"""Ground with corners on more lines than this in one direction is not looked at."""
_SLANT_M = 1e-3


@dataclass(frozen=True, slots=True)
class SquareFrame:
    """Where whole units lie on the ground.

    Attributes:
        angle_deg: Direction of x.
        x_mm: Corner of the frame, turned back to that direction.
        y_mm: The same corner.
        unit_mm: Length of one unit.
        is_swapped: Whether x and y are exchanged, x being along the shorter side.
    """

    angle_deg: float
    x_mm: int
    y_mm: int
    unit_mm: int
    is_swapped: bool

    def place(
        self, corner: tuple[int, int], size_m: tuple[float, float], *, is_standing: bool
    ) -> tuple[float, float, float, float, float]:
        """Return a piece as (x, y, length, width, angle in degrees) on the ground."""
        u, v = corner[::-1] if self.is_swapped else corner
        turn = is_standing != self.is_swapped
        x = (self.x_mm + u * self.unit_mm) / 1000 + (size_m[1] if turn else 0.0)
        y = (self.y_mm + v * self.unit_mm) / 1000
        sin, cos = sin_cos(self.angle_deg)
        angle_deg = self.angle_deg + (90.0 if turn else 0.0)
        return x * cos - y * sin, x * sin + y * cos, size_m[0], size_m[1], angle_deg


@dataclass(slots=True)
class SquareGround:
    """The ground in whole units.

    Attributes:
        rects: The ground, in rectangles that do not overlap.
        swollen: The ground and the gap beyond it, likewise.
        size: Extent of the swollen ground along x and y; its corner is (0, 0).
        columns: The swollen ground in slabs along y.
        rows: The same in slabs along x.
        gap: Units each box carries on its right and upper side.
        fits: For each place asked about whether a box may lie there.
        wastes: For each dent asked about, (x, level, extent, rim), what must stay empty in it.
    """

    rects: tuple[_Rect, ...]
    swollen: tuple[_Rect, ...]
    size: tuple[int, int]
    columns: _Runs
    rows: _Runs
    gap: int
    fits: dict[_Rect, bool] = field(default_factory=dict)
    wastes: dict[tuple[int, int, int, int], int] = field(default_factory=dict)

    @property
    def area(self) -> int:
        """The swollen ground, square units."""
        return sum(area_of(rect) for rect in self.swollen)

    @property
    def starts(self) -> tuple[list[int], list[int]]:
        """Where ground begins along x and along y."""
        return (
            sorted({rect[0] for rect in self.rects}),
            sorted({rect[1] for rect in self.rects}),
        )

    def holds(self, corner: tuple[int, int], size: tuple[int, int]) -> bool:
        """Tell whether a box, its gap left off, lies on the ground.

        Args:
            corner: Lower left.
            size: Extents with the gap.
        """
        x, y = corner
        box = (x, y, x + size[0] - self.gap, y + size[1] - self.gap)
        if box not in self.fits:
            inside = sum(area_of(cut) for cut in cuts(self.rects, box))
            self.fits[box] = inside == area_of(box)
        return self.fits[box]

    def must_waste(self, skyline: Sequence[tuple[int, int]], losses: Sequence[int]) -> int:
        """Bound the ground that stays empty above a skyline.

        Along every line through the ground each unbroken stretch holds only sums of lengths and
        widths. Columns up to the top count for each stretch of the skyline, or rows up to the
        lower rim of a dent, whichever is more.

        Args:
            skyline: (extent along x, height) of each level stretch, from left to right.
            losses: By how much each number is longer than such a sum.
        """
        top = self.size[1]
        waste = x = 0
        before = top
        for number, (extent, level) in enumerate(skyline):
            after = skyline[number + 1][1] if number + 1 < len(skyline) else top
            waste += self._waste_of((x, level, extent, min(before, after)), losses)
            before = level
            x += extent
        return waste

    def _waste_of(self, dent: tuple[int, int, int, int], losses: Sequence[int]) -> int:
        if dent not in self.wastes:
            x, level, extent, rim = dent
            wastes = [_lost(self.columns, (x, x + extent), (level, self.size[1]), losses)]
            if rim > level:
                wastes.append(_lost(self.rows, (level, rim), (x, x + extent), losses))
            self.wastes[dent] = max(wastes)
        return self.wastes[dent]


def area_of(rect: _Rect) -> int:
    """Return the area of a rectangle."""
    return (rect[2] - rect[0]) * (rect[3] - rect[1])


def cuts(rects: Iterable[_Rect], box: _Rect) -> Iterable[_Rect]:
    """Cut rectangles to what lies within a box."""
    left, low, right, high = box
    for x0, y0, x1, y1 in rects:
        a, b = max(x0, left), max(y0, low)
        c, d = min(x1, right), min(y1, high)
        if a < c and b < d:
            yield a, b, c, d


def square_ground(
    parts: Sequence[Polygon], size_m: tuple[float, float], gap_m: float
) -> tuple[SquareGround, SquareFrame, tuple[int, int]] | None:
    """Write a ground and a piece in whole units.

    Args:
        parts: The ground, metres.
        size_m: Length and width of a piece.
        gap_m: Distance between any two.

    Returns:
        The ground, where it lies, and the sides of a piece with its gap, in units; None when some
        edge slants, or there are too many corners.
    """
    angle_deg = _own_angle(parts)
    if angle_deg is None:
        return None
    edges = edges_of(parts, -angle_deg)
    xs = sorted({round(1000 * x) for edge in edges for x in (edge[0], edge[2])})
    ys = sorted({round(1000 * y) for edge in edges for y in (edge[1], edge[3])})
    if max(len(xs), len(ys)) > _MOST_LINES:
        return None
    rects = _rects_of(parts, angle_deg, xs, ys)
    if not rects:
        return None
    box = (round(1000 * (size_m[0] + gap_m)), round(1000 * (size_m[1] + gap_m)))
    gap = round(1000 * gap_m)
    steps = [value - xs[0] for value in xs] + [value - ys[0] for value in ys]
    unit = math.gcd(*steps, *box, gap)
    is_swapped = xs[-1] - xs[0] > ys[-1] - ys[0]
    scaled = [
        tuple((value - base) // unit for value, base in zip(rect, (xs[0], ys[0]) * 2, strict=True))
        for rect in rects
    ]
    turned = [(b, a, d, c) if is_swapped else (a, b, c, d) for a, b, c, d in scaled]
    frame = SquareFrame(angle_deg, xs[0], ys[0], unit, is_swapped)
    return _ground_of(turned, gap // unit), frame, (box[0] // unit, box[1] // unit)


def _own_angle(parts: Sequence[Polygon]) -> float | None:
    """Return the one direction of all edges; None when there are more."""
    edges = edges_of(parts)
    x0, y0, x1, y1 = max(edges, key=lambda edge: math.dist(edge[:2], edge[2:]))
    angle_deg = math.degrees(math.atan2(y1 - y0, x1 - x0)) % 90.0
    if min(angle_deg, 90.0 - angle_deg) < 1e-6:
        angle_deg = 0.0
    for a, b, c, d in edges_of(parts, -angle_deg):
        if min(abs(c - a), abs(d - b)) > _SLANT_M:
            return None
    return angle_deg


def _rects_of(
    parts: Sequence[Polygon], angle_deg: float, xs: list[int], ys: list[int]
) -> list[_Rect]:
    """Cut the ground at all lines that carry a corner, and join what lies in a row."""
    shape = shapely.union_all(list(parts))
    shapely.prepare(shape)
    sin, cos = sin_cos(angle_deg)
    found: list[_Rect] = []
    for low, high in pairwise(ys):
        row: list[_Rect] = []
        for left, right in pairwise(xs):
            x, y = (left + right) / 2000, (low + high) / 2000
            if not shape.contains(shapely.Point(x * cos - y * sin, x * sin + y * cos)):
                continue
            if row and row[-1][2] == left:
                row[-1] = (row[-1][0], low, right, high)
            else:
                row.append((left, low, right, high))
        found += row
    return found


def _ground_of(rects: list[_Rect], gap: int) -> SquareGround:
    wide = [(a, b, c + gap, d + gap) for a, b, c, d in rects]
    rows = _runs(wide, 1)
    swollen = tuple((a, low, b, high) for low, high, runs in rows for a, b in runs)
    size = (max(rect[2] for rect in swollen), max(rect[3] for rect in swollen))
    return SquareGround(tuple(rects), swollen, size, _runs(wide, 0), rows, gap)


def _runs(rects: Sequence[_Rect], axis: int) -> _Runs:
    """Cut rectangles, which may overlap, into slabs along one axis."""
    lines = sorted({rect[side] for rect in rects for side in (axis, axis + 2)})
    slabs = []
    for start, end in pairwise(lines):
        across = sorted(
            (rect[1 - axis], rect[3 - axis])
            for rect in rects
            if rect[axis] <= start and rect[axis + 2] >= end
        )
        joined: list[tuple[int, int]] = []
        for low, high in across:
            if joined and low <= joined[-1][1]:
                joined[-1] = (joined[-1][0], max(joined[-1][1], high))
            else:
                joined.append((low, high))
        slabs.append((start, end, tuple(joined)))
    return tuple(slabs)


def _lost(
    runs: _Runs, along: tuple[int, int], across: tuple[int, int], losses: Sequence[int]
) -> int:
    """Add up what lines across a band of slabs cannot fill."""
    lost = 0
    for start, end, stretches in runs:
        extent = min(end, along[1]) - max(start, along[0])
        if extent <= 0:
            continue
        for low, high in stretches:
            room = min(high, across[1]) - max(low, across[0])
            if room > 0:
                lost += extent * losses[room]
    return lost
