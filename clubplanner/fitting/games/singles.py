"""Ground for one game that everybody is in: as large as the ground and the numbers allow."""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING, TypeAlias

from clubplanner.fitting.games.sizes import NARROWEST_M, most_m2_each
from clubplanner.fitting.outlines.known import fit_largest_again
from clubplanner.fitting.outlines.pieces import Piece
from clubplanner.fitting.packing.spans import sin_cos
from clubplanner.fitting.setting_out.laying import goals_at_ends, piece_at_goal

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.fitting.setting_out.laying import Layouts

_Place: TypeAlias = tuple[float, float]
FULL_GAME_M2 = 325.0
"""Ground for each outfield player beyond which a game is thinner than a full match.

A full game has 105 × 68 m for 22 players, goalkeepers counted: 325 m² each (Goto 2018, Football
Science 15, 18-25).
"""
USUAL_ASPECT = 1.5
"""Length over width: The FA's pitches lie between 1.33 (5v5) and 1.67 (11v11 for under 15s)."""
_ASPECTS_AT_GOAL = (1.5, 1.25, 1.0)
_BROADEST, _NARROWEST = 1.2, 2.2
"""Length over width of a game from goal to goal: within the Laws of the Game, Law 1."""
_WORTH_IT = 0.4
"""A game at a goal may have this part of the largest game's ground at least."""


def lay_largest(layouts: Layouts, outfield: int) -> Piece | None:
    """Find the ground for one game that everybody is in.

    Args:
        layouts: Of the ground.
        outfield: Outfield players in the game.

    Returns:
        The largest rectangle of a sensible shape, at a fixed goal, or from one to the other,
        where that does not cost too much ground; None when there is no room to play.
    """
    most_m2 = min(FULL_GAME_M2, most_m2_each(layouts.need) or math.inf) * outfield
    free = fit_largest_again(layouts.need.ground, aspect=USUAL_ASPECT)
    if free is None or free.width_m < NARROWEST_M:
        return None
    best = shrunk(free, most_m2)
    offers = [best, *_at_goals(layouts, most_m2)]
    worth = [piece for piece in offers if piece.area_m2 >= _WORTH_IT * best.area_m2]
    return max(worth, key=lambda piece: (len(goals_at_ends([piece], layouts.fixed)), piece.area_m2))


def shrunk(piece: Piece, most_m2: float) -> Piece:
    """Take ground off all round where there is too much, keeping shape and middle."""
    scale = min(1.0, math.sqrt(most_m2 / piece.area_m2))
    length, width = piece.length_m * scale, piece.width_m * scale
    sin, cos = sin_cos(piece.angle_deg)
    along, across = (piece.length_m - length) / 2, (piece.width_m - width) / 2
    x = piece.x_m + along * cos - across * sin
    y = piece.y_m + along * sin + across * cos
    return Piece(x, y, length, width, piece.angle_deg)


def _at_goals(layouts: Layouts, most_m2: float) -> Iterator[Piece]:
    stands = layouts.stands
    for place, axis_deg in stands:
        for aspect in _ASPECTS_AT_GOAL:
            piece = _grown(layouts, place, axis_deg, aspect, math.sqrt(most_m2 * aspect))
            if piece is not None:
                yield piece
    for (place, axis_deg), (other, _) in itertools.permutations(stands, 2):
        between = _goal_to_goal(layouts, place, axis_deg, other, most_m2)
        if between is not None:
            yield between


def _grown(
    layouts: Layouts, place: _Place, axis_deg: float, aspect: float, longest_m: float
) -> Piece | None:
    """Grow a game of one shape from a goal into the ground."""
    whole = piece_at_goal(place, axis_deg, (longest_m, longest_m / aspect))
    if layouts.covers([whole]):
        return whole
    low, high = 0.0, longest_m
    for _ in range(14):
        length = (low + high) / 2
        if layouts.covers([piece_at_goal(place, axis_deg, (length, length / aspect))]):
            low = length
        else:
            high = length
    if low / aspect < NARROWEST_M:
        return None
    return piece_at_goal(place, axis_deg, (low, low / aspect))


def _goal_to_goal(
    layouts: Layouts, place: _Place, inward_deg: float, other: _Place, most_m2: float
) -> Piece | None:
    """Lay a game from one goal to one that faces it."""
    length = math.dist(place, other)
    axis_deg = math.degrees(math.atan2(other[1] - place[1], other[0] - place[0]))
    is_facing = abs((axis_deg - inward_deg + 180.0) % 360.0 - 180.0) <= 10.0
    if length < NARROWEST_M or not is_facing:
        return None
    width = min(most_m2 / length, length / _BROADEST)
    for part in (1.0, 0.9, 0.8, 0.7, 0.6):
        piece = piece_at_goal(place, axis_deg, (length, width * part))
        if width * part >= length / _NARROWEST and layouts.covers([piece]):
            return piece
    return None
