"""The words on a ground plan: who is where, and how large own ground is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.measures import length_in_short
from clubplanner.outputs import svg
from clubplanner.outputs.plan_values import (
    INK,
    PAPER,
    AreaRole,
    GroundPlan,
    PlanArea,
    Sheet,
)

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry


def label_area(area: PlanArea, sheet: Sheet, plan: GroundPlan) -> list[str]:
    """Write who has an area, on a spot where the words lie on it; own ground gets its size."""
    is_own = area.role is AreaRole.OWN
    parts: list[str] = []
    if is_own and plan.shows_size:
        parts.extend(_draw_size(area, sheet))
    if plan.pieces and is_own:
        return parts
    if area.mark:
        left, top = sheet.place(area.polygon.bounds[0], area.polygon.bounds[3])
        parts.append(_badge(area.mark, left + 13, top + 13))
    for spot in _label_spots(area.polygon):
        lines, x, y = _lines_about(area, sheet, spot, has_size=is_own and plan.shows_size)
        if lines and _lies_on(lines, (x, y), area.polygon, sheet):
            parts.append(plated(lines, x, y, bare=is_own))
            break
    return parts


def _label_spots(polygon: Polygon) -> list[tuple[float, float]]:
    """Return where a label may have its middle, best first, metres."""
    x0, y0, x1, y1 = polygon.bounds
    inner = shapely.maximum_inscribed_circle(polygon, tolerance=0.5).coords[0]
    return [((x0 + x1) / 2, (y0 + y1) / 2), (inner[0], inner[1])]


def _lines_about(
    area: PlanArea, sheet: Sheet, spot: tuple[float, float], *, has_size: bool
) -> tuple[list[tuple[str, float, bool]], float, float]:
    """Choose the lines of a label about a spot, and move it clear of size and badge."""
    x, y = sheet.place(*spot)
    room, tall = (extent * sheet.scale - 10 for extent in _room_about(area.polygon, *spot))
    if has_size:  # the width's label has the right edge
        room -= 26
        x -= 13
    if area.mark and tall < 70:  # the badge has the left edge
        room -= 26
        x += 13
    elif area.mark:
        tall -= 44
    return _lines_that_fit(area, room, tall), x, y


def _lies_on(
    lines: list[tuple[str, float, bool]],
    middle: tuple[float, float],
    polygon: Polygon,
    sheet: Sheet,
) -> bool:
    """Tell whether a label about a point of the drawing lies wholly on its ground."""
    wide, tall = _extent(lines)
    x = sheet.x0 + (middle[0] - sheet.left) / sheet.scale
    y = sheet.y0 + (sheet.bottom - middle[1]) / sheet.scale
    reach_x, reach_y = wide / 2 / sheet.scale, tall / 2 / sheet.scale
    box = shapely.box(x - reach_x, y - reach_y, x + reach_x, y + reach_y)
    return bool(shapely.covers(polygon, box))


def _extent(lines: list[tuple[str, float, bool]]) -> tuple[float, float]:
    """Return how wide and tall lines of (text, size, bold) are."""
    wide = max(svg.text_width(text, size, bold=bold) for text, size, bold in lines)
    return wide, sum(size * 1.25 for _, size, _ in lines)


def _room_about(polygon: Polygon, x: float, y: float) -> tuple[float, float]:
    """Return how wide and how tall a box about a point may be, metres, to stay on the ground."""
    x0, y0, x1, y1 = polygon.bounds
    across = shapely.intersection(shapely.LineString([(x0, y), (x1, y)]), polygon)
    along = shapely.intersection(shapely.LineString([(x, y0), (x, y1)]), polygon)
    return _reach(across, x, 0), _reach(along, y, 1)


def _reach(crossing: BaseGeometry, value: float, axis: int) -> float:
    """Return twice the way from a place on a line to the nearer end of the part it lies on."""
    for part in getattr(crossing, "geoms", (crossing,)):
        low, high = part.bounds[axis], part.bounds[axis + 2]
        if low <= value <= high:
            return float(2 * min(value - low, high - value))
    return 0.0


def within(value: float, low: float, high: float) -> float:
    """Return the value nearest to one wanted that lies between two others."""
    return max(low, min(value, high))


def _badge(mark: str, x: float, y: float) -> str:
    """Draw the sign by which a table beside the plan refers to an area."""
    return svg.element(
        "g",
        svg.element("circle", cx=x, cy=y, r=9, fill=PAPER, stroke=INK, stroke_width=1.2),
        svg.label(mark, x, y, size=11 if len(mark) < 3 else 8.5, bold=True),
    )


def _lines_that_fit(area: PlanArea, room: float, tall: float) -> list[tuple[str, float, bool]]:
    heading = svg.clip_words(area.heading, 60)
    for size in (13.0, 11.5, 10.0):
        lines = svg.wrap(heading, size, room, bold=True)
        details = [line for text in area.details for line in svg.wrap(text, size - 1, room) or [""]]
        if lines is None or "" in details:
            continue
        wanted = [(line, size, True) for line in lines] + [(d, size - 1, False) for d in details]
        for shown in (wanted, wanted[: len(lines)]):
            if sum(line[1] * 1.25 for line in shown) <= tall:
                return shown
    return []


def plated(lines: list[tuple[str, float, bool]], x: float, y: float, *, bare: bool = False) -> str:
    """Write lines of (text, size, bold) about a point, on a plate that keeps hatches off."""
    if not lines:
        return ""
    wide, tall = _extent(lines)
    parts = []
    if not bare:
        parts.append(
            svg.element(
                "rect",
                x=x - wide / 2 - 4,
                y=y - tall / 2 - 3,
                width=wide + 8,
                height=tall + 6,
                rx=4,
                fill=PAPER,
                fill_opacity=0.88,
            )
        )
    top = y - tall / 2
    for text, size, bold in lines:
        parts.append(svg.label(text, x, top + size * 0.625, size=size, bold=bold))
        top += size * 1.25
    return svg.element("g", *parts)


def _draw_size(area: PlanArea, sheet: Sheet) -> list[str]:
    """Draw how long and how wide own ground is: below the pitch, and inside its right edge."""
    x0, y0, x1, y1 = area.polygon.bounds
    left, top = sheet.place(x0, y1)
    right, bottom = sheet.place(x1, y0)
    base = sheet.bottom + 31
    across = right - 11
    length, width = length_in_short(x1 - x0), length_in_short(y1 - y0)
    half_length = svg.text_width(length, 12, bold=True) / 2 + 2
    middle = within((left + right) / 2, half_length, sheet.width - half_length)
    half_width = svg.text_width(width, 12, bold=True) / 2
    middle_y = max(top + half_width + 6, min((top + bottom) / 2, top + (bottom - top) * 0.24))
    if bottom - top < 2 * half_width + 12:
        middle_y = max((top + bottom) / 2, half_width + 2)
    return [
        arrow(left, base, right, base),
        svg.label(length, middle, base + 12, size=12, bold=True),
        arrow(across, top + 3, across, bottom - 3),
        svg.label(width, across - 9, middle_y, size=12, bold=True, turn_deg=-90),
    ]


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
