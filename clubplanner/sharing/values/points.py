"""How well a place serves an ask, in wish points.

A session is worth at most 100 points: 50 for having a place at all, 40 for its time and 10 for
ground that is not much larger than asked for; up to 40 are taken off for dates that are lost.
An ask with graded wishes can have up to 30 more, split among them by grade, so that naming many
gains nothing over naming one. The weights are the project's own choice.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.values.problem import merge_ranges

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Ask, Ground
    from clubplanner.sharing.values.wants import Wish

PLACED_POINTS = 50
TIME_POINTS = 40
"""For lying wholly in a preferred window, or when none is named."""
DAY_POINTS = 20
"""For a day with a preferred window, at another time."""
CLOSE_POINTS = 10
"""For ground no larger than asked for; twice as large gets half, and so on."""
LOST_POINTS = 40
"""Taken off when every date is lost; in proportion for some, rounded against the place."""

WISH_POINTS = 30
"""For keeping all graded wishes of the ask; each one's part is by its grade, rounded down."""
PAIR_POINTS = {1: 5, 2: 10, 3: 20}
"""For each session that keeps a wish about two squads, by its grade; taken off where it breaks a
wish to keep apart."""

SESSION_POINTS = 5
"""For each session placed, times the ask's priority."""
FIRST_POINTS = 2
"""More for a squad's first: one first counts more than one further session and less than two."""
THRESHOLDS = ((60, 2), (80, 1))
"""Percent of satisfaction below which each percent point counts, and how much."""


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


def wish_points(
    terrain: Terrain, ask: Ask, day: int, starts: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Score the graded wishes that a session keeps, by ground and start."""
    grounds = terrain.problem.grounds
    points = np.zeros((len(grounds), len(starts)), dtype=np.int64)
    total = sum(wish.grade for wish in ask.wishes)
    for wish in ask.wishes:
        if wish.days and day not in wish.days:
            continue
        when = np.full(len(starts), not wish.windows)
        ranges = [(w.start_min, w.end_min) for w in wish.windows if w.day == day]
        for start, end in merge_ranges(ranges):
            when |= (starts >= start) & (starts + ask.minutes <= end)
        liked = [ground for ground in grounds if ground.key in wish.grounds]
        where = np.array([_is_liked(ground, wish, liked) for ground in grounds], dtype=bool)
        points[np.ix_(where, when)] += WISH_POINTS * wish.grade // total
    return points


def _is_liked(ground: Ground, wish: Wish, liked: Sequence[Ground]) -> bool:
    """Whether a ground meets what a wish says of venue and ground."""
    if wish.venues and ground.venue not in wish.venues:
        return False
    return not wish.grounds or any(
        ground.pitch == other.pitch and ground.cells & ~other.cells == 0 for other in liked
    )
