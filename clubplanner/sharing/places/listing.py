"""Every place and time that passes the static rules, as flat columns.

Places that cannot do any good are left out: where a smaller ground lies wholly within a larger one
and serves as well, the larger one takes ground from others for nothing.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.candidates import Candidates, join
from clubplanner.sharing.places.placements import row_of
from clubplanner.sharing.rules.book import broken_by_ask, broken_on_ground, look_at
from clubplanner.sharing.rules.times.asked_times import possible_starts
from clubplanner.sharing.wishes.book import place_points
from clubplanner.sharing.wishes.close_ground import ground_points

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.places.placements import Known
    from clubplanner.sharing.values.problem import Ask


def list_candidates(terrain: Terrain, *, keep_all: bool = False) -> Candidates:
    """List the candidates of all asks.

    Args:
        terrain: The problem's columns.
        keep_all: Whether to keep the larger grounds that a smaller one within makes needless.

    Returns:
        Rows in order of ask, day, ground and start; the pinned ones of an ask after its others.
    """
    parts: list[Candidates] = []
    known: Known = {}
    for number, ask in enumerate(terrain.problem.asks):
        parts.append(ask_candidates(terrain, ask, number, keep_all=keep_all, known=known))
        parts += [row_of(terrain, ask, number, pin, {}) for pin in ask.pinned]
    return join(parts)


def ask_candidates(
    terrain: Terrain,
    ask: Ask,
    number: int,
    *,
    keep_all: bool = False,
    known: Known | None = None,
) -> Candidates:
    """List the candidates of one ask that are not pinned; the ask need not be the problem's own.

    Args:
        terrain: The problem's columns.
        ask: The ask.
        number: Which of the problem's asks it stands for.
        keep_all: Whether to keep needlessly large grounds.
        known: What `look_at` gave for other asks; gets what it gives for this one.
    """
    known = {} if known is None else known
    barred = broken_on_ground(terrain, ask)
    close = ground_points(terrain, ask)
    parts: list[Candidates] = []
    for day in terrain.problem.days:
        starts = possible_starts(terrain.problem, ask, day.index)
        if not len(starts):
            continue
        key = ask.minutes, day.index, starts.tobytes()
        if key not in known:
            known[key] = look_at(terrain, ask.minutes, day.index, starts)
        stays, broken = known[key]
        bits = broken | broken_by_ask(terrain, ask, stays)
        free = (bits | barred[:, None]) == 0
        score = place_points(terrain, ask, close, stays)
        if not keep_all:
            free &= ~_needless(terrain, free, score)
        ground, place = np.nonzero(free)
        parts.append(
            Candidates(
                ask=np.full(len(ground), number, dtype=np.int64),
                ground=ground.astype(np.int64),
                day=np.full(len(ground), day.index, dtype=np.int64),
                start=stays.starts[place],
                end=stays.ends[place],
                score=score[ground, place],
                lost=stays.lost[ground, place],
                session=np.full(len(ground), -1, dtype=np.int64),
            )
        )
    return join(parts)


def _needless(
    terrain: Terrain, free: NDArray[np.bool_], score: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Mark places that another one within them makes needless."""
    needless = np.zeros_like(free)
    cells = terrain.cells
    usable: NDArray[np.bool_] = np.any(free, axis=1)
    small, big = terrain.nested[usable[terrain.nested].all(axis=1)].T
    first = (cells[small] != cells[big]) | (small < big)
    better = score[small] > score[big]
    better |= first[:, None] & (score[small] == score[big])
    np.logical_or.at(needless, big, free[small] & better)
    return needless
