"""A ground seen in level bands; ground without a dent is looked up along its two sides."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeAlias

from clubplanner.fitting.packing.spans import TOUCH_M, free_spans

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from shapely import Polygon

    from clubplanner.fitting.packing.spans import Edge, Span

_Side: TypeAlias = tuple[tuple[float, ...], tuple[float, ...]]
"""(y, x) of the corners on one side, from the lowest up."""
_DENT_M2 = 1e-4
"""Ground this much smaller than its hull still has no dent."""


@dataclass(frozen=True, slots=True)
class Bands:
    """A ground whose level bands are asked about again and again.

    Attributes:
        edges: Of the ground and its holes, in the frame that says what is level.
        low: Its lowest corner, metres.
        high: Its highest corner.
        sides: Its left and its right side; None where it has dents, holes or several parts.
    """

    edges: Sequence[Edge]
    low: float
    high: float
    sides: tuple[_Side, _Side] | None

    @classmethod
    def of(cls, edges: Sequence[Edge], *, is_convex: bool) -> Bands:
        """Look at a ground by its edges."""
        low, high = min(edge[1] for edge in edges), max(edge[3] for edge in edges)
        sides = _sides(edges) if is_convex else None
        return cls(edges, low, high, sides)

    def free(self, low: float, high: float) -> list[Span]:
        """Find the stretches along x that are ground from `low` to `high`, left to right."""
        if self.sides is None:
            return free_spans(self.edges, low, high)
        if low < self.low - TOUCH_M or high > self.high + TOUCH_M:
            return []
        # a hair inside, so that level edges count with their nearer end
        low, high = low + TOUCH_M, high - TOUCH_M
        left, right = self.sides
        start = max(_x_at(left, low), _x_at(left, high))
        end = min(_x_at(right, low), _x_at(right, high))
        return [(start, end)] if end > start + TOUCH_M else []


def is_convex(parts: Sequence[Polygon]) -> bool:
    """Tell whether a ground is one part without dents and holes."""
    if len(parts) != 1 or parts[0].interiors:
        return False
    return float(parts[0].convex_hull.area) - parts[0].area <= _DENT_M2


def _sides(edges: Iterable[Edge]) -> tuple[_Side, _Side]:
    """Part the corners by the line from the lowest to the highest; these are on both sides."""
    corners = sorted({spot for x0, y0, x1, y1 in edges for spot in ((y0, x0), (y1, x1))})
    (low, x_low), (high, x_high) = corners[0], corners[-1]
    slope = (x_high - x_low) / (high - low)
    left = [spot for spot in corners if spot[1] <= x_low + slope * (spot[0] - low)]
    right = [spot for spot in corners if spot[1] >= x_low + slope * (spot[0] - low)]
    return _side([corners[0], *left, corners[-1]]), _side([corners[0], *right, corners[-1]])


def _side(corners: Sequence[tuple[float, float]]) -> _Side:
    return tuple(y for y, _ in corners), tuple(x for _, x in corners)


def _x_at(side: _Side, y: float) -> float:
    """Return where a side is at a height; beyond its ends at the nearest."""
    ys, xs = side
    after = min(max(bisect_right(ys, y), 1), len(ys) - 1)
    y0, y1 = ys[after - 1], ys[after]
    part = min(max((y - y0) / (y1 - y0), 0.0), 1.0) if y1 > y0 else 1.0
    return xs[after - 1] + part * (xs[after] - xs[after - 1])
