"""How large own ground is: dimension lines, and the edges of ground that is no rectangle."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely
from shapely import Polygon

from clubplanner.domain.ground.orientation.measures import (
    edge_in_short,
    length_in_short,
    size_in_short,
)
from clubplanner.language import _
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import LEAST, spots_along
from clubplanner.outputs.drawings.plan_values import INK

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from clubplanner.outputs.drawings.lettering import Lettering, Spots
    from clubplanner.outputs.drawings.plan_values import PlanArea
    from clubplanner.outputs.drawings.plans.plan_sheet import Sheet

STRAIGHT = 0.5
"""Units by which an edge may bend and count as straight."""
RECTANGLE = 0.97
"""Ground that fills so much of its bounds is told by its length and width alone."""
EDGE_GAP = 5.0
"""Units between an edge and the letters of its length."""


def draw_size(area: PlanArea, sheet: Sheet, lettering: Lettering) -> list[str]:
    """Draw how long and how wide ground is: below the pitch, and inside its right edge.

    Ground that is no rectangle has the lengths of its edges beside them instead.
    """
    ground = sheet.placed(area.polygon)
    left, top, right, bottom = ground.bounds
    base = sheet.bottom + 31
    length_m, width_m = (right - left) / sheet.scale, (bottom - top) / sheet.scale
    length, width = length_in_short(length_m), length_in_short(width_m)
    below = spots_along(
        (0.0, base + 12), (sheet.width, base + 12), (left + right) / 2 / sheet.width
    )
    parts = [_arrow_with_words(lettering, (left, base, right, base), length, below, turn=0)]
    if _is_rectangle(ground):
        across = right - 8
        beside = spots_along((across - 9, top), (across - 9, bottom), 0.24)
        upright = (across, top + 3, across, bottom - 3)
        parts.append(_arrow_with_words(lettering, upright, width, beside, turn=-90))
        edges = []
    else:
        edges = _write_edges(ground, sheet, lettering)
    if not all(parts):
        lettering.refer(size_in_short(length_m, width_m), _("Size"))
    return [*(part for part in parts if part), *edges]


def _is_rectangle(ground: BaseGeometry) -> bool:
    return bool(ground.area > RECTANGLE * shapely.envelope(ground).area)


def _write_edges(ground: BaseGeometry, sheet: Sheet, lettering: Lettering) -> list[str]:
    """Write the length of each edge inside of it, but of one as long as the line below."""
    plain = shapely.simplify(ground, STRAIGHT)
    if not isinstance(plain, Polygon):
        return []
    left, _top, right, _bottom = plain.bounds
    ring = shapely.get_exterior_ring(shapely.orient_polygons(plain))
    parts = []
    for (ax, ay), (bx, by) in pairwise(ring.coords):
        long = math.dist((ax, ay), (bx, by))
        words = edge_in_short(long / sheet.scale)
        wide = svg.text_width(words, LEAST, bold=True)
        is_told = abs(bx - ax) > right - left - STRAIGHT
        if is_told or wide > long - 2 * EDGE_GAP:
            continue
        upright = abs(bx - ax) < STRAIGHT
        box = (LEAST, wide) if upright else (wide, LEAST)
        in_x, in_y = (ay - by) / long, (bx - ax) / long
        off = box[0] / 2 * abs(in_x) + box[1] / 2 * abs(in_y) + EDGE_GAP
        in_x, in_y = in_x * off, in_y * off
        spots = spots_along((ax + in_x, ay + in_y), (bx + in_x, by + in_y))
        spot = lettering.place(box, spots, ground)
        if spot is not None:
            turn = -90 if upright else 0
            parts.append(svg.label(words, *spot, size=LEAST, bold=True, turn_deg=turn))
    return parts


def _arrow_with_words(
    lettering: Lettering,
    ends: tuple[float, float, float, float],
    words: str,
    spots: Spots,
    *,
    turn: int,
) -> str:
    """Draw a dimension line with its words beside it; blank where they have no room."""
    lettering.block(shapely.LineString([ends[:2], ends[2:]]), 1.2)
    for x, y in (ends[:2], ends[2:]):
        lettering.block(shapely.box(x - 4, y - 4, x + 4, y + 4))
    wide, tall = svg.text_width(words, LEAST, bold=True), LEAST
    spot = lettering.place((tall, wide) if turn else (wide, tall), spots)
    if spot is None:
        return ""
    return arrow(*ends) + svg.label(words, *spot, size=LEAST, bold=True, turn_deg=turn)


def arrow(x0: float, y0: float, x1: float, y1: float) -> str:
    """Draw a dimension line with a bar at each end."""
    bar = 4.0
    flat = abs(y1 - y0) < abs(x1 - x0)
    ends = [
        f"M{x - (0 if flat else bar):.1f} {y - (bar if flat else 0):.1f}"
        f"L{x + (0 if flat else bar):.1f} {y + (bar if flat else 0):.1f}"
        for x, y in ((x0, y0), (x1, y1))
    ]
    data = f"M{x0:.1f} {y0:.1f}L{x1:.1f} {y1:.1f}" + "".join(ends)
    return svg.element("path", d=data, stroke=INK, stroke_width=1.2, fill="none")
