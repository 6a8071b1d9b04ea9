"""Choosing as many places as possible of which no two are in each other's way.

A choice is improved by exchange: take one place out and put two in, as long as that works
anywhere. Source of the move: D. V. Andrade, M. G. C. Resende and R. F. Werneck, "Fast local
search for the maximum independent set problem", Journal of Heuristics 18 (2012) 525-547 (from
memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.fitting.packing.spans import TOUCH_M

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

_MOST_MOVES = 200


def choose_places(
    spots: Sequence[tuple[float, float, bool]],
    start: Sequence[tuple[float, float, bool]],
    size_m: tuple[float, float],
    gap_m: float,
) -> list[tuple[float, float, bool]]:
    """Choose as many spots as can be found that keep the gap from each other.

    Args:
        spots: Lower left corner of each, and whether its length lies along y; all on the ground.
        start: A choice already known, among the spots.
        size_m: Length and width of a piece.
        gap_m: Distance between any two, along one of their sides.

    Returns:
        The larger of two improved choices: one grown from `start`, one from nothing.
    """
    pool = list(dict.fromkeys(spots))
    if not pool:
        return []
    clashes = _clashes(pool, size_m, gap_m)
    known = set(start)
    first = np.fromiter((spot in known for spot in pool), dtype=bool, count=len(pool))
    choices = [_improve(clashes, first), _improve(clashes, _grow(clashes))]
    best = max(choices, key=lambda chosen: int(chosen.sum()))
    return [pool[int(n)] for n in np.flatnonzero(best)]


def _clashes(
    pool: Sequence[tuple[float, float, bool]], size_m: tuple[float, float], gap_m: float
) -> NDArray[np.bool_]:
    x = np.array([spot[0] for spot in pool])
    y = np.array([spot[1] for spot in pool])
    standing = np.array([spot[2] for spot in pool])
    far_x = x + np.where(standing, size_m[1], size_m[0]) + gap_m - TOUCH_M
    far_y = y + np.where(standing, size_m[0], size_m[1]) + gap_m - TOUCH_M
    meets_x = (x[:, None] < far_x[None, :]) & (x[None, :] < far_x[:, None])
    meets_y = (y[:, None] < far_y[None, :]) & (y[None, :] < far_y[:, None])
    clashes: NDArray[np.bool_] = meets_x & meets_y
    np.fill_diagonal(clashes, val=False)
    return clashes


def _grow(clashes: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Choose the place that is in the way of the fewest others, again and again."""
    size = len(clashes)
    chosen = np.zeros(size, dtype=bool)
    is_open = np.ones(size, dtype=bool)
    degree = clashes.sum(axis=1)
    while is_open.any():
        pick = int(np.where(is_open, degree, size + 1).argmin())
        chosen[pick] = True
        closed = (clashes[pick] & is_open) | (np.arange(size) == pick)
        is_open &= ~closed
        degree = degree - clashes[:, closed].sum(axis=1)
    return chosen


def _improve(clashes: NDArray[np.bool_], chosen: NDArray[np.bool_]) -> NDArray[np.bool_]:
    chosen = chosen.copy()
    for _ in range(_MOST_MOVES):
        tight = clashes[:, chosen].sum(axis=1)
        free = np.flatnonzero((tight == 0) & ~chosen)
        if free.size:
            chosen[free[0]] = True
            continue
        move = _find_exchange(clashes, chosen, tight)
        if move is None:
            break
        out, one, other = move
        chosen[out] = False
        chosen[[one, other]] = True
    return chosen


def _find_exchange(
    clashes: NDArray[np.bool_], chosen: NDArray[np.bool_], tight: NDArray[np.int64]
) -> tuple[int, int, int] | None:
    """Find a chosen place whose only followers hold two that do not clash."""
    lone = (tight == 1) & ~chosen
    for out in np.flatnonzero(chosen):
        followers = np.flatnonzero(lone & clashes[out])
        if followers.size < 2:
            continue
        apart = ~clashes[np.ix_(followers, followers)]
        np.fill_diagonal(apart, val=False)
        if apart.any():
            one, other = np.argwhere(apart)[0]
            return int(out), int(followers[one]), int(followers[other])
    return None
