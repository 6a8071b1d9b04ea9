"""Rectangles looked at from their own corner, so that an answer does not hang on how they lie.

The same rectangle with the same goals gets the same ways in the same order however it is turned:
the question is asked of a rectangle that lies along x from (0, 0), and its answer turned back.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import shapely

from clubplanner.fitting.outlines.pieces import Piece
from clubplanner.fitting.packing.spans import rectangle_frame, sin_cos

if TYPE_CHECKING:
    from clubplanner.fitting.setting_out.ways import GoalSpot, SessionNeed


_SQUARE_M = 5e-3
"""Sides nearer than this are equal; to the eye, and to corners rounded to millimetres."""


@dataclass(frozen=True, slots=True)
class Standpoint:
    """A corner and a direction to look from.

    Attributes:
        x_m: The corner.
        y_m: The corner.
        angle_deg: Direction of the x axis seen from there, degrees counter-clockwise.
    """

    x_m: float = 0.0
    y_m: float = 0.0
    angle_deg: float = 0.0

    def seen(self, goal: GoalSpot) -> GoalSpot:
        """Return where a goal stands, seen from here."""
        sin, cos = sin_cos(self.angle_deg)
        dx, dy = goal.x_m - self.x_m, goal.y_m - self.y_m
        return replace(goal, x_m=round(dx * cos + dy * sin, 6), y_m=round(dy * cos - dx * sin, 6))

    def on_ground(self, piece: Piece) -> Piece:
        """Return where a piece seen from here lies."""
        sin, cos = sin_cos(self.angle_deg)
        return replace(
            piece,
            x_m=self.x_m + piece.x_m * cos - piece.y_m * sin,
            y_m=self.y_m + piece.x_m * sin + piece.y_m * cos,
            angle_deg=self.angle_deg + piece.angle_deg,
        )


def straighten(need: SessionNeed) -> tuple[SessionNeed, Standpoint]:
    """Ask the same of a rectangle that lies along x from (0, 0).

    Of its corners one with the longer side along x is taken, and of these the one from which the
    goals are nearest.

    Args:
        need: The coach's question.

    Returns:
        The question, and from where it is seen; as it was where the ground is no rectangle.
    """
    frame = rectangle_frame(need.ground)
    if frame is None:
        return need, Standpoint()
    x, y, angle_deg, length, width = frame
    length, width = round(length, 6), round(width, 6)
    whole = Piece(x, y, length, width, angle_deg)
    offers = [
        Standpoint(*corner, angle_deg + 90.0 * quarter)
        for quarter, corner in enumerate(whole.corners)
        if (length >= width) == (quarter % 2 == 0) or abs(length - width) < _SQUARE_M
    ]
    best = min(offers, key=lambda offer: _places(offer, need.goals))
    ground = shapely.box(0, 0, max(length, width), min(length, width))
    return replace(need, ground=ground, goals=tuple(map(best.seen, need.goals))), best


def _places(standpoint: Standpoint, goals: tuple[GoalSpot, ...]) -> list[tuple[float, float]]:
    seen = (standpoint.seen(goal) for goal in goals)
    return sorted((round(goal.x_m, 1), round(goal.y_m, 1)) for goal in seen)
