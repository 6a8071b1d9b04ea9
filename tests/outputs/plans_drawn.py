"""Plans for tests, and where things stand on a drawing of them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import shapely
from shapely import Polygon

from clubplanner.geometry.shapes import rectangle
from clubplanner.outputs.drawings.plan_values import (
    AreaRole,
    GroundPlan,
    PlanArea,
)
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from tests.builders import make_pitch
from tests.outputs.example_drawings import Drawing, read_drawing

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Pitch

L_HALL = Polygon([(0, 0), (24, 0), (24, 10), (14, 10), (14, 18), (0, 18)])
PILLAR = rectangle(9.8, 8.8, 0.4, 0.4)


def own(polygon: Polygon, heading: str = "U12 Kestrels") -> PlanArea:
    """Return a squad's own ground."""
    return PlanArea(polygon, heading, ("18:00–19:15",), AreaRole.OWN)


def other(polygon: Polygon, heading: str = "U14 Harriers", **changes: Any) -> PlanArea:
    """Return somebody else's ground."""
    values = {"details": ("18:00–19:15",), "role": AreaRole.OTHER, **changes}
    return PlanArea(polygon, heading, **values)


def draw(pitch: Pitch | None = None, *areas: PlanArea, **changes: Any) -> Drawing:
    """Draw a plan and read it back; `width` and `tallest` go to the drawing."""
    sizes = {name: changes.pop(name) for name in ("width", "tallest") if name in changes}
    plan = GroundPlan(pitch or make_pitch(), "Top pitch", "In words", areas, **changes)
    return read_drawing(draw_ground_plan(plan, **sizes))


def scale_of(drawing: Drawing, pitch: Pitch) -> float:
    """Return units a metre, from the first path: the ground."""
    x0, _, x1, _ = drawing.paths[0].bounds
    return (x1 - x0) / float(pitch.polygon.bounds[2] - pitch.polygon.bounds[0])


def on_drawing(drawing: Drawing, pitch: Pitch, polygon: Polygon) -> Polygon:
    """Put a polygon where it must be on the drawing: same scale both ways, y upwards."""
    scale = scale_of(drawing, pitch)
    left, _, _, bottom = drawing.paths[0].bounds
    x0, y0, _, _ = pitch.polygon.bounds
    return shapely.affinity.affine_transform(
        polygon, [scale, 0, 0, -scale, left - x0 * scale, bottom + y0 * scale]
    )
