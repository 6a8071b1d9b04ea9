"""Cones with their numbers and the distances one paces to them, drawn on a ground plan."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import shapely

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import CLEAR, LEAST
from clubplanner.outputs.drawings.plan_values import INK, PAPER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from clubplanner.outputs.drawings.lettering import Lettering, Spots
    from clubplanner.outputs.drawings.plans.ground_plan import Overlay
    from clubplanner.outputs.drawings.plans.plan_sheet import Sheet

CONE = 3.4
"""From the middle of a cone's sign to its corners, units."""
DIMENSION_STROKE, BAR = 0.9, 3.0
BESIDE = 7.0
"""From a line of the ground to the dimension that is told along it, units."""
_REACHES = (9.0, 10.5, 12.0, 14.0, 17.0, 20.0)
_WAYS = 24


@dataclass(frozen=True, slots=True)
class PlanCone:
    """A cone, or a goal that is carried to its place.

    Attributes:
        x_m: Along the pitch.
        y_m: Across the pitch.
        number: By which the set-out list tells where it goes.
        is_goal: Whether a goal stands there, which is drawn by itself.
        away: A spot from which its number rather lies away, such as the middle of its game.
    """

    x_m: float
    y_m: float
    number: str
    is_goal: bool = False
    away: tuple[float, float] | None = None


@dataclass(frozen=True, slots=True)
class PlanDimension:
    """A distance that is paced.

    Attributes:
        start: From where, metres.
        end: To where.
        words: How far.
        outwards: Where it is told along a line of the ground: the direction out over it, of
            length 1; (0, 0) elsewhere.
    """

    start: tuple[float, float]
    end: tuple[float, float]
    words: str
    outwards: tuple[float, float] = (0.0, 0.0)


def lay_cones(
    cones: Sequence[PlanCone], dimensions: Sequence[PlanDimension], within: Polygon
) -> Overlay:
    """Return what draws cones, their numbers and dimensions on a plan.

    Numbers find their places first; a dimension for whose words there is no room is left out, as
    the set-out list tells it.

    Args:
        cones: With the numbers of the set-out list.
        dimensions: The most telling first.
        within: Ground on which numbers rather lie, metres: round it stand names of ends and sides.
    """

    def draw(sheet: Sheet, lettering: Lettering) -> list[str]:
        ground = sheet.placed(within)
        shapes = [_triangle(cone, sheet) for cone in cones if not cone.is_goal]
        for shape in shapes:
            lettering.block(shape, 1.0)
        lines = shapely.union_all([_line_on(one, sheet) for one in dimensions])
        numbers, crowded = [], []
        for cone in cones:
            spot = _place_number(cone, _spots_round(cone, sheet, lines), ground, lettering)
            if spot is None:
                crowded.append(cone)
            else:
                numbers.append(svg.label(cone.number, *spot, size=LEAST, bold=True))
        for cone in crowded:  # once all others have their places
            middle = sheet.place(cone.x_m, cone.y_m)
            there = shapely.Point(middle).buffer(1.0)
            numbers += lettering.badge(cone.number, there, np.array([middle]))
        told = [part for one in dimensions for part in _dimension(one, sheet, lettering)]
        return [*told, *_signs(shapes), *numbers]

    return draw


def _triangle(cone: PlanCone, sheet: Sheet) -> Polygon:
    """Return a cone as it is seen from the side."""
    x, y = sheet.place(cone.x_m, cone.y_m)
    low = y + CONE * 0.8
    return shapely.Polygon([(x, y - CONE), (x + CONE, low), (x - CONE, low)])


def _signs(shapes: Sequence[Polygon]) -> list[str]:
    """Draw all cones as one shape."""
    if not shapes:
        return []
    data = svg.path_of(shapely.MultiPolygon(list(shapes)), svg.as_it_is)
    return [svg.element("path", d=data, fill=INK, stroke=PAPER, stroke_width=1)]


def _place_number(
    cone: PlanCone, spots: Spots, ground: BaseGeometry, lettering: Lettering
) -> tuple[float, float] | None:
    """Find the place of a number as near to its cone as is free; None without any."""
    size = _size_of(cone)
    return lettering.place(size, spots, ground) or lettering.place(size, spots)


def _size_of(cone: PlanCone) -> tuple[float, float]:
    return svg.text_width(cone.number, LEAST, bold=True), LEAST


def _spots_round(cone: PlanCone, sheet: Sheet, lines: BaseGeometry) -> Spots:
    """Return spots in rings round a cone, best first: off dimension lines, away from its game."""
    x, y = sheet.place(cone.x_m, cone.y_m)
    from_x, from_y = sheet.place(*cone.away) if cone.away else (x, y + 1)
    best = math.atan2(y - from_y, x - from_x)
    turns = np.linspace(0.0, math.pi, _WAYS // 2 + 1)
    angles = best + np.stack([turns, -turns], axis=1).reshape(-1)
    rings = [
        np.stack([x + reach * np.cos(angles), y + reach * np.sin(angles)], axis=1)
        for reach in _REACHES
    ]
    spots = np.vstack(rings)
    half = np.array(_size_of(cone)) / 2 + CLEAR
    boxes = shapely.box(*(spots - half).T, *(spots + half).T)
    is_on = shapely.intersects(boxes, lines)
    return np.vstack([spots[~is_on], spots[is_on]])


def _dimension(one: PlanDimension, sheet: Sheet, lettering: Lettering) -> list[str]:
    """Draw a line with bars at its ends and its words beside it; nothing without room for them."""
    line = _line_on(one, sheet)
    (x0, y0), (x1, y1) = line.coords
    long = line.length
    if long < 2 * BAR:
        return []
    ux, uy = (x1 - x0) / long, (y1 - y0) / long
    bars = shapely.MultiLineString(
        [[(x - BAR * uy, y + BAR * ux), (x + BAR * uy, y - BAR * ux)] for x, y in line.coords]
    )
    if lettering.is_near_words(line, bars):
        return []
    for part in (line, bars):
        lettering.block(part, DIMENSION_STROKE)
    wide, tall = svg.text_width(one.words, LEAST), LEAST
    reach = (wide * abs(uy) + tall * abs(ux)) / 2 + 2.5
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    beside = [
        (middle[0] - side * away * uy + along * ux, middle[1] + side * away * ux + along * uy)
        for away in (reach, reach + 3)
        for along in (0.0, long / 6, -long / 6, long / 3, -long / 3)
        for side in (1, -1)
    ]
    spot = lettering.place((wide, tall), np.array(beside))
    if spot is None:
        return []
    drawn = {"fill": "none", "stroke": INK, "stroke_width": DIMENSION_STROKE}
    data = svg.path_of(line, svg.as_it_is)
    return [
        svg.element("path", d=data, stroke_dasharray="4 3", **drawn),
        svg.element("path", d=svg.path_of(bars, svg.as_it_is), **drawn),
        svg.label(one.words, *spot, size=LEAST),
    ]


def _line_on(one: PlanDimension, sheet: Sheet) -> shapely.LineString:
    """Place a dimension on the sheet; one along a line of the ground lies beside it."""
    ends = [sheet.place(*spot) for spot in (one.start, one.end)]
    here, out = sheet.place(0.0, 0.0), sheet.place(*one.outwards)
    dx, dy = ((b - a) / sheet.scale * BESIDE for a, b in zip(here, out, strict=True))
    return shapely.LineString([(x + dx, y + dy) for x, y in ends])
