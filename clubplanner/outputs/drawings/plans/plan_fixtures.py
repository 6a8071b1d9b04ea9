"""What belongs to the pitch on a ground plan: goals, obstacles, the way in, scale, north."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import shapely
from shapely import Point
from shapely.ops import nearest_points

from clubplanner.domain.ground.grounds import Goal, GoalKind, Pitch
from clubplanner.domain.ground.orientation.facing import UP_FROM_X_DEG
from clubplanner.language import _
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import LEAST
from clubplanner.outputs.drawings.plan_values import (
    GROUND_FILLS,
    INK,
    OTHER_GROUND_FILL,
    OWN_FILL,
    PAPER,
    SIDE,
    SOFT_INK,
    GroundPlan,
    foot_of,
)
from clubplanner.outputs.drawings.plans.plan_sheet import Sheet, turned
from clubplanner.outputs.drawings.plans.plan_sizes import arrow

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from clubplanner.outputs.drawings.lettering import Lettering

GOAL_STROKE = 2.4
GOAL_IN_VIEW_M = 0.6
"""A goal may stand so far outside of what is in view."""
SAME_PLACE_M = 0.01
SWATCH, LEGEND_GAP = (20.0, 12.0), 20.0
LEAST_FREE_M2 = 10.0
"""Less ground than this between others' is not called free."""
LOCATOR = (64.0, 40.0)
"""Most room that the small pitch takes which shows where a part lies, units."""


def draw_fixtures(plan: GroundPlan, sheet: Sheet, lettering: Lettering, view: Polygon) -> list[str]:
    """Draw obstacles, the outline, goals and the way in, and take up what they cover."""
    pitch = plan.pitch
    parts: list[str] = []
    for obstacle in pitch.obstacles:
        shape = shapely.intersection(obstacle, view)
        if not shape.area:
            continue
        lettering.block(sheet.placed(shape), 1.0)
        parts.append(
            svg.element(
                "path", d=svg.path_of(shape, sheet.place), fill=SOFT_INK, stroke=INK, stroke_width=1
            )
        )
    outline = _outline_in(view, pitch.polygon)
    lettering.block_outline(sheet.placed(outline), 1.4)
    parts.append(
        svg.element(
            "path", d=svg.path_of(outline, sheet.place), fill="none", stroke=INK, stroke_width=1.4
        )
    )
    reach = shapely.buffer(view, GOAL_IN_VIEW_M)
    for goal in pitch.goals:
        if reach.contains(goal.mouth):
            box = _goal_box(goal, pitch, sheet)
            lettering.block(sheet.placed(box), GOAL_STROKE)
            parts.append(_draw_goal(goal, box, sheet))
    parts.extend(_draw_entrance(pitch, sheet, lettering, view))
    return parts


def _outline_in(view: Polygon, pitch: Polygon) -> BaseGeometry:
    """Return the pitch's edge as far as it is in view; where the view cuts it there is none."""
    return pitch if view.covers(pitch) else shapely.intersection(pitch.boundary, view)


def _goal_box(goal: Goal, pitch: Pitch, sheet: Sheet) -> shapely.LineString:
    """Return a goal as a box behind its line, metres."""
    depth = min(max(1.8, 5.0 / sheet.scale), 8.0 / sheet.scale)
    (ax, ay), (bx, by) = goal.mouth.coords
    centre = pitch.polygon.centroid
    normal = math.radians(goal.along_deg + 90.0)
    dx, dy = math.cos(normal) * depth, math.sin(normal) * depth
    if (goal.x_m - centre.x) * dx + (goal.y_m - centre.y) * dy < 0:
        dx, dy = -dx, -dy
    return shapely.LineString([(ax, ay), (ax + dx, ay + dy), (bx + dx, by + dy), (bx, by)])


def _draw_goal(goal: Goal, box: shapely.LineString, sheet: Sheet) -> str:
    """Draw a goal; a dashed one can be carried away."""
    return svg.element(
        "path",
        d=svg.path_of(box, sheet.place),
        fill="none",
        stroke=INK,
        stroke_width=GOAL_STROKE,
        stroke_linejoin="round",
        stroke_dasharray="3 2" if goal.kind is GoalKind.PORTABLE else None,
    )


def way_in(pitch: Pitch) -> Point | None:
    """Return where people step on a pitch: the nearest place on it; None when not known."""
    if pitch.entrance is None:
        return None
    return nearest_points(pitch.polygon, Point(pitch.entrance))[0]


def _draw_entrance(pitch: Pitch, sheet: Sheet, lettering: Lettering, view: Polygon) -> list[str]:
    there = way_in(pitch)
    if there is None or view.distance(there) > SAME_PLACE_M:
        return []
    px, py = sheet.place(there.x, there.y)
    words = _("in")
    reach = max(10.0, svg.text_width(words, LEAST, bold=True) / 2 + 3)
    lettering.block(Point(px, py).buffer(reach), 1.5)
    return [
        svg.element("circle", cx=px, cy=py, r=reach, fill=INK, stroke=PAPER, stroke_width=1.5),
        svg.label(words, px, py - 0.5, size=LEAST, bold=True, fill=PAPER),
    ]


