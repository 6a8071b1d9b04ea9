"""Held ground and the rectangles laid on it: fills, hatches, borders."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import (
    CLOSED_FILL,
    INK,
    OWN_EDGE,
    OWN_FILL,
    PAPER,
    SOFT_INK,
    AreaRole,
    PlanArea,
    PlanPiece,
    look_of,
)

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from clubplanner.outputs.drawings.plans.plan_sheet import Sheet

OWN_STROKE, AREA_STROKE, PIECE_STROKE = 3.2, 1.1, 1.6
ZONE_STROKE, GOAL_STROKE = 0.8, 5.0
HATCH_GAP, CLOSED_GAP = 7.0, 4.0
HIRER_DASH = "7 4"


def draw_area(area: PlanArea, sheet: Sheet, view: Polygon) -> list[str]:
    """Draw held ground as far as it is in view; its edge where the view cuts it has no line."""
    seen = sheet.placed(shapely.intersection(area.polygon, view))
    if not seen.area:
        return []
    edge = sheet.placed(shapely.intersection(area.polygon.boundary, view))
    is_whole = bool(view.covers(area.polygon))
    if area.role is AreaRole.OWN:
        border = {"stroke": OWN_EDGE, "stroke_width": OWN_STROKE, "stroke_linejoin": "round"}
        if is_whole:
            return [_path(seen, fill=OWN_FILL, fill_rule="evenodd", **border)]
        return [_path(seen, fill=OWN_FILL, fill_rule="evenodd"), _path(edge, fill="none", **border)]
    look = look_of(area.tint)
    closed = area.role is AreaRole.CLOSED
    lines = [
        _path(
            svg.hatch(seen, CLOSED_GAP if closed else HATCH_GAP, -angle),
            stroke=SOFT_INK,
            stroke_width=0.7,
            fill="none",
            stroke_opacity=0.55,
            stroke_dasharray=HIRER_DASH if look.is_dashed and not closed else None,
        )
        for angle in ((45, 135) if closed else (look.hatch_deg,))
    ]
    fill = CLOSED_FILL if closed else look.fill
    border = {"stroke": INK, "stroke_width": AREA_STROKE, "stroke_linejoin": "round"}
    outline = _path(seen if is_whole else edge, fill="none", **border)
    return [_path(seen, fill=fill, fill_rule="evenodd"), *lines, outline]


def _path(shape: BaseGeometry, **attributes: object) -> str:
    """Draw a shape that lies on the sheet already."""
    return svg.element("path", d=svg.path_of(shape, svg.as_it_is), **attributes)


def draw_piece(piece: PlanPiece, sheet: Sheet) -> list[str]:
    """Draw a rectangle to play in with its goals and end zones."""
    parts = [
        svg.element(
            "path",
            d=svg.path_of(piece.polygon, sheet.place),
            fill=PAPER,
            fill_opacity=0.82,
            stroke=INK,
            stroke_width=PIECE_STROKE,
        )
    ]
    for zone in piece.end_zones:
        lines = svg.hatch(sheet.placed(zone), 5.0, -45)
        parts.append(
            svg.element(
                "path",
                d=svg.path_of(lines, svg.as_it_is),
                stroke=SOFT_INK,
                stroke_width=0.8,
                fill="none",
            )
        )
        parts.append(
            svg.element(
                "path",
                d=svg.path_of(zone, sheet.place),
                stroke=INK,
                stroke_width=ZONE_STROKE,
                stroke_dasharray="3 2",
                fill="none",
            )
        )
    parts.extend(
        svg.element(
            "path",
            d=svg.path_of(goal, sheet.place),
            stroke=INK,
            stroke_width=GOAL_STROKE,
            stroke_linecap="butt",
            fill="none",
        )
        for goal in piece.goals
    )
    return parts
