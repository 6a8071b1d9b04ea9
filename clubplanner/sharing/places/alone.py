"""What each ask could have with the whole club to itself."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.rules.people.evenings_in_a_row import rows_of

if TYPE_CHECKING:
    from collections.abc import Collection

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain


def best_alone(terrain: Terrain, candidates: Candidates) -> NDArray[np.int64]:
    """Compute for each ask the wish points it could have with the whole club to itself.

    The best of each day, then the best days that leave enough rest between them and are not too
    many in a row: exact for an ask by itself but for load limits, which are not looked at for its
    sessions together. For a squad with several asks the sum is an upper bound, for its asks may
    want the same hour.
    """
    problem = terrain.problem
    best = np.zeros((len(problem.asks), max(1, len(problem.days))), dtype=np.int64)
    np.maximum.at(best, (candidates.ask, candidates.day), candidates.score)
    return np.array(
        [
            best_days(
                best[n], ask.sessions, terrain.apart, ask.rest_days, rows_of(terrain, ask.squad)
            )
            for n, ask in enumerate(problem.asks)
        ],
        dtype=np.int64,
    )


def best_days(
    worth: NDArray[np.int64],
    sessions: int,
    apart: NDArray[np.int64],
    rest_days: int,
    too_long: Collection[frozenset[int]] = (),
) -> int:
    """Add up the best days with enough rest between them and not too many in a row.

    Args:
        worth: What each day is worth; 0 for one that cannot be had.
        sessions: How many days at most.
        apart: From `Terrain`.
        rest_days: Days that must lie between two.
        too_long: Sets of days not all of which may be taken.
    """
    if not any(len(row) <= sessions for row in too_long) and (rest_days == 0 or sessions == 1):
        return int(np.sort(worth)[::-1][:sessions].sum())
    order = [int(day) for day in np.argsort(-worth, kind="stable") if worth[day] > 0]
    best = 0
    stack: list[tuple[int, int, tuple[int, ...]]] = [(0, 0, ())]
    while stack:
        place, total, days = stack.pop()
        best = max(best, total)
        left = sessions - len(days)
        more = sum(int(worth[day]) for day in order[place : place + left])
        if left == 0 or place == len(order) or total + more <= best:
            continue
        day = order[place]
        stack.append((place + 1, total, days))
        is_rested = all(apart[day, other] > rest_days for other in days)
        if is_rested and not any(row <= {*days, day} for row in too_long):
            stack.append((place + 1, total + int(worth[day]), (*days, day)))
    return best
