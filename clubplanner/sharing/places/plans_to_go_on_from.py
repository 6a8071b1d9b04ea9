"""A plan that was found earlier, as rows to go on from."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.in_the_way import Index
from clubplanner.sharing.rules.book import too_many

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Placement


def rows_to_go_on_from(
    terrain: Terrain, candidates: Candidates, plan: Sequence[Placement]
) -> list[int]:
    """Find the candidates of an earlier plan; those that are none any more are left out.

    Args:
        terrain: The problem's columns.
        candidates: All candidates.
        plan: The plan, of this problem or of one much like it.

    Returns:
        Numbers of rows, pinned ones aside, none in another's way.
    """
    asks = {ask.key: n for n, ask in enumerate(terrain.problem.asks)}
    grounds = {ground.key: n for n, ground in enumerate(terrain.problem.grounds)}
    columns = zip(
        candidates.ask.tolist(),
        candidates.ground.tolist(),
        candidates.day.tolist(),
        candidates.start.tolist(),
        strict=True,
    )
    rows: dict[tuple[int | None, ...], int] = {
        place: row for row, place in enumerate(columns) if candidates.session[row] < 0
    }
    placed = ((asks.get(i.ask), grounds.get(i.ground), i.day, i.start_min) for i in plan)
    return sound_rows(terrain, candidates, [rows[at] for at in placed if at in rows])


def sound_rows(terrain: Terrain, candidates: Candidates, rows: Iterable[int]) -> list[int]:
    """Leave out what cannot be together, the later ones; nothing is in a pinned row's way.

    Args:
        terrain: The problem's columns.
        candidates: All candidates.
        rows: Numbers of rows, pinned ones aside.
    """
    index = Index(terrain, candidates)
    kept = np.flatnonzero(candidates.session >= 0).tolist()
    free = candidates.session < 0
    wanted = [ask.sessions for ask in terrain.problem.asks]
    for row in kept:
        wanted[candidates.ask[row]] -= 1
        free[index.in_the_way(row)] = False
    found: list[int] = []
    for one in rows:
        if not free[one] or wanted[candidates.ask[one]] <= 0:
            continue
        taken = candidates.take(np.array([*kept, *found], dtype=np.int64))
        if too_many(terrain, candidates.take(np.array([one], dtype=np.int64)), taken)[0]:
            continue
        found.append(one)
        wanted[candidates.ask[one]] -= 1
        free[index.in_the_way(one)] = False
    return found