def draw_foot(plan: GroundPlan, sheet: Sheet, lettering: Lettering, view: Polygon) -> list[str]:
    """Draw the scale bar, where in the pitch a part lies, and which way north is."""
    y = sheet.bottom + foot_of(plan) - 16
    left, _top, right, _bottom = sheet.placed(view).bounds
    wide = right - left
    length_m = next((n for n in (50, 20, 10, 5, 2, 1) if n * sheet.scale <= wide * 0.4), 1)
    long = length_m * sheet.scale
    words = f"{length_m} m"
    reach = long + 8 + svg.text_width(words, LEAST)
    lettering.take((reach, LEAST), SIDE + reach / 2, y)
    parts = [
        arrow(SIDE, y, SIDE + long, y),
        svg.label(words, SIDE + long + 8, y, size=LEAST, anchor="start", fill=SOFT_INK),
    ]
    parts.extend(_draw_legend(plan, lettering, (SIDE + reach + LEGEND_GAP, y)))
    if plan.focus is not None and not view.covers(plan.pitch.polygon):
        parts.extend(_draw_locator(plan.pitch, plan.focus, sheet, lettering, y))
    frame = plan.pitch.frame
    if frame is not None:
        x, y = sheet.width - SIDE - 6, y - 12
        lettering.block(Point(x, y).buffer(29))
        up_deg = frame.bearing_deg + UP_FROM_X_DEG[sheet.at_bottom]
        parts.append(_draw_north(up_deg, x, y))
    return parts


def _draw_legend(plan: GroundPlan, lettering: Lettering, at: tuple[float, float]) -> list[str]:
    """Say what free ground looks like, where there is some beside held ground."""
    if plan.focus is not None or not plan.areas:
        return []
    held = shapely.union_all([area.polygon for area in plan.areas])
    if shapely.difference(plan.pitch.polygon, held).area < LEAST_FREE_M2:
        return []
    x, y = at
    wide, tall = SWATCH
    words = _("free")
    long = wide + 6 + svg.text_width(words, LEAST)
    if not lettering.is_free((long, tall), x + long / 2, y):
        return []
    lettering.take((long, tall), x + long / 2, y)
    fill = GROUND_FILLS.get(plan.pitch.surface, OTHER_GROUND_FILL)
    box = {"x": x, "y": y - tall / 2, "width": wide, "height": tall}
    return [
        svg.element("rect", **box, fill=fill, stroke=INK, stroke_width=1),
        svg.label(words, x + wide + 6, y, size=LEAST, anchor="start", fill=SOFT_INK),
    ]


def _draw_locator(
    pitch: Pitch, focus: Polygon, sheet: Sheet, lettering: Lettering, base: float
) -> list[str]:
    """Draw the whole pitch small, the part filled: where in it the large drawing lies."""
    x0, y0, x1, y1 = turned(pitch.polygon, sheet.at_bottom).bounds
    scale = min(LOCATOR[0] / (x1 - x0), LOCATOR[1] / (y1 - y0))
    left, bottom = sheet.width * 0.6 - (x1 - x0) * scale / 2, base + 8
    small = Sheet(left, bottom, scale, x0, y0, sheet.width, sheet.at_bottom)
    lettering.block(shapely.box(*small.placed(pitch.polygon).bounds), 5.0)
    ground = svg.path_of(pitch.polygon, small.place)
    part = svg.path_of(focus, small.place)
    parts = [
        svg.element("path", d=ground, fill=PAPER, stroke=SOFT_INK, stroke_width=1),
        svg.element("path", d=part, fill=OWN_FILL, stroke=INK, stroke_width=1.6),
    ]
    there = way_in(pitch)
    if there is not None:
        x, y = small.place(there.x, there.y)
        parts.append(svg.element("circle", cx=x, cy=y, r=3, fill=INK, stroke=PAPER, stroke_width=1))
    return parts


def _draw_north(angle: float, x: float, y: float) -> str:
    """Draw a needle; the angle is what is up on the drawing, clockwise from north."""
    needle = svg.element(
        "path", d="M0 -13L5 9L0 5L-5 9Z", fill=INK, transform=f"rotate({-angle:.1f})"
    )
    turn = math.radians(-angle)
    tip_x, tip_y = math.sin(turn) * 21, -math.cos(turn) * 21
    return svg.element(
        "g",
        needle,
        svg.label("N", tip_x, tip_y, size=LEAST, bold=True),
        transform=f"translate({x:.1f} {y:.1f})",
    )
