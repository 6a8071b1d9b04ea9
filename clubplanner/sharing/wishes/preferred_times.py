"""Preferred times: lying wholly in a window that an ask likes, or at least on such a day."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.values.points import DAY_POINTS, TIME_POINTS
from clubplanner.sharing.values.problem import merge_ranges

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.values.problem import Ask


def time_points(ask: Ask, day: int, starts: NDArray[np.int64]) -> NDArray[np.int64]:
    """Score starts on a day by the ask's preferred windows, 0 to 40 points."""
    if not ask.preferred:
        return np.full(len(starts), TIME_POINTS, dtype=np.int64)
    ranges = [(w.start_min, w.end_min) for w in ask.preferred if w.day == day]
    points = np.full(len(starts), DAY_POINTS if ranges else 0, dtype=np.int64)
    for start, end in merge_ranges(ranges):
        points[(starts >= start) & (starts + ask.minutes <= end)] = TIME_POINTS
    return points
