"""Every date: a weekly place loses none of its dates to standing bookings."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.values.points import LOST_POINTS

if TYPE_CHECKING:
    from numpy.typing import NDArray


def lost_points(lost: NDArray[np.uint64], dates: int) -> NDArray[np.int64]:
    """Count the points taken off for dates that are lost, given as bit masks."""
    gone = np.bitwise_count(lost).astype(np.int64)
    return -(-LOST_POINTS * gone // max(1, dates))
