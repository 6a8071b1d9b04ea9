"""Places and times for sessions, as flat columns."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Candidates:
    """Places for sessions, one a row.

    Attributes:
        ask: Number of the ask.
        ground: Number of the ground.
        day: Index of the day.
        start: First minute.
        end: Minute after the last.
        score: Wish points.
        lost: Dates lost, a bit mask over the day's list of dates.
        session: The session's number where the row is pinned, -1 elsewhere.
    """

    ask: NDArray[np.int64]
    ground: NDArray[np.int64]
    day: NDArray[np.int64]
    start: NDArray[np.int64]
    end: NDArray[np.int64]
    score: NDArray[np.int64]
    lost: NDArray[np.uint64]
    session: NDArray[np.int64]

    def __len__(self) -> int:
        """Count the rows."""
        return len(self.ask)

    def take(self, rows: NDArray[np.int64] | NDArray[np.bool_]) -> Candidates:
        """Return the chosen rows."""
        return Candidates(
            self.ask[rows],
            self.ground[rows],
            self.day[rows],
            self.start[rows],
            self.end[rows],
            self.score[rows],
            self.lost[rows],
            self.session[rows],
        )


def join(parts: Iterable[Candidates]) -> Candidates:
    """Put candidates one after the other."""
    known = list(parts)

    def column(name: str) -> NDArray[np.int64]:
        return np.concatenate([np.empty(0, np.int64), *(getattr(part, name) for part in known)])

    lost = np.concatenate([np.empty(0, np.uint64), *(part.lost for part in known)])
    return Candidates(
        column("ask"),
        column("ground"),
        column("day"),
        column("start"),
        column("end"),
        column("score"),
        lost,
        column("session"),
    )


def is_near(rows: Candidates, others: Candidates, gap_min: int) -> NDArray[np.bool_]:
    """Tell which rows are on at the same time as which others, or closer than a gap.

    Returns:
        Array of shape (len(rows), len(others)).
    """
    same_day = rows.day[:, None] == others.day[None, :]
    before = rows.start[:, None] < others.end[None, :] + gap_min
    after = others.start[None, :] < rows.end[:, None] + gap_min
    return np.asarray(same_day & before & after)
