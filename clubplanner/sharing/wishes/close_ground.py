"""Close ground: no more ground than is asked for, so that the rest is left to others."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.values.points import CLOSE_POINTS

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Ask


def ground_points(terrain: Terrain, ask: Ask) -> NDArray[np.int64]:
    """Score each ground by how close its size is to what is asked for, 0 to 10 points."""
    needed = np.maximum(ask.least_m2, ask.least_share * terrain.area_m2 / terrain.share_of_pitch)
    ratio = np.minimum(1.0, needed / terrain.area_m2)
    return np.floor(CLOSE_POINTS * ratio + 0.05).astype(np.int64)
