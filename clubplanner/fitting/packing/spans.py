"""Which stretches along x are free over the whole height of a level band of ground."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, TypeAlias

import shapely
from shapely import Polygon

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from shapely.geometry.base import BaseGeometry

Edge: TypeAlias = tuple[float, float, float, float]
"""(x, y, x, y) of the two ends, the lower end first."""
Span: TypeAlias = tuple[float, float]
"""From where to where along x, metres."""
MANY_EDGES = 20
"""An outline of more edges is taken for a curve."""
TOUCH_M = 1e-6
"""Shapes closer than a thousandth of a millimetre touch; they do not cross."""
ROUNDED_M = 2e-3
"""Corners rounded to millimetres put the ends of an edge up to 1.4 mm out of line."""
_WIDEST_DEG = 1.0
"""Directions further apart than this are two, however short their edges."""
FINEST_M = 1e-7
"""Corners are held to this. Lengths far below it, such as 1e-38 m, would spoil what is computed."""


def polygons_in(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """Return the polygons of a shape that hold ground."""
    parts = shape.geoms if hasattr(shape, "geoms") else (shape,)
    return tuple(part for part in parts if isinstance(part, Polygon) and part.area > 0)


def inner_ground(ground: BaseGeometry, margin_m: float) -> tuple[Polygon, ...]:
    """Return what is left of a ground at a distance from its edge and its holes.

    Args:
        ground: Valid polygon, metres.
        margin_m: Distance from the edge, 0 or more; kept square round corners that point into
            the ground, such as those of a hole.

    Returns:
        The parts left; empty when nothing is.
    """
    ground = shapely.set_precision(shapely.set_precision(ground, FINEST_M), 0.0)
    if margin_m <= 0:
        return polygons_in(ground)
    return polygons_in(shapely.buffer(ground, -margin_m, join_style="mitre", mitre_limit=10.0))


def edges_of(parts: Iterable[Polygon], turn_deg: float = 0.0) -> list[Edge]:
    """List the edges of polygons and their holes, turned about (0, 0).

    Args:
        parts: Polygons whose interiors do not meet.
        turn_deg: Turn before listing, degrees counter-clockwise.

    Returns:
        The edges, each with its lower end first.
    """
    sin, cos = sin_cos(turn_deg)
    edges: list[Edge] = []
    for part in parts:
        for ring in (part.exterior, *part.interiors):
            points = [(x * cos - y * sin, x * sin + y * cos) for x, y in ring.coords]
            for (x0, y0), (x1, y1) in pairwise(points):
                edges.append((x0, y0, x1, y1) if y0 <= y1 else (x1, y1, x0, y0))
    return edges


def sin_cos(angle_deg: float) -> tuple[float, float]:
    """Return sine and cosine, exact at quarter turns."""
    quarter = angle_deg / 90.0
    if quarter == int(quarter):
        return ((0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0))[int(quarter) % 4]
    return math.sin(math.radians(angle_deg)), math.cos(math.radians(angle_deg))


def transposed(edges: Sequence[Edge]) -> list[Edge]:
    """Swap x and y."""
    return [(y0, x0, y1, x1) if x0 <= x1 else (y1, x1, y0, x0) for x0, y0, x1, y1 in edges]


def free_spans(edges: Sequence[Edge], low: float, high: float) -> list[Span]:
    """Find the stretches along x that are ground over a whole band of y.

    Args:
        edges: Of the ground and its holes.
        low: Lower side of the band, metres.
        high: Upper side, above `low`.

    Returns:
        The widest stretches, from left to right.
    """
    blocked: list[Span] = []
    middle = (low + high) / 2
    crossings: list[float] = []
    for x0, y0, x1, y1 in edges:
        if y1 <= low + TOUCH_M or y0 >= high - TOUCH_M:
            continue
        slope = (x1 - x0) / (y1 - y0) if y1 > y0 else 0.0
        first = x0 + slope * (low - y0) if y0 < low else x0
        last = x1 + slope * (high - y1) if y1 > high else x1
        blocked.append((first, last) if first <= last else (last, first))
        if y0 <= middle < y1:
            crossings.append(x0 + slope * (middle - y0))
    blocked.sort()
    spans: list[Span] = []
    reached = -math.inf
    for start, end in blocked:
        if start > reached + TOUCH_M and reached > -math.inf:
            centre = (reached + start) / 2
            if sum(x < centre for x in crossings) % 2 == 1:
                spans.append((reached, start))
        reached = max(reached, end)
    return spans


def own_angles(parts: Sequence[Polygon]) -> list[float]:
    """List the directions of the edges, those with the most edge first.

    Directions that corners rounded to millimetres cannot tell apart are one: that of its longest
    edge, which is known best.

    Args:
        parts: Polygons, metres.

    Returns:
        At most four, and two for outlines of many edges, which are curves: degrees
        counter-clockwise, 0 ≤ angle < 90 (quarter turns are one direction).
    """
    edges = edges_of(parts)
    found: list[_Direction] = []
    for x0, y0, x1, y1 in sorted(edges, key=lambda edge: -_length(edge)):
        angle = round(math.degrees(math.atan2(y1 - y0, x1 - x0)) % 90.0, 6) % 90.0
        length = math.hypot(x1 - x0, y1 - y0)
        if not length:
            continue
        for known in found:
            if known.is_as_good_as(angle, length):
                known.total_m += length
                break
        else:
            found.append(_Direction(angle, length, length))
    found.sort(key=lambda direction: (-round(direction.total_m, 2), direction.angle_deg))
    most = 4 if len(edges) <= MANY_EDGES else 2
    return [direction.angle_deg for direction in found[:most]]


@dataclass(slots=True)
class _Direction:
    """A direction with its longest edge and the length of all its edges, metres."""

    angle_deg: float
    longest_m: float
    total_m: float

    def is_as_good_as(self, angle_deg: float, length_m: float) -> bool:
        """Tell whether an edge has this direction, as far as its corners are known."""
        apart = abs((angle_deg - self.angle_deg + 45.0) % 90.0 - 45.0)
        doubt = math.degrees(ROUNDED_M / length_m + ROUNDED_M / self.longest_m)
        return apart <= min(doubt, _WIDEST_DEG)


def _length(edge: Edge) -> float:
    return round(math.hypot(edge[2] - edge[0], edge[3] - edge[1]), 6)


def rectangle_frame(ground: Polygon) -> tuple[float, float, float, float, float] | None:
    """Recognise a polygon that is a rectangle.

    Args:
        ground: Valid polygon, metres.

    Returns:
        (x, y, angle in degrees, length, width): its corner, the direction of the first side and
        the sides, the angle the nearest to 0; None when a corner is more than a millimetre off
        (two where it is turned, whose corners may be rounded to millimetres), or there are holes.
    """
    if ground.interiors or ground.is_empty:
        return None
    x0, y0, x1, y1 = ground.bounds
    if shapely.hausdorff_distance(ground.exterior, shapely.box(x0, y0, x1, y1).exterior) <= 1e-3:
        return x0, y0, 0.0, x1 - x0, y1 - y0
    around = shapely.minimum_rotated_rectangle(ground)
    if not isinstance(around, Polygon):
        return None
    if shapely.hausdorff_distance(ground.exterior, around.exterior) > 2 * ROUNDED_M:
        return None
    frame = _frame_through(ground, around)
    fitted = shapely.affinity.translate(
        shapely.affinity.rotate(shapely.box(0, 0, *frame[3:]), frame[2], origin=(0, 0)), *frame[:2]
    )
    off_m = shapely.hausdorff_distance(ground.exterior, fitted.exterior)
    return frame if off_m <= ROUNDED_M else None


def _frame_through(ground: Polygon, around: Polygon) -> tuple[float, float, float, float, float]:
    """Lay a turned rectangle through four corners as well as it goes.

    A side that is a whole number of centimetres, as far as corners rounded to millimetres tell,
    is taken for that: whatever fits a rectangle as it was measured fits it turned, too.
    """
    spots = list(ground.exterior.coords)
    corners = [
        min(spots, key=lambda spot: math.dist(spot, corner))
        for corner in shapely.orient_polygons(around).exterior.coords[:4]
    ]
    angle = _angle_deg(corners)
    quarters = round(angle / 90.0)
    corners = [corners[(n - quarters) % 4] for n in range(4)]
    angle -= 90.0 * quarters
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = corners
    sin, cos = sin_cos(angle)
    length = _measured(((bx - ax + cx - dx) * cos + (by - ay + cy - dy) * sin) / 2)
    width = _measured(((dy - ay + cy - by) * cos - (dx - ax + cx - bx) * sin) / 2)
    x = (ax + bx + cx + dx) / 4 - (length * cos - width * sin) / 2
    y = (ay + by + cy + dy) / 4 - (length * sin + width * cos) / 2
    return x, y, angle, length, width


def _angle_deg(corners: Sequence[tuple[float, ...]]) -> float:
    """Return the direction of a rectangle's first side, from both pairs of its sides."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = (corner[:2] for corner in corners)
    along = (bx - ax + cx - dx, by - ay + cy - dy)
    across = (dx - ax + cx - bx, dy - ay + cy - by)
    return math.degrees(math.atan2(along[1] - across[0], along[0] + across[1]))


def _measured(side_m: float) -> float:
    """Take a side that is next to whole centimetres for these."""
    whole = round(side_m, 2)
    return whole if abs(side_m - whole) <= ROUNDED_M else side_m
