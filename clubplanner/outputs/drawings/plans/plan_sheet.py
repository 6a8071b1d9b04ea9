"""Where metres land on a drawing: which way round it lies, and what of the pitch is in view."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely import affinity

from clubplanner.domain.ground.orientation.facing import ROUND, Edge

if TYPE_CHECKING:
    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from clubplanner.domain.ground.grounds import Edges


_TURNS = {
    Edge.RIGHT: (1, 0, 0, 1),
    Edge.START: (0, -1, 1, 0),
    Edge.LEFT: (-1, 0, 0, -1),
    Edge.FAR: (0, 1, -1, 0),
}
"""Edge at the bottom → from metres (x, y) to (across, up), as rows of a matrix."""
AROUND_M = 4.0
"""What is shown round ground that is zoomed to."""
NEAR_SHARE = 0.12
"""An edge of the pitch nearer to that ground than this share of its size is shown as well."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Where metres land on the drawing.

    Attributes:
        left: Of the view on the sheet, units.
        bottom: Of the view on the sheet, units.
        scale: Units a metre.
        x0: What of the turned pitch lies at `left`, metres.
        y0: What of the turned pitch lies at `bottom`, metres.
        width: Of the whole sheet, units.
        at_bottom: The edge of the pitch that is at the bottom.
    """

    left: float
    bottom: float
    scale: float
    x0: float
    y0: float
    width: float
    at_bottom: Edge = Edge.RIGHT

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return where a point of the pitch lands on the sheet."""
        a, b, c, d = _TURNS[self.at_bottom]
        across, up = a * x + b * y, c * x + d * y
        return self.left + (across - self.x0) * self.scale, self.bottom - (up - self.y0) * (
            self.scale
        )

    def placed(self, shape: BaseGeometry) -> BaseGeometry:
        """Return a shape of the pitch as it lies on the sheet."""
        a, b, c, d = (part * self.scale for part in _TURNS[self.at_bottom])
        left, bottom = self.place(0.0, 0.0)
        return affinity.affine_transform(shape, [a, b, -c, -d, left, bottom])

    def named(self, edges: Edges) -> dict[Edge, str]:
        """Name what is at the bottom, left, top and right of the drawing, in this order."""
        first = ROUND.index(self.at_bottom)
        around = ROUND[first:] + ROUND[:first]
        return {edge: str(getattr(edges, edge.value)).strip() for edge in around}


def turned(shape: BaseGeometry, at_bottom: Edge) -> BaseGeometry:
    """Turn a shape of the pitch so that one edge comes to lie at the bottom, metres, y upwards."""
    return affinity.affine_transform(shape, [*_TURNS[at_bottom], 0, 0])


def view_of(pitch: Polygon, focus: BaseGeometry | None) -> Polygon:
    """Return what of the pitch is in view, as a box in its own frame.

    All of it without a focus; else the ground zoomed to with a few metres round it, as far as the
    pitch's edge where that is near.
    """
    x0, y0, x1, y1 = pitch.bounds
    if focus is None:
        return shapely.box(x0, y0, x1, y1)
    near_x, near_y = (x1 - x0) * NEAR_SHARE, (y1 - y0) * NEAR_SHARE
    fx0, fy0, fx1, fy1 = focus.bounds
    return shapely.box(
        x0 if fx0 - x0 <= near_x else fx0 - AROUND_M,
        y0 if fy0 - y0 <= near_y else fy0 - AROUND_M,
        x1 if x1 - fx1 <= near_x else fx1 + AROUND_M,
        y1 if y1 - fy1 <= near_y else fy1 + AROUND_M,
    )
