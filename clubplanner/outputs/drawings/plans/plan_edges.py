"""What people call the ends and sides of a pitch, written round its plan, and how far they are."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.ground.orientation.facing import ROUND, Edge
from clubplanner.domain.ground.orientation.measures import distance_in_short
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import BADGE, LEAST, spots_along
from clubplanner.outputs.drawings.plan_values import SOFT_INK

if TYPE_CHECKING:
    from shapely import Polygon

    from clubplanner.outputs.drawings.lettering import Lettering, Spots
    from clubplanner.outputs.drawings.plan_values import GroundPlan
    from clubplanner.outputs.drawings.plans.plan_sheet import Sheet

LEAST_ROOM = 44.0
"""Units that a name may always take along its edge."""
BESIDE_END, ABOVE, BELOW = 19.0, 16.0, 17.0
"""From the ground to the middle of a name, units."""
POINTER = 6.0
"""Height of the triangle that points on to what is out of view, and from the ground to its middle,
units."""
SAME_M = 0.01


def label_edges(plan: GroundPlan, sheet: Sheet, lettering: Lettering, view: Polygon) -> list[str]:
    """Write what people call the ends and sides, with the distance to those out of view."""
    left, top, right, bottom = sheet.placed(view).bounds
    places = (
        ((left, bottom + BELOW), (right, bottom + BELOW), 0.0),
        ((left - BESIDE_END, top), (left - BESIDE_END, bottom), -90.0),
        ((left, top - ABOVE), (right, top - ABOVE), 0.0),
        ((right + BESIDE_END, top), (right + BESIDE_END, bottom), 90.0),
    )
    out_of_view = distances_out_of_view(plan, view)
    parts = []
    for (edge, name), (start, end, turn), way in zip(
        sheet.named(plan.pitch.edges).items(),
        places,
        ((0, 1), (-1, 0), (0, -1), (1, 0)),
        strict=True,
    ):
        away = out_of_view.get(edge)
        far_off = [] if away is None else [distance_in_short(away)]
        words = " · ".join((name, *far_off)) if name else ""
        if away is not None:
            middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
            parts.append(_draw_pointer(middle, way, lettering))
        room = max(bottom - top if turn else right - left, LEAST_ROOM)
        parts.extend(_label_edge(words, spots_along(start, end), turn, room, lettering))
    return parts


def distances_out_of_view(plan: GroundPlan, view: Polygon) -> dict[Edge, float]:
    """Measure how far the ends and sides that cannot be seen lie from the ground zoomed to.

    Returns:
        Metres by edge, from the near edge of that ground; none for a plan of the whole pitch.
    """
    if plan.focus is None:
        return {}
    whole, seen = plan.pitch.polygon.bounds, view.bounds
    own = plan.focus.bounds
    away = {
        Edge.START: (seen[0] - whole[0], own[0] - whole[0]),
        Edge.RIGHT: (seen[1] - whole[1], own[1] - whole[1]),
        Edge.FAR: (whole[2] - seen[2], whole[2] - own[2]),
        Edge.LEFT: (whole[3] - seen[3], whole[3] - own[3]),
    }
    return {edge: away[edge][1] for edge in ROUND if away[edge][0] > SAME_M}


def _draw_pointer(middle: tuple[float, float], way: tuple[int, int], lettering: Lettering) -> str:
    """Draw a small triangle between the ground and a name: it lies further that way."""
    (x, y), (dx, dy) = middle, way
    away = BESIDE_END if dx else ABOVE if dy < 0 else BELOW
    x, y = x - dx * (away - POINTER), y - dy * (away - POINTER)
    half = POINTER / 2
    tip = (x + half * dx, y + half * dy)
    foot = (x - half * dx, y - half * dy)
    shape = shapely.Polygon(
        [
            tip,
            (foot[0] - half * dy, foot[1] + half * dx),
            (foot[0] + half * dy, foot[1] - half * dx),
        ]
    )
    lettering.block(shape)
    return svg.element("path", d=svg.path_of(shape, svg.as_it_is), fill=SOFT_INK)


def _label_edge(
    name: str, spots: Spots, turn: float, room: float, lettering: Lettering
) -> list[str]:
    """Write a name along its edge, else a sign there and the name in the key."""
    if not name:
        return []
    long = svg.text_width(name, LEAST)
    spot = (
        lettering.place((LEAST, long) if turn else (long, LEAST), spots) if long <= room else None
    )
    if spot is not None:
        return [svg.label(name, *spot, size=LEAST, fill=SOFT_INK, turn_deg=turn)]
    x, y = spots[0]
    beside = shapely.box(x - BADGE, y - BADGE, x + BADGE, y + BADGE)
    return lettering.badge(lettering.refer(name), beside, spots)
