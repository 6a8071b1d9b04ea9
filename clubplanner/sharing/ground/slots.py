"""Slots: candidates merged where only the choice among equal parts of a pitch tells them apart."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


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
