"""Which way round plans of a pitch are drawn, as whoever is looking has chosen."""

from __future__ import annotations

from contextlib import contextmanager
from contextvars import ContextVar
from enum import StrEnum
from typing import TYPE_CHECKING

from shapely import LineString, Point

from clubplanner.geometry.frame import angle_between_deg

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.domain.ground.grounds import Pitch
    from clubplanner.geometry.frame import Frame


class Edge(StrEnum):
    """An edge of a pitch, as the fields of `Edges`; each member is met clockwise on a drawing."""

    RIGHT = "right"
    START = "start"
    LEFT = "left"
    FAR = "far"


ROUND = tuple(Edge)
"""The edges as they follow each other clockwise on every drawing."""
UP_FROM_X_DEG = {Edge.RIGHT: -90.0, Edge.START: 0.0, Edge.LEFT: 90.0, Edge.FAR: 180.0}
"""Edge at the bottom → what is up on the drawing, clockwise from the pitch's x axis."""


class Facing(StrEnum):
    """What decides which way round a plan lies."""

    LYING = "lying"
    ENTRANCE = "entrance"
    NORTH = "north"


_chosen: ContextVar[Facing] = ContextVar("facing", default=Facing.LYING)


@contextmanager
def plans_facing(facing: Facing) -> Iterator[None]:
    """Draw plans one way round within the block."""
    token = _chosen.set(facing)
    try:
        yield
    finally:
        _chosen.reset(token)


def chosen_facing() -> Facing:
    """Return which way round plans are drawn now: lying unless somebody chose."""
    return _chosen.get()


def opposite(edge: Edge) -> Edge:
    """Return the edge across the pitch."""
    return ROUND[(ROUND.index(edge) + 2) % 4]


def facing_deg(frame: Frame, edge: Edge) -> float:
    """Return the bearing in which one looks from the middle of a pitch towards an edge."""
    return frame.bearing_deg + UP_FROM_X_DEG[opposite(edge)]


def edge_at_bottom(pitch: Pitch) -> Edge:
    """Return the edge that is at the bottom of a pitch's plan, by what was chosen.

    A pitch whose way in, or whose bearing, is not known lies as it does without a choice.
    """
    facing = chosen_facing()
    if facing is Facing.ENTRANCE and pitch.entrance is not None:
        return _edge_nearest(pitch, Point(pitch.entrance))
    if facing is Facing.NORTH and pitch.frame is not None:
        frame = pitch.frame
        return min(ROUND, key=lambda edge: angle_between_deg(facing_deg(frame, edge), 180.0))
    return Edge.RIGHT


def _edge_nearest(pitch: Pitch, there: Point) -> Edge:
    x0, y0, x1, y1 = pitch.polygon.bounds
    lines = {
        Edge.START: LineString([(x0, y0), (x0, y1)]),
        Edge.FAR: LineString([(x1, y0), (x1, y1)]),
        Edge.RIGHT: LineString([(x0, y0), (x1, y0)]),
        Edge.LEFT: LineString([(x0, y1), (x1, y1)]),
    }
    return min(lines, key=lambda edge: lines[edge].distance(there))
