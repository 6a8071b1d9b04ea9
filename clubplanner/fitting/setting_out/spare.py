"""What is left of the ground beside the games: room for a warm-up or a second coach."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely

from clubplanner.fitting.outlines.largest import fit_largest
from clubplanner.fitting.packing.spans import polygons_in

if TYPE_CHECKING:
    from collections.abc import Iterable

    from shapely import Polygon

    from clubplanner.fitting.outlines.pieces import Piece

LEAST_SIDE_M = 5.0
"""A strip narrower than this is no use for a warm-up (common practice, no source)."""


def spare_ground(ground: Polygon, games: Iterable[Piece], gap_m: float) -> Piece | None:
    """Find the largest rectangle beside the games.

    Args:
        ground: What the squad has, metres.
        games: What is played on.
        gap_m: Clear ground to keep from every game.

    Returns:
        The rectangle; None when none is as wide as `LEAST_SIDE_M`.
    """
    taken = [shapely.buffer(game.polygon, gap_m, join_style="mitre") for game in games]
    left = shapely.difference(ground, shapely.union_all(taken), grid_size=1e-3)
    offers = [fit_largest(part) for part in polygons_in(left) if part.area >= LEAST_SIDE_M**2]
    wide = [piece for piece in offers if piece is not None and piece.width_m >= LEAST_SIDE_M]
    return max(wide, key=lambda piece: piece.area_m2, default=None)
