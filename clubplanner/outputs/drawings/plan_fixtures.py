"""What belongs to the pitch on a ground plan: goals, obstacles, way in, names, scale, north."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.ground.grounds import Goal, GoalKind, Pitch
from clubplanner.language import _
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.lettering import BADGE, LEAST, spots_along
from clubplanner.outputs.drawings.plan_labels import arrow
from clubplanner.outputs.drawings.plan_values import (
    INK,
    PAPER,
    SIDE,
    SOFT_INK,
    GroundPlan,
    Sheet,
    foot_of,
)

if TYPE_CHECKING:
    from clubplanner.outputs.drawings.lettering import Lettering, Spots

GOAL_STROKE = 2.4


def draw_fixtures(plan: GroundPlan, sheet: Sheet, lettering: Lettering) -> list[str]:
    """Draw obstacles, the outline, goals and the way in, and take up what they cover."""
    pitch = plan.pitch
    seen = plan.focus
    parts: list[str] = []
    for obstacle in pitch.obstacles:
        shape = obstacle if seen is None else shapely.intersection(obstacle, seen)
        lettering.block(sheet.placed(shape), 1.0)
        parts.append(
            svg.element(
                "path", d=svg.path_of(shape, sheet.place), fill=SOFT_INK, stroke=INK, stroke_width=1
            )
        )
    outline = pitch.polygon if seen is None else seen
    lettering.block_outline(sheet.placed(outline), 1.4)
    parts.append(
        svg.element(
            "path", d=svg.path_of(outline, sheet.place), fill="none", stroke=INK, stroke_width=1.4
        )
    )
    reach = None if seen is None else shapely.buffer(seen, 0.6)
    for goal in pitch.goals:
        if reach is None or reach.contains(goal.mouth):
            box = _goal_box(goal, pitch, sheet)
            lettering.block(sheet.placed(box), GOAL_STROKE)
            parts.append(_draw_goal(goal, box, sheet))
    if pitch.entrance is not None and seen is None:
        parts.extend(_draw_entrance(pitch, sheet, lettering))
    return parts


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


def _draw_entrance(pitch: Pitch, sheet: Sheet, lettering: Lettering) -> list[str]:
    if pitch.entrance is None:
        return []
    x0, y0, x1, y1 = pitch.polygon.bounds
    x = min(max(pitch.entrance[0], x0), x1)
    y = min(max(pitch.entrance[1], y0), y1)
    px, py = sheet.place(x, y)
    words = _("in")
    reach = max(10.0, svg.text_width(words, LEAST, bold=True) / 2 + 3)
    lettering.block(shapely.Point(px, py).buffer(reach), 1.5)
    return [
        svg.element("circle", cx=px, cy=py, r=reach, fill=INK, stroke=PAPER, stroke_width=1.5),
        svg.label(words, px, py - 0.5, size=LEAST, bold=True, fill=PAPER),
    ]


def label_edges(
    plan: GroundPlan, sheet: Sheet, lettering: Lettering, size: tuple[float, float]
) -> list[str]:
    """Write what people call the ends and sides; not on a plan that is zoomed in."""
    if plan.focus is not None:
        return []
    wide, tall = size
    edges = plan.pitch.edges
    right, top = sheet.left + wide, sheet.bottom - tall
    parts = []
    for name, at, turn in (
        (edges.start, sheet.left - 19, -90.0),
        (edges.far, right + 19, 90.0),
        (edges.left, top - 16, 0.0),
        (edges.right, sheet.bottom + 17, 0.0),
    ):
        spots = (
            spots_along((at, top), (at, sheet.bottom))
            if turn
            else spots_along((sheet.left, at), (right, at))
        )
        parts.extend(
            _label_edge(name.strip(), spots, turn, max(tall if turn else wide, 44.0), lettering)
        )
    return parts


def _label_edge(
    name: str, spots: Spots, turn: float, room: float, lettering: Lettering
) -> list[str]:
    """Write a name along its edge, else a sign there and the name in the key."""
    if not name:
        return []
    long = svg.text_width(name, LEAST)
    spot = (
        lettering.place((LEAST, long) if turn else (long, LEAST), spots) if long <= room else None
    )
    if spot is not None:
        return [svg.label(name, *spot, size=LEAST, fill=SOFT_INK, turn_deg=turn)]
    x, y = spots[0]
    beside = shapely.box(x - BADGE, y - BADGE, x + BADGE, y + BADGE)
    return lettering.badge(lettering.refer(name), beside, spots)


def draw_foot(plan: GroundPlan, sheet: Sheet, lettering: Lettering, wide: float) -> list[str]:
    """Draw the scale bar and which way north is."""
    y = sheet.bottom + foot_of(plan) - 16
    length_m = next((n for n in (50, 20, 10, 5, 2, 1) if n * sheet.scale <= wide * 0.4), 1)
    long = length_m * sheet.scale
    words = f"{length_m} m"
    reach = long + 8 + svg.text_width(words, LEAST)
    lettering.take((reach, LEAST), SIDE + reach / 2, y)
    parts = [
        arrow(SIDE, y, SIDE + long, y),
        svg.label(words, SIDE + long + 8, y, size=LEAST, anchor="start", fill=SOFT_INK),
    ]
    frame = plan.pitch.frame
    if frame is not None:
        x, y = sheet.width - SIDE - 6, y - 12
        lettering.block(shapely.Point(x, y).buffer(29))
        parts.append(_draw_north(frame.bearing_deg, x, y))
    return parts


def _draw_north(bearing_deg: float, x: float, y: float) -> str:
    angle = bearing_deg - 90.0  # the drawing's "up" is 90° left of the pitch's x
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
