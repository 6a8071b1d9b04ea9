"""The ground plan: a pitch drawn to scale with who is where. One drawing for page, picture, paper.

Told apart by label, hatch and border as well as by colour: the squad's own ground is the only one
with a heavy border and no hatch, so it is unmistakable in grey too.
"""

from __future__ import annotations

import shapely

from clubplanner.domain.measures import size_in_short
from clubplanner.outputs import svg
from clubplanner.outputs.plan_fixtures import draw_fixtures, draw_foot, label_edges
from clubplanner.outputs.plan_labels import label_area, plated, within
from clubplanner.outputs.plan_values import (
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
    PlanMark,
    PlanPiece,
    Sheet,
    foot_of,
)

MARK_SIZE = 10.5
MARK_INSET = 12.5
"""Units from an edge to the middle of a sign."""


def draw_ground_plan(plan: GroundPlan, *, width: float = 360.0, tallest: float = 420.0) -> str:
    """Draw a plan as SVG.

    Args:
        plan: What to draw.
        width: Width of the drawing in its own units; text is 10 to 14 units high.
        tallest: Height the ground itself may take.

    Returns:
        A whole SVG element; the same plan gives the same text.
    """
    x0, y0, x1, y1 = (plan.focus if plan.focus is not None else plan.pitch.polygon).bounds
    scale = min((width - 2 * SIDE) / (x1 - x0), tallest / (y1 - y0))
    ground_width, ground_height = (x1 - x0) * scale, (y1 - y0) * scale
    sheet = Sheet((width - ground_width) / 2, TOP + ground_height, scale, x0, y0, width)
    body = [
        *_draw_ground(plan, sheet),
        *(part for area in plan.areas for part in _draw_area(area, sheet)),
        *(part for piece in plan.pieces for part in _draw_piece(piece, sheet)),
        *draw_fixtures(plan, sheet),
        *(part for area in plan.areas for part in label_area(area, sheet, plan)),
        *label_edges(plan, sheet, ground_width, ground_height),
        *draw_foot(plan, sheet, width, ground_width),
    ]
    height = TOP + ground_height + foot_of(plan)
    return svg.document(width, height, plan.title, plan.summary, body)


def _draw_ground(plan: GroundPlan, sheet: Sheet) -> list[str]:
    pitch = plan.pitch
    fill = GROUND_FILLS.get(pitch.surface, OTHER_GROUND_FILL)
    whole = pitch.polygon if plan.focus is None else plan.focus
    parts = [svg.element("path", d=svg.path_of(whole, sheet.place), fill=fill, fill_rule="evenodd")]
    for line in plan.cut_lines:
        shown = line if plan.focus is None else shapely.intersection(line, plan.focus)
        parts.append(
            svg.element(
                "path",
                d=svg.path_of(shown, sheet.place),
                fill="none",
                stroke=SOFT_INK,
                stroke_width=0.7,
                stroke_dasharray="2 4",
            )
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
                stroke_width=3.2,
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
        "path", d=data, fill="none", stroke=INK, stroke_width=1.1, stroke_linejoin="round"
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
            stroke_width=1.6,
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
                stroke_width=0.8,
                stroke_dasharray="3 2",
                fill="none",
            )
        )
    parts.extend(
        svg.element(
            "path",
            d=svg.path_of(goal, sheet.place),
            stroke=INK,
            stroke_width=5,
            stroke_linecap="butt",
            fill="none",
        )
        for goal in piece.goals
    )
    return [*parts, *_label_piece(piece, sheet)]


def _label_piece(piece: PlanPiece, sheet: Sheet) -> list[str]:
    """Write what a rectangle is in its middle, and those signs that leave this readable."""
    x0, y0, x1, y1 = piece.polygon.bounds
    x, y = sheet.place((x0 + x1) / 2, (y0 + y1) / 2)
    room = (x1 - x0) * sheet.scale - 8
    heading = [piece.heading]
    if svg.text_width(piece.heading, 13.0, bold=True) > room:
        heading = piece.heading.replace(" + ", "\n+ ").split("\n")
    half = max(svg.text_width(words, 13.0, bold=True) for words in heading) / 2 + 5
    x = within(x, half, sheet.width - half)
    lines = [*((words, 13.0, True) for words in heading), *_piece_size(piece, room)]
    parts = [plated(lines, x, y)]
    tall = 7.0 * len(lines)
    for mark in piece.marks:
        mark_x, mark_y = _mark_spot(mark, sheet)
        wide = half + svg.text_width(mark.words, MARK_SIZE, bold=True) / 2
        if abs(mark_x - x) >= wide or abs(mark_y - y) >= tall + MARK_SIZE / 2:
            parts.append(plated([(mark.words, MARK_SIZE, True)], mark_x, mark_y))
    return parts


def _mark_spot(mark: PlanMark, sheet: Sheet) -> tuple[float, float]:
    """Return where a sign lies clear of the edge it stands at."""
    x, y = sheet.place(mark.x_m, mark.y_m)
    to_x, to_y = sheet.place(*mark.inward)
    return (
        x + max(-MARK_INSET, min(MARK_INSET, to_x - x)),
        y + max(-MARK_INSET, min(MARK_INSET, to_y - y)),
    )


def _piece_size(piece: PlanPiece, room: float) -> list[tuple[str, float, bool]]:
    text = size_in_short(piece.length_m, piece.width_m)
    return [(text, 10.5, False)] if svg.text_width(text, 10.5) <= room else []
