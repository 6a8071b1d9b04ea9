"""The sides of an outline: which of the four edges of a pitch each stretch of it belongs to."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from shapely import LineString, Point

from clubplanner.geometry.walks import Outline

if TYPE_CHECKING:
    from shapely import Polygon

    Spot = tuple[float, float]

CORNER_M = 1.0
"""Within this of a corner one stands in it."""
NAMED_M = 1.0
"""A side that comes so near to the furthest line of the pitch on its side has that edge's name."""


@dataclass(frozen=True, slots=True)
class Sides:
    """An outline, walked with the ground on the left hand, as a round of sides.

    Attributes:
        outline: The outline.
        edges: The edge of each side: "start", "far", "right", "left", or None for one without a
            name, such as that of a notch.
        lines: Each side from corner to corner; the next begins where one ends.
        bounds: Of the ground: x0, y0, x1, y1.
    """

    outline: Outline
    edges: tuple[str | None, ...]
    lines: tuple[LineString, ...]
    bounds: tuple[float, float, float, float]

    @classmethod
    def of(cls, ground: Polygon) -> Sides:
        """Part the outline of ground where it turns to face another way."""
        outline = Outline.of(ground)
        runs: list[tuple[str, list[Spot]]] = []
        for one, two in pairwise(outline.ring):
            facing = _facing(one, two)
            if runs and runs[-1][0] == facing:
                runs[-1][1].append(two)
            else:
                runs.append((facing, [one, two]))
        if len(runs) > 1 and runs[0][0] == runs[-1][0]:  # the ring begins within a side
            _unused, first = runs.pop(0)
            runs[-1][1].extend(first[1:])
        bounds = ground.bounds
        edges = tuple(
            facing if _is_outermost(facing, run, bounds) else None for facing, run in runs
        )
        return cls(outline, edges, tuple(LineString(run) for _unused, run in runs), bounds)

    def edge(self, side: int) -> str | None:
        """Return the edge that a side belongs to."""
        return self.edges[side]

    def side_of(self, one: Spot, two: Spot) -> int:
        """Return the number of the side that a stretch of the outline lies on."""
        middle = Point((one[0] + two[0]) / 2, (one[1] + two[1]) / 2)
        return min(range(len(self.lines)), key=lambda n: self.lines[n].distance(middle))

    def at(self, spot: Spot) -> tuple[str, ...]:
        """Return the edges at a spot of the outline: one, two in a corner, none without a name."""
        point = Point(spot)
        nearest = min(range(len(self.lines)), key=lambda n: self.lines[n].distance(point))
        near = [n for n, line in enumerate(self.lines) if line.distance(point) <= CORNER_M]
        found = [self.edges[n] for n in dict.fromkeys([nearest, *near])]
        return tuple(dict.fromkeys(edge for edge in found if edge is not None))[:2]

    def is_corner(self, spot: Spot) -> bool:
        """Tell whether a spot lies in a corner, where two sides meet."""
        return any(math.dist(spot, line.coords[0]) <= CORNER_M for line in self.lines)

    def corners(self) -> list[Spot]:
        """Return the corners of the outline nearest to those of the rectangle round it."""
        x0, y0, x1, y1 = self.bounds
        far = ((x0, y0), (x1, y0), (x0, y1), (x1, y1))
        spots = [min(self.outline.ring, key=lambda spot: math.dist(spot, to)) for to in far]
        return list(dict.fromkeys(spots))

    def to_corner(self, spot: Spot, *, is_right: bool) -> LineString:
        """Return the way along the outline from a spot to the next corner."""
        whole = self.outline.line.length
        at = self.outline.line.project(Point(spot))
        ways = []
        for line in self.lines:
            on = self.outline.line.project(Point(line.coords[0]))
            long = (on - at) % whole if is_right else (at - on) % whole
            if long > CORNER_M:
                ways.append((long, line.coords[0]))
        if not ways:
            return LineString([spot, spot])
        _unused, corner = min(ways)
        return LineString(self.outline.way(spot, (corner[0], corner[1]), is_right=is_right))

    def ray(self, spot: Spot, *, aside_m: float, is_right: bool) -> LineString:
        """Return a line straight onto the ground, begun a little aside of a spot."""
        whole = self.outline.line.length
        on = self.outline.line.project(Point(spot)) + (aside_m if is_right else -aside_m)
        one, two = self.outline.at((on - 0.01) % whole), self.outline.at((on + 0.01) % whole)
        x, y = self.outline.at(on % whole)
        along = math.dist(one, two) or 1.0
        inward = (-(two[1] - one[1]) / along, (two[0] - one[0]) / along)
        far = whole  # nothing of the ground is further
        return LineString([(x, y), (x + inward[0] * far, y + inward[1] * far)])


def _facing(one: Spot, two: Spot) -> str:
    """Return the edge that a stretch faces, walked with the ground on the left hand."""
    out_x, out_y = two[1] - one[1], one[0] - two[0]
    if abs(out_x) >= abs(out_y):
        return "far" if out_x > 0 else "start"
    return "left" if out_y > 0 else "right"


def _is_outermost(facing: str, run: list[Spot], bounds: tuple[float, float, float, float]) -> bool:
    x0, y0, x1, y1 = bounds
    off = {
        "start": min(x - x0 for x, _ in run),
        "far": min(x1 - x for x, _ in run),
        "right": min(y - y0 for _, y in run),
        "left": min(y1 - y for _, y in run),
    }
    return off[facing] <= NAMED_M
