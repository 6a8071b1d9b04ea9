"""Clean polygons and the one rule of what overlaps."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely
from shapely import MultiPolygon, Polygon

from clubplanner.language import _

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

GRID_M = 0.001
"""Coordinates are held to a millimetre."""
NODING_GRID_M = 1e-6
SLIVER_WIDTH_M = 0.1
"""Ground narrower than this comes from tracing by hand, not from anybody's plan; ground of just
this width is ground."""
WIDTH_NOISE_M = 1e-5
"""By less than this the widths of one piece differ, computed in different ways: corners lie within
`NODING_GRID_M` of each other."""
TRACING_ERROR_M = 0.6
"""How far a corner traced on an aerial picture may lie from where it was meant to be (common
practice, no source)."""


def as_polygon(shape: BaseGeometry) -> Polygon:
    """Return a shape that is one polygon, empty or not, as what it is.

    Raises:
        TypeError: If it is anything else, such as two pieces.
    """
    if not isinstance(shape, Polygon):
        raise TypeError(f"Not one polygon: {shape.geom_type}")  # no person can type this
    return shape


def explain_fault(polygon: Polygon) -> str | None:
    """Say in words what is wrong with a polygon, or None for a good one."""
    if polygon.is_empty:
        return _("the outline is empty; give at least three corners")
    if not all(math.isfinite(value) for value in polygon.bounds):
        return _("a corner is not a number")
    if polygon.convex_hull.area <= 0:
        return _("the outline encloses no ground")
    if not polygon.is_valid:
        reason = str(shapely.is_valid_reason(polygon))
        if reason.startswith(("Self-intersection", "Ring Self-intersection")):
            return _("the outline crosses itself; give the corners in order round the edge")
        return _("the outline cannot be used (%(why)s)", why=reason.split("[")[0].strip().lower())
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
    return float(common_ground(a, b).area)


def common_ground(a: BaseGeometry, b: BaseGeometry) -> BaseGeometry:
    """Return what two shapes have in common, noded on a grid of a thousandth of a millimetre.

    Without a grid GEOS 3.14 can return all of one for turned shapes that touch along an edge.
    """
    return shapely.intersection(a, b, grid_size=NODING_GRID_M)


def snap(shape: BaseGeometry) -> BaseGeometry:
    """Return a shape with its corners on the grid of 1 mm.

    The grid itself is taken off again: a shape that carries it would have all that is made from
    it, such as a narrow buffer, rounded to the same grid.
    """
    return shapely.set_precision(shapely.set_precision(shape, GRID_M), 0.0)


def is_sliver(polygon: Polygon) -> bool:
    """Tell whether a piece is narrower than `SLIVER_WIDTH_M`.

    Twice the area over the perimeter is the width of a long strip, and half the width of a
    square: a compact scrap under 20 cm each way counts as a sliver too. Ground of exactly that
    width is none, also where rounding takes a hundredth of a millimetre off it.
    """
    if polygon.length == 0:
        return False
    return bool(2.0 * polygon.area / polygon.length < SLIVER_WIDTH_M - WIDTH_NOISE_M)


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


def largest_part(shape: BaseGeometry) -> Polygon | None:
    """Return the largest polygon a shape is made of, or None when there is nothing but slivers."""
    return max(polygon_parts(shape), key=lambda part: part.area, default=None)


def longest_axis_deg(polygon: Polygon) -> float:
    """Return the direction of the longer side of the smallest rectangle round a polygon.

    Args:
        polygon: Non-empty polygon in metres.

    Returns:
        Degrees counter-clockwise from the first axis, 0 ≤ angle < 180.
    """
    corners = list(as_polygon(shapely.minimum_rotated_rectangle(polygon)).exterior.coords)
    sides = [
        (math.dist(p, q), round(math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])), 9) % 180.0)
        for p, q in pairwise(corners[:3])
    ]
    return max(sides)[1]


def square_up(polygon: Polygon) -> Polygon:
    """Return the rectangle that a four-cornered outline was meant to be.

    Pitches are laid out square but traced by hand: an outline whose four corners all lie within
    `TRACING_ERROR_M` of a rectangle along the axes becomes the rectangle through their means, to
    the centimetre. Any other outline comes back as it is; holes are kept.

    Args:
        polygon: Valid polygon, metres, its lower left bound at (0, 0).
    """
    corners = list(polygon.exterior.coords)[:-1]
    x0, y0, x1, y1 = polygon.bounds
    ideal = [(x0, y0), (x0, y1), (x1, y0), (x1, y1)]
    nearest = [min(ideal, key=lambda i: math.dist(i, corner)) for corner in corners]
    is_square = len(corners) == 4 and sorted(nearest) == sorted(ideal)
    if not is_square or any(
        math.dist(i, corner) > TRACING_ERROR_M for i, corner in zip(nearest, corners, strict=True)
    ):
        return polygon
    xs, ys = sorted(x for x, _unused in corners), sorted(y for _unused, y in corners)
    length = round((xs[2] + xs[3] - xs[0] - xs[1]) / 2, 2)
    width = round((ys[2] + ys[3] - ys[0] - ys[1]) / 2, 2)
    squared = rectangle(0.0, 0.0, length, width)
    holes = [Polygon(ring) for ring in polygon.interiors]
    return as_polygon(shapely.difference(squared, shapely.unary_union(holes))) if holes else squared


def rectangle(x_m: float, y_m: float, length_m: float, width_m: float) -> Polygon:
    """Return the axis-parallel rectangle with its lower left corner at (x, y)."""
    return shapely.box(x_m, y_m, x_m + length_m, y_m + width_m)
