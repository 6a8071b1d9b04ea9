"""The shapes of a drawn week: a block by its look, ground that is too dark, signs, lamps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clubplanner.outputs.charts.weeks.week_values import Look, Sign
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import CLOSED_FILL, INK, OWN_FILL, PAPER, SOFT_INK

if TYPE_CHECKING:
    from collections.abc import Iterator

    from shapely.geometry.base import BaseGeometry

    from clubplanner.outputs.charts.weeks.week_layout import Box
    from clubplanner.outputs.charts.weeks.week_values import Block

DARK_FILL, OFFER_FILL = "#c4cbd0", "#fff6df"
HEAVY, USUAL, LIGHT = 2.6, 1.1, 0.9


def box_shape(box: Box) -> BaseGeometry:
    """Return a box as a polygon of the drawing."""
    return shapely.box(box.left, box.top, box.right, box.bottom)


def as_is(x: float, y: float) -> tuple[float, float]:
    """Leave a point where it is: what is drawn here is in units already."""
    return x, y


def block_shape(block: Block, box: Box) -> Iterator[str]:
    """Draw a block without its words."""
    data = svg.path_of(box_shape(box), as_is)
    if block.look is Look.CLOSED:
        yield svg.element("path", d=data, fill=CLOSED_FILL)
        yield from _hatched(box, 45, 135, gap=6.0)
    is_marked = block.is_chosen or block.sign in (Sign.ADDED, Sign.MOVED)
    fill = {Look.CLOSED: "none", Look.OFFERED: OFFER_FILL}.get(block.look, PAPER)
    yield svg.element(
        "path",
        d=data,
        class_="edge",
        fill=OWN_FILL if is_marked else fill,
        stroke=INK,
        stroke_width=HEAVY if block.is_chosen else USUAL,
        stroke_dasharray={Look.HIRE: "6 3", Look.OFFERED: "2 2"}.get(block.look),
    )
    if block.look is Look.MATCH and min(box.width, box.height) > 9:
        inner = svg.path_of(box_shape(box).buffer(-2.6, join_style="mitre"), as_is)
        yield svg.element("path", d=inner, fill="none", stroke=INK, stroke_width=LIGHT)


def gone_shape(shape: BaseGeometry) -> str:
    """Draw the frame of ground that somebody had."""
    frame = {"stroke": SOFT_INK, "stroke_width": 1.2, "stroke_dasharray": "2 3"}
    return svg.element("path", d=svg.path_of(shape, as_is), fill="none", **frame)


def draw_sign(sign: Sign, x: float, y: float) -> Iterator[str]:
    """Draw what a plan does to a session as a small sign about a point."""
    r = 3.4
    shapes: dict[Sign, list[tuple[tuple[float, float], ...]]] = {
        Sign.ADDED: [((x - r, y), (x + r, y)), ((x, y - r), (x, y + r))],
        Sign.MOVED: [((x - r, y), (x + r, y)), ((x, y - r), (x + r, y), (x, y + r))],
        Sign.GONE: [((x - r, y - r), (x + r, y + r)), ((x - r, y + r), (x + r, y - r))],
    }
    if sign not in shapes:
        return
    lines = shapely.MultiLineString(shapes[sign])
    yield svg.element(
        "path", d=svg.path_of(lines, as_is), fill="none", stroke=INK, stroke_width=1.6
    )


def dark_shape(box: Box) -> Iterator[str]:
    """Draw ground on which it is too dark: level lines, as of mist."""
    yield svg.element("path", d=svg.path_of(box_shape(box), as_is), fill=DARK_FILL)
    yield from _hatched(box, 0, gap=5.0)


def lamps_shape(left: float, right: float, y: float) -> Iterator[str]:
    """Draw a string of lamps from left to right."""
    for width, stroke in ((6.0, INK), (4.0, OWN_FILL)):
        yield svg.element(
            "line",
            x1=left,
            y1=y,
            x2=right,
            y2=y,
            stroke=stroke,
            stroke_width=width,
            stroke_linecap="round",
            stroke_dasharray="0 10",
        )


def _hatched(box: Box, *angles: float, gap: float) -> Iterator[str]:
    for angle in angles:
        yield svg.element(
            "path",
            d=svg.path_of(svg.hatch(box_shape(box), gap, angle), as_is),
            fill="none",
            stroke=SOFT_INK,
            stroke_width=0.7,
            stroke_opacity=0.55,
        )
