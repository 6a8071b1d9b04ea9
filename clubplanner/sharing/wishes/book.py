"""The wishes about a single session, in one sum; those about two squads are of `two_squads`."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.values.points import PLACED_POINTS
from clubplanner.sharing.wishes.every_date import lost_points
from clubplanner.sharing.wishes.graded_wishes import wish_points
from clubplanner.sharing.wishes.preferred_times import time_points

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Stays
    from clubplanner.sharing.values.problem import Ask


def place_points(
    terrain: Terrain, ask: Ask, close: NDArray[np.int64], stays: Stays
) -> NDArray[np.int64]:
    """Score places for an ask by ground and start.

    Args:
        terrain: The problem's columns.
        ask: The ask.
        close: What `ground_points` gives for it.
        stays: The places.
    """
    dates = len(terrain.problem.days[stays.day].dates)
    points = PLACED_POINTS + close[:, None] + time_points(ask, stays.day, stays.starts)[None, :]
    points = points + wish_points(terrain, ask, stays.day, stays.starts)
    return points - lost_points(stays.lost, dates)
