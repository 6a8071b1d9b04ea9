"""Graded wishes: days, times, venues and ground that an ask would like, by how much it matters."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.terrain import once
from clubplanner.sharing.values.points import WISH_POINTS
from clubplanner.sharing.values.problem import merge_ranges

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Ask, Ground
    from clubplanner.sharing.values.wants import Wish


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
        points[np.ix_(_liked(terrain, wish), when)] += WISH_POINTS * wish.grade // total
    return points


@once
def _known_liked(_terrain: Terrain) -> dict[Wish, NDArray[np.bool_]]:
    return {}


def _liked(terrain: Terrain, wish: Wish) -> NDArray[np.bool_]:
    """Mark the grounds that meet what a wish says of venue and ground."""
    known, grounds = _known_liked(terrain), terrain.problem.grounds
    if wish not in known:
        liked = [ground for ground in grounds if ground.key in wish.grounds]
        known[wish] = np.array([_is_liked(ground, wish, liked) for ground in grounds], dtype=bool)
    return known[wish]


def _is_liked(ground: Ground, wish: Wish, liked: Sequence[Ground]) -> bool:
    """Whether a ground meets what a wish says of venue and ground."""
    if wish.venues and ground.venue not in wish.venues:
        return False
    return not wish.grounds or any(
        ground.pitch == other.pitch and ground.cells & ~other.cells == 0 for other in liked
    )
