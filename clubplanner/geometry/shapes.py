"""Clean polygons and the one rule of what overlaps."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely
from shapely import MultiPolygon, Polygon

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

GRID_M = 0.001
"""Coordinates are held to a millimetre."""
SLIVER_WIDTH_M = 0.1
"""Ground narrower than this comes from tracing by hand, not from anybody's plan."""


def explain_fault(polygon: Polygon) -> str | None:
    """Say in words what is wrong with a polygon, or None for a good one."""
    if polygon.is_empty:
        return "the outline is empty; give at least three corners"
    if not all(math.isfinite(value) for value in polygon.bounds):
        return "a corner is not a number"
    if not polygon.is_valid:
        reason = str(shapely.is_valid_reason(polygon))
        if reason.startswith(("Self-intersection", "Ring Self-intersection")):
            return "the outline crosses itself; give the corners in order round the edge"
        return f"the outline cannot be used ({reason.split('[')[0].strip().lower()})"
    if polygon.area <= 0:
        return "the outline encloses no ground"
    return None


def interior_overlap_m2(a: BaseGeometry, b: BaseGeometry) -> float:
    """Measure how much ground two areas share.

    Areas that only touch along an edge or at a corner share nothing.

    Args:
        a: Valid polygon in the pitch's own frame, metres.
        b: Valid polygon in the same frame.

    Returns:
        Shared area in square metres, 0.0 or more.
    """
    return float(shapely.intersection(a, b).area)


def is_sliver(polygon: Polygon) -> bool:
    """Tell whether a piece is narrower than `SLIVER_WIDTH_M` all along."""
    return bool(polygon.length > 0 and 2.0 * polygon.area / polygon.length < SLIVER_WIDTH_M)


def polygon_parts(shape: BaseGeometry) -> tuple[Polygon, ...]:
    """Return the polygons a shape is made of, slivers, lines and points left out."""
    if isinstance(shape, Polygon):
        parts: tuple[BaseGeometry, ...] = (shape,)
    else:
        parts = tuple(getattr(shape, "geoms", ()))
    flat = [
        p for part in parts for p in (part.geoms if isinstance(part, MultiPolygon) else (part,))
    ]
    return tuple(p for p in flat if isinstance(p, Polygon) and not p.is_empty and not is_sliver(p))


def longest_axis_deg(polygon: Polygon) -> float:
    """Return the direction of the longer side of the smallest rectangle round a polygon.

    Args:
        polygon: Non-empty polygon in metres.

    Returns:
        Degrees counter-clockwise from the first axis, 0 ≤ angle < 180.
    """
    corners = list(shapely.minimum_rotated_rectangle(polygon).exterior.coords)
    sides = [
        (math.dist(p, q), math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])) % 180.0)
        for p, q in pairwise(corners[:3])
    ]
    return max(sides)[1]


def rectangle(x_m: float, y_m: float, length_m: float, width_m: float) -> Polygon:
    """Return the axis-parallel rectangle with its lower left corner at (x, y)."""
    return shapely.box(x_m, y_m, x_m + length_m, y_m + width_m)
