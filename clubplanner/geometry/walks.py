"""Walking round a polygon: from a spot on its outline to a piece of it, by the shortest way.

Whoever stands on the outline and looks onto the ground has the ground before them; going to the
right they keep it on their left hand, going to the left on their right hand.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely
import shapely.ops
from shapely import LineString, Point, Polygon
from shapely.geometry.polygon import orient

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely.geometry.base import BaseGeometry

TOUCH_M = 0.5
"""A piece no further off the outline than this lies at it."""
ACROSS_WORTH = 3.0
"""A metre straight across ground is worth so many along its edge, where one cannot go wrong."""
THROUGH_OTHERS_M = 1_000.0
"""What going across ground that somebody else holds is worth: any way round is better."""
SAME_SPOT_M = 0.05
"""Spots nearer to each other than this are one."""


@dataclass(frozen=True, slots=True)
class Walk:
    """From a spot on an outline along it, and then straight onto the ground.

    Attributes:
        is_right: Whether one goes to the right, looking onto the ground.
        line: The corners of the way along the outline, metres; the first and the last are where
            one begins and stops, which may be one spot.
        target: Where the piece is reached, metres.
    """

    is_right: bool
    line: tuple[tuple[float, float], ...]
    target: tuple[float, float]

    @property
    def along_m(self) -> float:
        """How far one goes along the outline."""
        return float(LineString([*self.line, self.line[-1]]).length)

    @property
    def across_m(self) -> float:
        """How far one goes from the outline straight onto the ground."""
        return math.dist(self.line[-1], self.target)


@dataclass(frozen=True, slots=True)
class Outline:
    """The outer edge of a polygon, walked with the ground on the left hand."""

    ring: tuple[tuple[float, float], ...]
    line: LineString

    @classmethod
    def of(cls, polygon: Polygon) -> Outline:
        """Return the outline of a valid polygon, in metres."""
        ring = tuple((x, y) for x, y, *_ in orient(polygon).exterior.coords)
        return cls(ring, LineString(ring))

    def spot(self, point: tuple[float, float]) -> tuple[float, float]:
        """Return the spot of the outline nearest to a point."""
        return self.at(self.line.project(Point(point)))

    def along(self, spot: tuple[float, float]) -> float:
        """Return how many metres along the outline a spot lies."""
        return float(self.line.project(Point(spot)))

    def at(self, metres: float) -> tuple[float, float]:
        """Return the spot so many metres along the outline."""
        spot = self.line.interpolate(metres)
        return spot.x, spot.y

    def way(
        self, start: tuple[float, float], end: tuple[float, float], *, is_right: bool
    ) -> tuple[tuple[float, float], ...]:
        """Return the corners of the way from one spot to another, both included."""
        if not is_right:
            return self.way(end, start, is_right=True)[::-1]
        whole = self.line.length
        begins, ends = self.along(start), self.along(end)
        long = (ends - begins) % whole
        if min(long, whole - long) <= SAME_SPOT_M:
            return (start, end)
        corners = sorted(
            ((self.along(corner) - begins) % whole, corner) for corner in self.ring[:-1]
        )
        between = [corner for on, corner in corners if SAME_SPOT_M < on < long - SAME_SPOT_M]
        return (start, *between, end)


def find_walk(
    ground: Polygon,
    piece: Polygon,
    start: tuple[float, float],
    *,
    held: BaseGeometry | None = None,
    barred: Sequence[BaseGeometry] = (),
) -> Walk:
    """Find the best way from a spot on the outline of ground to a piece of it.

    One goes along the outline, to the left or the right, until the piece begins, or lies abreast
    where it lies off the outline, and goes straight on to it from there. What is best: the shorter
    way, a metre across the ground counting as three, and never across what somebody else holds
    where there is a way round.

    Args:
        ground: Valid polygon in metres.
        piece: A part of it.
        start: A spot on the outline.
        held: What others hold.
        barred: What nobody can cross.

    Returns:
        The way; of two as good the one along the edge, then that to the right.
    """
    outline = Outline.of(ground)
    blocked = shapely.union_all([*barred, shapely.difference(Polygon(ground.exterior), ground)])
    begins, whole = outline.along(start), outline.line.length
    found = []
    for stop, target in _stops(outline, piece, start):
        across = _across_worth(stop, target, ground, held, blocked)
        long = (outline.along(stop) - begins) % whole
        for is_right, along in ((True, long), (False, (whole - long) % whole)):
            cost = round((0.0 if whole - along <= SAME_SPOT_M else along) + across, 2)
            far = round(math.dist(stop, target), 2)
            found.append(((cost, far, not is_right), stop, target))
    (_unused, _also, is_left), stop, target = min(found, key=lambda one: one[0])
    return Walk(not is_left, outline.way(start, stop, is_right=not is_left), target)


def _stops(
    outline: Outline, piece: Polygon, start: tuple[float, float]
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Return spots of the outline from which the piece can be reached, and where it is reached."""
    spots = [outline.spot((x, y)) for x, y, *_ in piece.exterior.coords[:-1]]
    spots += _abreast(outline, piece)
    near = [spot for spot in (start, *outline.ring[:-1]) if piece.distance(Point(spot)) <= TOUCH_M]
    found = [(spot, _nearest(piece, spot)) for spot in (*near, *spots)]
    nearest, _unused = shapely.ops.nearest_points(outline.line, piece)
    stop = (nearest.x, nearest.y)
    found.append((stop, _nearest(piece, stop)))
    return list({(round(x, 3), round(y, 3)): ((x, y), to) for (x, y), to in found}.values())


def _abreast(outline: Outline, piece: Polygon) -> list[tuple[float, float]]:
    """Return the spots from which a corner of the piece lies square to a stretch of outline."""
    spots = []
    for one, two in pairwise(outline.ring):
        stretch = LineString([one, two])
        for corner in piece.exterior.coords[:-1]:
            on = stretch.project(Point(corner))
            if 0.0 < on < stretch.length:
                spot = stretch.interpolate(on)
                spots.append((spot.x, spot.y))
    return spots


def _nearest(piece: Polygon, spot: tuple[float, float]) -> tuple[float, float]:
    point = Point(spot)
    if piece.covers(point):
        return spot
    _unused, target = shapely.ops.nearest_points(point, piece)
    return target.x, target.y


def _across_worth(
    stop: tuple[float, float],
    target: tuple[float, float],
    ground: Polygon,
    held: BaseGeometry | None,
    blocked: BaseGeometry,
) -> float:
    """Return what the straight way onto the ground is worth in metres along its edge."""
    across = math.dist(stop, target)
    if across <= TOUCH_M:
        return across
    line = LineString([stop, target])
    worth = ACROSS_WORTH * across
    outside = shapely.difference(line, shapely.buffer(ground, SAME_SPOT_M)).length
    if outside > 0 or shapely.intersection(line, blocked).length > SAME_SPOT_M:
        worth += 2 * THROUGH_OTHERS_M
    if held is not None and shapely.intersection(line, held).length > TOUCH_M:
        worth += THROUGH_OTHERS_M
    return worth
