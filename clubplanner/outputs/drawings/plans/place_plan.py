"""A pitch drawn small with one place on it: for lists that are read from a distance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import (
    CLOSED_FILL,
    INK,
    OWN_FILL,
    PAPER,
    SOFT_INK,
)
from clubplanner.outputs.drawings.plans.plan_sheet import Sheet

if TYPE_CHECKING:
    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Pitch

WIDTH, HEIGHT = 120.0, 78.0
"""Units of the drawing; the ground is as large as fits, in the middle."""
MARGIN = 6.0


def draw_place(pitch: Pitch, area: Polygon, words: str, *, is_closed: bool = False) -> str:
    """Draw a pitch without any writing, one place on it filled and heavily edged.

    Args:
        pitch: The pitch; drawn the same way round as its ground plan.
        area: The place, in the pitch's own frame.
        words: The drawing in words.
        is_closed: Whether the place is closed: hatched instead of filled.
    """
    x0, y0, x1, y1 = pitch.polygon.bounds
    scale = min((WIDTH - 2 * MARGIN) / (x1 - x0), (HEIGHT - 2 * MARGIN) / (y1 - y0))
    left = (WIDTH - (x1 - x0) * scale) / 2
    bottom = (HEIGHT + (y1 - y0) * scale) / 2
    sheet = Sheet(left, bottom, scale, x0, y0, WIDTH)
    ground = svg.path_of(pitch.polygon, sheet.place)
    place = svg.path_of(area, sheet.place)
    body = [
        svg.element("path", d=ground, fill=PAPER, stroke=SOFT_INK, stroke_width=2),
        svg.element(
            "path",
            d=place,
            fill=CLOSED_FILL if is_closed else OWN_FILL,
            stroke=INK,
            stroke_width=4.5,
            stroke_linejoin="round",
            fill_rule="evenodd",
        ),
    ]
    if is_closed:
        lines = svg.hatch(area, 7 / scale, 45)
        data = svg.path_of(lines, sheet.place)
        body.append(svg.element("path", d=data, stroke=INK, stroke_width=1.5, fill="none"))
    return svg.document(WIDTH, HEIGHT, words, words, body)
