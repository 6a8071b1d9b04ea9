"""Many stretches of time at once: joined, and how much of others lies within them.

Instants are whole seconds since 1970 (UTC) in arrays of 64-bit integers, so that sums are exact in
whatever order they are made. Every stretch is half-open.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    Seconds = NDArray[np.int64]


@dataclass(frozen=True, slots=True, eq=False)
class Spans:
    """Stretches of time that do not overlap, in order; made by `join_spans`.

    Attributes:
        starts: First seconds, rising.
        ends: Seconds at which each is over, none later than the next one's start.
    """

    starts: Seconds
    ends: Seconds
    _passed: Seconds = field(init=False)

    def __post_init__(self) -> None:
        passed = np.concatenate(([0], np.cumsum(self.ends - self.starts)))
        object.__setattr__(self, "_passed", passed.astype(np.int64))

    @property
    def seconds(self) -> int:
        """How long they are together."""
        return int(self._passed[-1])

    def before(self, instants: Seconds) -> Seconds:
        """Return how many of their seconds lie before each instant."""
        if not len(self.starts):
            return np.zeros(len(instants), dtype=np.int64)
        begun = np.searchsorted(self.starts, instants, side="right")
        running = np.maximum(self.ends[np.maximum(begun - 1, 0)] - instants, 0)
        return self._passed[begun] - np.where(begun > 0, running, 0)

    def within(self, starts: Seconds, ends: Seconds) -> Seconds:
        """Return how many of their seconds lie in each of other stretches.

        Args:
            starts: Where these begin.
            ends: Where they are over, none before it begins.
        """
        return self.before(ends) - self.before(starts)


def join_spans(starts: Seconds, ends: Seconds) -> Spans:
    """Join stretches that overlap or touch; those in which nothing is left are dropped.

    Args:
        starts: Where they begin, in any order.
        ends: Where they are over.
    """
    is_left = ends > starts
    starts, ends = starts[is_left], ends[is_left]
    if not len(starts):
        return Spans(starts, ends)
    order = np.argsort(starts, kind="stable")
    starts, reach = starts[order], np.maximum.accumulate(ends[order])
    is_new = np.concatenate(([True], starts[1:] > reach[:-1]))
    is_last = np.concatenate((is_new[1:], [True]))
    return Spans(starts[is_new], reach[is_last])


def spans_of(pairs: Iterable[tuple[int, int]]) -> Spans:
    """Join stretches given as pairs of seconds."""
    table = np.array(list(pairs), dtype=np.int64).reshape(-1, 2)
    return join_spans(table[:, 0], table[:, 1])
