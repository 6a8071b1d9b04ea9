"""Candidates merged where only the choice among equal parts of a pitch tells them apart."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.cliques import WHOLE, pitch_weights
from clubplanner.sharing.ground.slots import Slots
from clubplanner.sharing.rules.ground.load import limited_pitches

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain


def merge(
    terrain: Terrain, candidates: Candidates, weights: NDArray[np.int64] | None = None
) -> Slots:
    """Merge candidates of one ask, time and pitch whose grounds are equal shares with equal points.

    Ground with a price of its own is merged with none.

    Args:
        terrain: The problem's columns.
        candidates: All candidates.
        weights: From `ground_weights`, where they are known.

    Returns:
        The slots, in order of their first candidate.
    """
    grounds = terrain.problem.grounds
    priced = {price.ground for price in terrain.problem.prices}
    kinds = [
        n + 1000 if ground.share is None or ground.key in priced else ground.share
        for n, ground in enumerate(grounds)
    ]
    limited = limited_pitches(terrain)
    groups: dict[tuple[int, ...], list[int]] = {}
    columns = zip(
        candidates.ask.tolist(),
        candidates.day.tolist(),
        candidates.start.tolist(),
        candidates.ground.tolist(),
        candidates.score.tolist(),
        candidates.session.tolist(),
        candidates.lost.tolist(),
        strict=True,
    )
    for row, (ask, day, start, ground, score, session, lost) in enumerate(columns):
        pitch = int(terrain.pitch[ground])
        own_lost = lost if pitch in limited else 0  # the weeks it wears the pitch in
        key = (ask, day, start, pitch, kinds[ground], score, session, own_lost)
        groups.setdefault(key, []).append(row)
    firsts = np.array([rows[0] for rows in groups.values()], dtype=np.int64)
    first = candidates.take(firsts)
    return Slots(
        rows=tuple(tuple(rows) for rows in groups.values()),
        grounds=tuple(
            tuple(int(ground) for ground in candidates.ground[rows]) for rows in groups.values()
        ),
        ask=first.ask,
        pitch=terrain.pitch[first.ground],
        day=first.day,
        start=first.start,
        end=first.end,
        score=first.score,
        weight=(ground_weights(terrain) if weights is None else weights)[first.ground],
        is_pinned=first.session >= 0,
    )


def ground_weights(terrain: Terrain) -> NDArray[np.int64]:
    """Weigh every ground as a part of its pitch, of `WHOLE`."""
    weights = np.zeros(len(terrain.problem.grounds), dtype=np.int64)
    for pitch in range(len(terrain.pitches)):
        here = np.flatnonzero(terrain.pitch == pitch)
        weights[here] = pitch_weights(
            [int(terrain.cells[n]) for n in here],
            [terrain.problem.grounds[n].share for n in here],
            [float(terrain.share_of_pitch[n]) for n in here],
        )
    return np.minimum(weights, WHOLE)
