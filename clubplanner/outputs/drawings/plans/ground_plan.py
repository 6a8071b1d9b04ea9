"""The ground plan: a pitch drawn to scale with who is where. One drawing for page, picture, paper.

Told apart by label, hatch and border as well as by colour: the squad's own ground is the only one
with a heavy border and no hatch, so it is unmistakable in grey too. Zoomed to a part, it still
shows where in the pitch that lies: what is round it, which way the ends are and how far.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import Lettering
from clubplanner.outputs.drawings.plan_values import (
    GROUND_FILLS,
    OTHER_GROUND_FILL,
    SIDE,
    SOFT_INK,
    TOP,
    AreaRole,
    GroundPlan,
    foot_of,
)
from clubplanner.outputs.drawings.plans.plan_areas import (
    AREA_STROKE,
    GOAL_STROKE,
    OWN_STROKE,
    PIECE_STROKE,
    ZONE_STROKE,
    draw_area,
    draw_piece,
)
from clubplanner.outputs.drawings.plans.plan_edges import label_edges
from clubplanner.outputs.drawings.plans.plan_fixtures import draw_fixtures, draw_foot
from clubplanner.outputs.drawings.plans.plan_labels import label_areas, label_pieces
from clubplanner.outputs.drawings.plans.plan_run_off import draw_run_off, draw_run_off_key
from clubplanner.outputs.drawings.plans.plan_sheet import Sheet, turned, view_of

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    Overlay = Callable[[Sheet, Lettering], Sequence[str]]

SAME_LINE_M = 0.05
"""Lines nearer to each other than this are drawn as one."""
CUT_STROKE, MARKING_STROKE = 0.7, 1.0
MARKING_SLACK = 0.2
"""Units by which a drawn curve may leave the line: nobody sees it, and pages stay small."""


def draw_ground_plan(
    plan: GroundPlan,
    *,
    width: float = 360.0,
    tallest: float = 420.0,
    overlay: Overlay | None = None,
) -> str:
    """Draw a plan as SVG.

    Args:
        plan: What to draw.
        width: Width of the drawing in its own units; text is 12.5 to 14.5 units high.
        tallest: Height the ground itself may take.
        overlay: Draws more on top of ground and rectangles, under the plan's own words: gets the
            sheet, which tells where metres land, and the lettering, from which it takes the ground
            of its lines and signs and the places of its words; returns markup.

    Returns:
        A whole SVG element; the same plan gives the same text.
    """
    view = view_of(plan.pitch.polygon, plan.focus)
    sheet = lay_sheet(plan, view, width, tallest)
    height = sheet.bottom + foot_of(plan)
    lettering = Lettering(width, height)
    ground = _draw_ground(plan, sheet, view)
    areas = [part for area in plan.areas for part in draw_area(area, sheet, view)]
    body = [
        *(part for piece in plan.pieces for part in draw_piece(piece, sheet)),
        *draw_fixtures(plan, sheet, lettering, view),
    ]
    _block_lines(plan, sheet, lettering, view)
    foot = draw_foot(plan, sheet, lettering, view)  # has its place; what is laid on top finds one
    body += overlay(sheet, lettering) if overlay is not None else ()
    edges = label_edges(plan, sheet, lettering, view)
    body += [*label_pieces(plan, sheet, lettering), *label_areas(plan, sheet, lettering, view)]
    key, tall = lettering.draw_key(SIDE, height)
    run_off = draw_run_off(plan, sheet, lettering, view)
    clear, more = draw_run_off_key(plan, SIDE, height + tall)
    markings = _draw_markings(plan, sheet, lettering, view)
    parts = [*ground, *areas, *run_off, *markings, *body, *edges, *foot, *key, *clear]
    return svg.document(width, height + tall + more, plan.title, plan.summary, parts)


def lay_sheet(plan: GroundPlan, view: Polygon, width: float, tallest: float) -> Sheet:
    """Return where a plan's metres land: what is in view as large as there is room, turned."""
    x0, y0, x1, y1 = turned(view, plan.at_bottom).bounds
    scale = min((width - 2 * SIDE) / (x1 - x0), tallest / (y1 - y0))
    left, bottom = (width - (x1 - x0) * scale) / 2, TOP + (y1 - y0) * scale
    return Sheet(left, bottom, scale, x0, y0, width, plan.at_bottom)


def _block_lines(plan: GroundPlan, sheet: Sheet, lettering: Lettering, view: Polygon) -> None:
    """Take up what outlines, end zones and goals of the plan cover."""
    for line in shown_cut_lines(plan, view):
        lettering.block(sheet.placed(line), CUT_STROKE)
    for area in plan.areas:
        stroke = OWN_STROKE if area.role is AreaRole.OWN else AREA_STROKE
        edge = shapely.intersection(area.polygon.boundary, view)
        lettering.block(sheet.placed(edge), stroke)
    for piece in plan.pieces:
        lettering.block_outline(sheet.placed(piece.polygon), PIECE_STROKE)
        for zone in piece.end_zones:
            lettering.block(sheet.placed(zone), ZONE_STROKE)
        for goal in piece.goals:
            lettering.block(sheet.placed(goal), GOAL_STROKE)


def shown_cut_lines(plan: GroundPlan, view: Polygon) -> list[BaseGeometry]:
    """Return the fine lines as one shape, each once; held ground and other outlines hide them."""
    lines = shapely.union_all([polygon.boundary for polygon in plan.cut_lines])
    edge = shapely.buffer(plan.pitch.polygon.boundary, SAME_LINE_M)
    held = shapely.union_all([edge, *(area.polygon for area in plan.areas)])
    seen = shapely.intersection(plan.pitch.polygon, view)
    bare = shapely.line_merge(shapely.difference(shapely.intersection(lines, seen), held))
    return [] if bare.is_empty else [bare]


def _draw_ground(plan: GroundPlan, sheet: Sheet, view: Polygon) -> list[str]:
    pitch = plan.pitch
    fill = GROUND_FILLS.get(pitch.surface, OTHER_GROUND_FILL)
    seen = shapely.intersection(pitch.polygon, view)
    parts = [svg.element("path", d=svg.path_of(seen, sheet.place), fill=fill, fill_rule="evenodd")]
    parts.extend(
        svg.element(
            "path",
            d=svg.path_of(line, sheet.place),
            fill="none",
            stroke=SOFT_INK,
            stroke_width=CUT_STROKE,
            stroke_dasharray="2 4",
        )
        for line in shown_cut_lines(plan, view)
    )
    return parts


def _draw_markings(
    plan: GroundPlan, sheet: Sheet, lettering: Lettering, view: Polygon
) -> list[str]:
    """Draw painted lines faintly, broken where words stand and where games are laid."""
    seen = shapely.intersection(plan.pitch.polygon, view)
    lines = shapely.intersection(shapely.union_all(list(plan.markings)), seen)
    laid = shapely.union_all([piece.polygon for piece in plan.pieces])
    bare = shapely.difference(sheet.placed(shapely.difference(lines, laid)), lettering.words())
    if bare.is_empty:
        return []
    plain = shapely.simplify(bare, MARKING_SLACK)
    return [
        svg.element(
            "path",
            d=svg.path_of(plain, svg.as_it_is),
            fill="none",
            stroke=SOFT_INK,
            stroke_width=MARKING_STROKE,
            stroke_opacity=0.5,
        )
    ]
