"""The ground plan: a pitch drawn to scale with who is where. One drawing for page, picture, paper.

Told apart by label, hatch and border as well as by colour: the squad's own ground is the only one
with a heavy border and no hatch, so it is unmistakable in grey too.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import Lettering
from clubplanner.outputs.drawings.plan_fixtures import draw_fixtures, draw_foot, label_edges
from clubplanner.outputs.drawings.plan_labels import label_areas, label_pieces
from clubplanner.outputs.drawings.plan_values import (
    CLOSED_FILL,
    GROUND_FILLS,
    HATCH_ANGLES,
    INK,
    OTHER_GROUND_FILL,
    OWN_EDGE,
    OWN_FILL,
    PAPER,
    SIDE,
    SOFT_INK,
    TINTS,
    TOP,
    AreaRole,
    GroundPlan,
    PlanArea,
    PlanPiece,
    Sheet,
    foot_of,
)

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

OWN_STROKE, AREA_STROKE, PIECE_STROKE = 3.2, 1.1, 1.6
SAME_LINE_M = 0.05
"""Lines nearer to each other than this are drawn as one."""
CUT_STROKE, ZONE_STROKE, GOAL_STROKE = 0.7, 0.8, 5.0


def draw_ground_plan(plan: GroundPlan, *, width: float = 360.0, tallest: float = 420.0) -> str:
    """Draw a plan as SVG.

    Args:
        plan: What to draw.
        width: Width of the drawing in its own units; text is 12.5 to 14.5 units high.
        tallest: Height the ground itself may take.

    Returns:
        A whole SVG element; the same plan gives the same text.
    """
    x0, y0, x1, y1 = (plan.focus if plan.focus is not None else plan.pitch.polygon).bounds
    scale = min((width - 2 * SIDE) / (x1 - x0), tallest / (y1 - y0))
    ground_width, ground_height = (x1 - x0) * scale, (y1 - y0) * scale
    sheet = Sheet((width - ground_width) / 2, TOP + ground_height, scale, x0, y0, width)
    height = TOP + ground_height + foot_of(plan)
    lettering = Lettering(width, height)
    body = [
        *_draw_ground(plan, sheet),
        *(part for area in plan.areas for part in _draw_area(area, sheet)),
        *(part for piece in plan.pieces for part in _draw_piece(piece, sheet)),
        *draw_fixtures(plan, sheet, lettering),
    ]
    _block_lines(plan, sheet, lettering)
    foot = draw_foot(plan, sheet, lettering, ground_width)
    edges = label_edges(plan, sheet, lettering, (ground_width, ground_height))
    body += [*label_pieces(plan, sheet, lettering), *label_areas(plan, sheet, lettering)]
    key, tall = lettering.draw_key(SIDE, height)
    parts = [*body, *edges, *foot, *key]
    return svg.document(width, height + tall, plan.title, plan.summary, parts)


def _block_lines(plan: GroundPlan, sheet: Sheet, lettering: Lettering) -> None:
    """Take up what outlines, end zones and goals of the plan cover."""
    for line in shown_cut_lines(plan):
        lettering.block(sheet.placed(line), CUT_STROKE)
    for area in plan.areas:
        stroke = OWN_STROKE if area.role is AreaRole.OWN else AREA_STROKE
        lettering.block_outline(sheet.placed(area.polygon), stroke)
    for piece in plan.pieces:
        lettering.block_outline(sheet.placed(piece.polygon), PIECE_STROKE)
        for zone in piece.end_zones:
            lettering.block(sheet.placed(zone), ZONE_STROKE)
        for goal in piece.goals:
            lettering.block(sheet.placed(goal), GOAL_STROKE)


def shown_cut_lines(plan: GroundPlan) -> list[BaseGeometry]:
    """Return the fine lines as one shape, each once; held ground and other outlines hide them."""
    lines = shapely.union_all([polygon.boundary for polygon in plan.cut_lines])
    whole = plan.pitch.polygon if plan.focus is None else plan.focus
    edge = shapely.buffer(whole.boundary, SAME_LINE_M)
    held = shapely.union_all([edge, *(area.polygon for area in plan.areas)])
    bare = shapely.line_merge(shapely.difference(shapely.intersection(lines, whole), held))
    return [] if bare.is_empty else [bare]


def _draw_ground(plan: GroundPlan, sheet: Sheet) -> list[str]:
    pitch = plan.pitch
    fill = GROUND_FILLS.get(pitch.surface, OTHER_GROUND_FILL)
    whole = pitch.polygon if plan.focus is None else plan.focus
    parts = [svg.element("path", d=svg.path_of(whole, sheet.place), fill=fill, fill_rule="evenodd")]
    parts.extend(
        svg.element(
            "path",
            d=svg.path_of(line, sheet.place),
            fill="none",
            stroke=SOFT_INK,
            stroke_width=CUT_STROKE,
            stroke_dasharray="2 4",
        )
        for line in shown_cut_lines(plan)
    )
    return parts


def _draw_area(area: PlanArea, sheet: Sheet) -> list[str]:
    data = svg.path_of(area.polygon, sheet.place)
    if area.role is AreaRole.OWN:
        return [
            svg.element(
                "path",
                d=data,
                fill=OWN_FILL,
                stroke=OWN_EDGE,
                stroke_width=OWN_STROKE,
                stroke_linejoin="round",
                fill_rule="evenodd",
            )
        ]
    number = area.tint % len(TINTS)
    closed = area.role is AreaRole.CLOSED
    angles = (45, 135) if closed else (HATCH_ANGLES[number],)
    lines = [
        svg.element(
            "path",
            d=svg.path_of(
                svg.hatch(area.polygon, (4.0 if closed else 7.0) / sheet.scale, angle), sheet.place
            ),
            stroke=SOFT_INK,
            stroke_width=0.7,
            fill="none",
            stroke_opacity=0.55,
        )
        for angle in angles
    ]
    fill = CLOSED_FILL if closed else TINTS[number]
    edge = svg.element(
        "path", d=data, fill="none", stroke=INK, stroke_width=AREA_STROKE, stroke_linejoin="round"
    )
    return [svg.element("path", d=data, fill=fill, fill_rule="evenodd"), *lines, edge]


def _draw_piece(piece: PlanPiece, sheet: Sheet) -> list[str]:
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
        lines = svg.hatch(zone, 5.0 / sheet.scale, 45)
        parts.append(
            svg.element(
                "path",
                d=svg.path_of(lines, sheet.place),
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
