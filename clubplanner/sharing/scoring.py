"""How well a place serves an ask, in wish points.

A session is worth at most 100 points: 50 for having a place at all, 40 for its time and 10 for
ground that is not much larger than asked for; up to 40 are taken off for dates that are lost.
The weights are the project's own choice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.problem import merge_ranges

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.problem import Ask
    from clubplanner.sharing.terrain import Terrain

PLACED_POINTS = 50
TIME_POINTS = 40
"""For lying wholly in a preferred window, or when none is named."""
DAY_POINTS = 20
"""For a day with a preferred window, at another time."""
CLOSE_POINTS = 10
"""For ground no larger than asked for; twice as large gets half, and so on."""
LOST_POINTS = 40
"""Taken off when every date is lost; in proportion for some, rounded against the place."""

SESSION_POINTS = 5
"""For each session placed, times the ask's priority."""
FIRST_POINTS = 2
"""More for a squad's first: one first counts more than one further session and less than two."""
THRESHOLDS = ((60, 2), (80, 1))
"""Percent of satisfaction below which each percent point counts, and how much."""
FLOOR_POINTS = 5
"""What each percent point counts that the worst-off squad is short of full satisfaction."""


def time_points(ask: Ask, day: int, starts: NDArray[np.int64]) -> NDArray[np.int64]:
    """Score starts on a day by the ask's preferred windows, 0 to 40 points."""
    if not ask.preferred:
        return np.full(len(starts), TIME_POINTS, dtype=np.int64)
    ranges = [(w.start_min, w.end_min) for w in ask.preferred if w.day == day]
    points = np.full(len(starts), DAY_POINTS if ranges else 0, dtype=np.int64)
    for start, end in merge_ranges(ranges):
        points[(starts >= start) & (starts + ask.minutes <= end)] = TIME_POINTS
    return points


def ground_points(terrain: Terrain, ask: Ask) -> NDArray[np.int64]:
    """Score each ground by how close its size is to what is asked for, 0 to 10 points."""
    needed = np.maximum(ask.least_m2, ask.least_share * terrain.area_m2 / terrain.share_of_pitch)
    ratio = np.minimum(1.0, needed / terrain.area_m2)
    return np.floor(CLOSE_POINTS * ratio + 0.05).astype(np.int64)


def lost_points(lost: NDArray[np.uint64], dates: int) -> NDArray[np.int64]:
    """Count the points taken off for dates that are lost, given as bit masks."""
    gone = np.bitwise_count(lost).astype(np.int64)
    return -(-LOST_POINTS * gone // max(1, dates))
