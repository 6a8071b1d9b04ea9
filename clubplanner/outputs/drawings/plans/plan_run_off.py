"""Run-off on a plan: a dotted line round what is laid, as far off as the ground is kept clear."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import LEAST
from clubplanner.outputs.drawings.plan_values import INK

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from clubplanner.outputs.drawings.lettering import Lettering
    from clubplanner.outputs.drawings.plan_values import GroundPlan
    from clubplanner.outputs.drawings.plans.plan_sheet import Sheet

APART, DOT = 4.0, 1.5
LINE = 19.0
SAMPLE = (22.0, 12.0)


def draw_run_off(plan: GroundPlan, sheet: Sheet, lettering: Lettering, view: Polygon) -> list[str]:
    """Draw the line, as far as it lies in view on the pitch; words stay on plain ground.

    One line, not a filled band: a page has a dozen of these drawings, and a phone fetches them all.
    """
    if plan.run_off is None:
        return []
    laid = shapely.union_all([sheet.placed(piece.polygon) for piece in plan.pieces])
    seen = sheet.placed(shapely.intersection(plan.pitch.polygon, view))
    bare = shapely.difference(seen, shapely.union_all([laid, lettering.words()]))
    reach = plan.run_off.metres * sheet.scale - DOT / 2
    lines = shapely.intersection(shapely.buffer(laid, reach, join_style="mitre").boundary, bare)
    return [] if lines.is_empty else [_dots(lines)]


def draw_run_off_key(plan: GroundPlan, left: float, top: float) -> tuple[list[str], float]:
    """Say what the line is.

    Args:
        plan: What is drawn.
        left: Where the key may begin.
        top: The same, downwards.

    Returns:
        Markup, and the height it takes: 0.0 without run-off.
    """
    if plan.run_off is None:
        return [], 0.0
    wide, high = SAMPLE
    middle = top + LINE / 2
    box = shapely.box(left, middle - high / 2, left + wide, middle + high / 2)
    words = svg.label(plan.run_off.words, left + wide + 8, middle, size=LEAST, anchor="start")
    return [_dots(box.boundary), words], LINE


def _dots(lines: BaseGeometry) -> str:
    return svg.element(
        "path",
        d=svg.path_of(lines, svg.as_it_is),
        fill="none",
        stroke=INK,
        stroke_width=DOT,
        stroke_opacity=0.75,
        stroke_linecap="round",
        stroke_dasharray=f"0 {APART:g}",
    )
