"""What belongs to the pitch on a ground plan: goals, obstacles, way in, names, scale, north."""

from __future__ import annotations

import math

import shapely

from clubplanner.domain.grounds import Goal, GoalKind, Pitch
from clubplanner.language import _
from clubplanner.outputs import svg
from clubplanner.outputs.plan_labels import arrow
from clubplanner.outputs.plan_values import (
    INK,
    PAPER,
    SIDE,
    SOFT_INK,
    GroundPlan,
    Sheet,
    foot_of,
)


def draw_fixtures(plan: GroundPlan, sheet: Sheet) -> list[str]:
    """Draw obstacles, the outline, goals and the way in."""
    pitch = plan.pitch
    seen = plan.focus
    parts: list[str] = []
    for obstacle in pitch.obstacles:
        shape = obstacle if seen is None else shapely.intersection(obstacle, seen)
        parts.append(
            svg.element(
                "path", d=svg.path_of(shape, sheet.place), fill=SOFT_INK, stroke=INK, stroke_width=1
            )
        )
    outline = pitch.polygon if seen is None else seen
    parts.append(
        svg.element(
            "path", d=svg.path_of(outline, sheet.place), fill="none", stroke=INK, stroke_width=1.4
        )
    )
    reach = None if seen is None else shapely.buffer(seen, 0.6)
    parts.extend(
        _draw_goal(goal, pitch, sheet)
        for goal in pitch.goals
        if reach is None or reach.contains(goal.mouth)
    )
    if pitch.entrance is not None and seen is None:
        parts.extend(_draw_entrance(pitch, sheet))
    return parts


def _draw_goal(goal: Goal, pitch: Pitch, sheet: Sheet) -> str:
    """Draw a goal as a box behind its line; a dashed one can be carried away."""
    depth = min(max(1.8, 5.0 / sheet.scale), 8.0 / sheet.scale)
    (ax, ay), (bx, by) = goal.mouth.coords
    centre = pitch.polygon.centroid
    normal = math.radians(goal.along_deg + 90.0)
    dx, dy = math.cos(normal) * depth, math.sin(normal) * depth
    if (goal.x_m - centre.x) * dx + (goal.y_m - centre.y) * dy < 0:
        dx, dy = -dx, -dy
    corners = [(ax, ay), (ax + dx, ay + dy), (bx + dx, by + dy), (bx, by)]
    return svg.element(
        "path",
        d=svg.path_of(shapely.LineString(corners), sheet.place),
        fill="none",
        stroke=INK,
        stroke_width=2.4,
        stroke_linejoin="round",
        stroke_dasharray="3 2" if goal.kind is GoalKind.PORTABLE else None,
    )


def _draw_entrance(pitch: Pitch, sheet: Sheet) -> list[str]:
    if pitch.entrance is None:
        return []
    x0, y0, x1, y1 = pitch.polygon.bounds
    x = min(max(pitch.entrance[0], x0), x1)
    y = min(max(pitch.entrance[1], y0), y1)
    px, py = sheet.place(x, y)
    return [
        svg.element("circle", cx=px, cy=py, r=7.5, fill=INK, stroke=PAPER, stroke_width=1.5),
        svg.label(_("in"), px, py - 0.5, size=9, bold=True, fill=PAPER),
    ]


def label_edges(plan: GroundPlan, sheet: Sheet, wide: float, tall: float) -> list[str]:
    """Write what people call the ends and sides; not on a plan that is zoomed in."""
    if plan.focus is not None:
        return []
    edges = plan.pitch.edges
    middle_y = sheet.bottom - tall / 2
    middle_x = sheet.left + wide / 2
    names = (
        (edges.start, sheet.left - 19, middle_y, -90.0, max(tall, 44.0)),
        (edges.far, sheet.left + wide + 19, middle_y, 90.0, max(tall, 44.0)),
        (edges.left, middle_x, sheet.bottom - tall - 15, 0.0, max(wide, 110.0)),
        (edges.right, middle_x, sheet.bottom + 15, 0.0, max(wide, 110.0)),
    )
    parts = []
    for name, x, y, turn, room in names:
        shown = svg.clip_to_width(name, 11, room)
        parts.append(svg.label(shown, x, y, size=11, fill=SOFT_INK, turn_deg=turn))
    return parts


def draw_foot(plan: GroundPlan, sheet: Sheet, width: float, wide: float) -> list[str]:
    """Draw the scale bar and which way north is."""
    y = sheet.bottom + foot_of(plan) - 16
    length_m = next((n for n in (50, 20, 10, 5, 2, 1) if n * sheet.scale <= wide * 0.45), 1)
    long = length_m * sheet.scale
    parts = [
        arrow(SIDE, y, SIDE + long, y),
        svg.label(f"{length_m} m", SIDE + long + 8, y, size=11, anchor="start", fill=SOFT_INK),
    ]
    frame = plan.pitch.frame
    if frame is not None:
        parts.append(_draw_north(frame.bearing_deg, width - SIDE - 14, y - 2))
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
        svg.label("N", tip_x, tip_y, size=11, bold=True),
        transform=f"translate({x:.1f} {y:.1f})",
    )
