"""Reading what stands or is marked on a pitch, given in metres of its own frame."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import shapely
from shapely import Polygon

from clubplanner.domain.ground.grounds import Goal, GoalKind
from clubplanner.domain.ground.plans import GoalPlan, MarkingPlan
from clubplanner.geometry.shapes import explain_fault, rectangle
from clubplanner.inputs.reading.fields import is_number
from clubplanner.language import _

if TYPE_CHECKING:
    from clubplanner.inputs.reading.fields import Fields

LONGEST_M, SHORTEST_M = 400.0, 3.0
FULL_GOAL_M = (7.32, 2.44)
"""Goal width and height, inside (IFAB Laws of the Game, Law 1)."""
NARROWEST_GOAL_M, WIDEST_GOAL_M = 0.5, 12.0
LOWEST_GOAL_M, HIGHEST_GOAL_M = 0.3, 6.0


def read_goal(fields: Fields) -> GoalPlan | Goal:
    """Read a goal: by the edge it stands at, or by the middle of its mouth (`x_m`, `y_m`)."""
    if "x_m" not in fields.values and "y_m" not in fields.values:
        return read_goal_plan(fields)
    x, y = (fields.number(key, -SHORTEST_M, LONGEST_M) for key in ("x_m", "y_m"))
    goal = Goal(x, y, fields.number("along_deg", 0, 360, 90.0) % 180.0, *_goal_size(fields))
    fields.done()
    return goal


def read_goal_plan(fields: Fields) -> GoalPlan:
    """Read a goal or a pair of goals by the edge at which they stand."""
    plan = GoalPlan(fields.text("at") or "both ends", *_goal_size(fields))
    fields.done()
    return plan


def _goal_size(fields: Fields) -> tuple[float, float, GoalKind]:
    return (
        fields.number("width_m", NARROWEST_GOAL_M, WIDEST_GOAL_M, FULL_GOAL_M[0]),
        fields.number("height_m", LOWEST_GOAL_M, HIGHEST_GOAL_M, FULL_GOAL_M[1]),
        GoalKind(fields.choice("kind", [kind.value for kind in GoalKind], "fixed")),
    )


def read_marking(fields: Fields) -> MarkingPlan | None:
    """Read smaller pitches marked on a pitch: so many of a size, or one by its corners."""
    goals = [read_goal_plan(entry) for entry in fields.objects("goals")]
    own = goals[0] if goals else None
    name = fields.text("name", required=True)
    if "corners_m" in fields.values:
        shape = read_corners(fields, "corners_m")
        fields.done()
        return None if shape is None else MarkingPlan(name, goals=own, traced=shape)
    marking = MarkingPlan(
        name=name,
        count=fields.whole("count", 1, 12, 1),
        length_m=fields.number("length_m", SHORTEST_M, LONGEST_M),
        width_m=fields.number("width_m", SHORTEST_M, LONGEST_M),
        lies_across=fields.choice("lies", ("across", "along"), "across") == "across",
        goals=own,
    )
    fields.done()
    return marking


def read_drawn_area(fields: Fields) -> tuple[str, Polygon] | None:
    """Read a part of a pitch that can be booked besides the cuts, by its corners."""
    name = fields.text("name", required=True)
    shape = read_corners(fields, "corners_m")
    fields.done()
    return None if shape is None else (name, shape)


def read_obstacle(fields: Fields) -> Polygon | None:
    """Read ground taken by something else: by its corners, or a corner with length and width."""
    fields.text("name")
    if "corners_m" in fields.values:
        shape = read_corners(fields, "corners_m")
        fields.done()
        return shape
    x, y = (fields.number(key, 0, LONGEST_M) for key in ("x_m", "y_m"))
    length, width = (fields.number(key, 0.05, LONGEST_M) for key in ("length_m", "width_m"))
    fields.done()
    return rectangle(x, y, length, width)


def read_spot(fields: Fields, key: str) -> tuple[float, float] | None:
    """Read a spot on the pitch, `[x, y]`; None when absent or faulty, which is noted."""
    value = fields.take(key)
    if value is None:
        return None
    try:
        return _corner(*value)
    except (TypeError, ValueError):
        fields.fault(key, "not-a-spot", _("Write two numbers, metres along and across: [0, 30]"))
        return None


def read_corners(fields: Fields, key: str) -> Polygon | None:
    """Read a polygon by its corners in metres; None when there is a fault, which is noted."""
    return polygon_of(fields, key, fields.take(key))


def polygon_of(fields: Fields, key: str, corners: Any, holes: Any = ()) -> Polygon | None:
    """Make a polygon of corners in metres; None when there is a fault, which is noted."""
    try:
        polygon = Polygon(_ring(corners), [_ring(hole) for hole in holes])
    except (TypeError, ValueError, shapely.errors.ShapelyError):
        fields.fault(key, "not-corners", _("Write at least three corners: [[0, 0], [30, 0], …]"))
        return None
    reason = explain_fault(polygon)
    if reason:
        fields.fault(key, "outline", reason[:1].upper() + reason[1:])
        return None
    return polygon


def _ring(corners: Any) -> list[tuple[float, float]]:
    return [_corner(x, y) for x, y in corners]


def _corner(x: Any, y: Any) -> tuple[float, float]:
    if not (is_number(x) and is_number(y)):
        raise TypeError(_("a corner is two numbers"))
    return round(x, 3), round(y, 3)
