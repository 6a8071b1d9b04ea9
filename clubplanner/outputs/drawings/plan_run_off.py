"""Run-off on a plan: a dotted band round what is laid, as broad as the clear ground it has."""

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
    from clubplanner.outputs.drawings.plan_sheet import Sheet
    from clubplanner.outputs.drawings.plan_values import GroundPlan

APART, DOT = 4.0, 1.3
LINE = 19.0
SAMPLE = (22.0, 12.0)


def draw_run_off(plan: GroundPlan, sheet: Sheet, lettering: Lettering, view: Polygon) -> list[str]:
    """Draw the band, as far as it lies in view on the pitch; words stay on plain ground."""
    if plan.run_off is None:
        return []
    laid = shapely.union_all([sheet.placed(piece.polygon) for piece in plan.pieces])
    seen = sheet.placed(shapely.intersection(plan.pitch.polygon, view))
    bare = shapely.difference(seen, shapely.union_all([laid, lettering.words()]))
    reach = plan.run_off.metres * sheet.scale - DOT / 2
    count = max(1, int(reach / APART))
    rings = [
        shapely.buffer(laid, reach * n / count, join_style="mitre").boundary
        for n in range(1, count + 1)
    ]
    lines = shapely.intersection(shapely.union_all(rings), bare)
    return [] if lines.is_empty else [_dots(lines)]


def draw_run_off_key(plan: GroundPlan, left: float, top: float) -> tuple[list[str], float]:
    """Say what the band is.

    Args:
        plan: What is drawn.
        left: Where the key may begin.
        top: The same, downwards.

    Returns:
        Markup, and the height it takes: 0.0 without a band.
    """
    if plan.run_off is None:
        return [], 0.0
    wide, high = SAMPLE
    middle = top + LINE / 2
    box = shapely.box(left, middle - high / 2, left + wide, middle + high / 2)
    words = svg.label(plan.run_off.words, left + wide + 8, middle, size=LEAST, anchor="start")
    return [_dots(svg.hatch(box, APART, 0)), words], LINE


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
