"""Outlines traced on a picture: from its points, counted right and down, to metres of a pitch.

A picture has a scale when the distance between two of its points is known. It is taken to be the
same everywhere, as on a plan or a picture taken from straight above; one taken at a slant gives
sizes that are wrong by as much as it leans. What a browser shows while somebody traces is computed
there once more (`web/static/js/tracing_maths.js`); what counts is computed here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely import Polygon

from clubplanner.geometry.shapes import largest_part, longest_axis_deg, snap, square_up

if TYPE_CHECKING:
    from collections.abc import Sequence

Spot = tuple[float, float]
"""A point of a picture: to the right and down from its upper left corner."""


@dataclass(frozen=True, slots=True)
class Measured:
    """What an outline measures as it was traced.

    Attributes:
        area_m2: Ground inside.
        sides_m: Length of each side, the first from the first corner to the second.
        angles_deg: Angle inside at each corner, 0 to 360.
    """

    area_m2: float
    sides_m: tuple[float, ...]
    angles_deg: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class TracedOutline:
    """An outline in the pitch's own frame.

    Attributes:
        polygon: Metres, x along the length; no coordinate is negative.
        bearing_deg: Which way the length runs, 0 to 180, where up in the picture is north.
    """

    polygon: Polygon
    bearing_deg: float


def metres_per_point(one: Spot, other: Spot, distance_m: float) -> float:
    """Return the scale of a picture by two points whose distance on the ground is known.

    Raises:
        ValueError: If both points are the same.
    """
    apart = math.dist(one, other)
    if apart <= 0:
        raise ValueError("both points are the same")  # the reader says it in words
    return distance_m / apart


def measure(corners: Sequence[Spot], scale_m: float) -> Measured:
    """Measure an outline that does not cross itself.

    Args:
        corners: At least three, in order round the edge, the first not repeated.
        scale_m: Metres a point of the picture.
    """
    count = len(corners)
    sides = tuple(math.dist(corners[n], corners[(n + 1) % count]) * scale_m for n in range(count))
    doubled = sum(
        x0 * y1 - x1 * y0
        for (x0, y0), (x1, y1) in zip(corners, [*corners[1:], corners[0]], strict=True)
    )
    turn = 1.0 if doubled >= 0 else -1.0
    angles = tuple(
        _angle(corners[n - 1], corners[n], corners[(n + 1) % count], turn) for n in range(count)
    )
    return Measured(abs(doubled) / 2 * scale_m**2, sides, angles)


def trace(corners: Sequence[Spot], scale_m: float) -> TracedOutline:
    """Turn an outline into the pitch's own frame; one that is nearly a rectangle becomes one.

    Args:
        corners: At least three, round the edge; they enclose ground and do not cross.
        scale_m: Metres a point of the picture.
    """
    level = Polygon([(x * scale_m, -y * scale_m) for x, y in corners])
    bearing = (90.0 - longest_axis_deg(level)) % 180.0
    turned = shapely.affinity.rotate(level, bearing - 90.0, origin=(0, 0))
    x0, y0, _, _ = turned.bounds
    moved = shapely.affinity.translate(turned, -x0, -y0)
    return TracedOutline(square_up(largest_part(snap(moved)) or moved), bearing)


def _angle(before: Spot, here: Spot, after: Spot, turn: float) -> float:
    """Return the angle inside at a corner, of an outline that turns one way or the other."""
    back = math.atan2(before[1] - here[1], before[0] - here[0])
    on = math.atan2(after[1] - here[1], after[0] - here[0])
    return math.degrees((back - on) * turn) % 360.0
