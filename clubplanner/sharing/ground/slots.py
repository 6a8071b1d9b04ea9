"""Candidates merged where only the choice among equal parts of a pitch tells them apart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.cliques import WHOLE, pitch_weights

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain


@dataclass(frozen=True, slots=True)
class Slots:
    """Merged candidates, one a row; each becomes one variable of the model.

    Attributes:
        rows: For each slot the candidates it stands for, one a ground.
        grounds: For each slot the numbers of those grounds, in the same order.
        ask: Number of the ask.
        pitch: Number of the pitch.
        day: Index of the day.
        start: First minute.
        end: Minute after the last.
        score: Wish points.
        weight: What it takes of its pitch, of `WHOLE`.
        is_pinned: Whether it must be in the plan.
    """

    rows: tuple[tuple[int, ...], ...]
    grounds: tuple[tuple[int, ...], ...]
    ask: NDArray[np.int64]
    pitch: NDArray[np.int64]
    day: NDArray[np.int64]
    start: NDArray[np.int64]
    end: NDArray[np.int64]
    score: NDArray[np.int64]
    weight: NDArray[np.int64]
    is_pinned: NDArray[np.bool_]

    def __len__(self) -> int:
        """Count the slots."""
        return len(self.rows)

    def by_pitch_and_day(self) -> dict[tuple[int, int], list[int]]:
        """Gather slot numbers by pitch and day."""
        gathered: dict[tuple[int, int], list[int]] = {}
        for slot, (pitch, day) in enumerate(zip(self.pitch.tolist(), self.day.tolist())):  # noqa: B905
            gathered.setdefault((pitch, day), []).append(slot)
        return gathered


def merge(
    terrain: Terrain, candidates: Candidates, weights: NDArray[np.int64] | None = None
) -> Slots:
    """Merge candidates of one ask, time and pitch whose grounds are equal shares with equal points.

    Args:
        terrain: The problem's columns.
        candidates: All candidates.
        weights: From `ground_weights`, where they are known.

    Returns:
        The slots, in order of their first candidate.
    """
    grounds = terrain.problem.grounds
    kinds = [n + 1000 if g.share is None else g.share for n, g in enumerate(grounds)]
    limited = {limit.pitch for limit in terrain.wear.limits}
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
