"""Which stretches along x are free over the whole height of a level band of ground."""

from __future__ import annotations

import math
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

    Args:
        parts: Polygons, metres.

    Returns:
        At most four, and two for outlines of many edges, which are curves: degrees
        counter-clockwise, 0 ≤ angle < 90 (quarter turns are one direction).
    """
    lengths: dict[float, float] = {}
    edges = edges_of(parts)
    for x0, y0, x1, y1 in edges:
        angle = round(math.degrees(math.atan2(y1 - y0, x1 - x0)) % 90.0, 4) % 90.0
        lengths[angle] = lengths.get(angle, 0.0) + math.hypot(x1 - x0, y1 - y0)
    ranked = sorted(lengths, key=lambda angle: (-lengths[angle], angle))
    return ranked[: 4 if len(edges) <= MANY_EDGES else 2]


def rectangle_frame(ground: Polygon) -> tuple[float, float, float, float, float] | None:
    """Recognise a polygon that is a rectangle.

    Args:
        ground: Valid polygon, metres.

    Returns:
        (x, y, angle in degrees, length, width): its corner, the direction of the first side and
        the sides; None when a corner is more than a millimetre off, or there are holes.
    """
    if ground.interiors or ground.is_empty:
        return None
    x0, y0, x1, y1 = ground.bounds
    if shapely.hausdorff_distance(ground.exterior, shapely.box(x0, y0, x1, y1).exterior) <= 1e-3:
        return x0, y0, 0.0, x1 - x0, y1 - y0
    around = shapely.minimum_rotated_rectangle(ground)
    if not isinstance(around, Polygon):
        return None
    if shapely.hausdorff_distance(ground.exterior, around.exterior) > 1e-3:
        return None
    (ax, ay), (bx, by), (cx, cy) = shapely.orient_polygons(around).exterior.coords[:3]
    angle = math.degrees(math.atan2(by - ay, bx - ax))
    return ax, ay, angle, math.hypot(bx - ax, by - ay), math.hypot(cx - bx, cy - by)
