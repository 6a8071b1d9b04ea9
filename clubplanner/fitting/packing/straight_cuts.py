"""Layouts of equal boxes that straight cuts alone make, the best of all of them.

Every block whose sides are sums of box sides is solved once, smaller ones first, by cutting it in
two along or across at every place a row of boxes can end. It finds what a search cut off by its
steps misses where there are very many boxes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.fitting.packing.bounds import combinations

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.fitting.packing.blocks import Box

MOST_BLOCKS = 20_000
"""Beyond so many blocks it takes longer than the layout is worth; they are some 100 ms."""


@dataclass(slots=True)
class StraightCuts:
    """The table of one question.

    Attributes:
        box: Length and width of a box.
        xs: Sums of box sides along x, from 0.
        ys: The same along y.
        counts: For each block the most boxes.
        cuts: How: 0 for equal rows, a place in `xs` for a cut across x, or less than 0 for the
            place in `ys` of a cut across y.
    """

    box: tuple[int, int]
    xs: NDArray[np.int64]
    ys: NDArray[np.int64]
    counts: NDArray[np.int64]
    cuts: NDArray[np.int64]

    @classmethod
    def of(cls, ground: tuple[int, int], box: tuple[int, int]) -> StraightCuts:
        """Solve every block of a ground."""
        xs, ys = (np.asarray(combinations(side, *box), dtype=np.int64) for side in ground)
        shape = (len(xs), len(ys))
        table = cls(box, xs, ys, np.zeros(shape, np.int64), np.zeros(shape, np.int64))
        for number in range(1, len(xs)):
            table._solve(number)
        return table

    def _solve(self, number: int) -> None:
        """Solve all blocks of one extent along x; those of smaller extent are known."""
        x, (length, width) = int(self.xs[number]), self.box
        lying = (x // length) * (self.ys // width)
        best = np.maximum(lying, (x // width) * (self.ys // length))
        cut = np.zeros(len(self.ys), np.int64)
        near = np.arange(1, int(np.searchsorted(self.xs, x // 2, side="right")))
        if near.size:
            far = np.searchsorted(self.xs, x - self.xs[near], side="right") - 1
            sums = self.counts[near] + self.counts[far]
            place = sums.argmax(axis=0)
            most = sums[place, np.arange(len(self.ys))]
            cut = np.where(most > best, near[place], cut)
            best = np.maximum(best, most)
        for place in range(1, len(self.ys)):
            y = int(self.ys[place])
            low = np.arange(1, int(np.searchsorted(self.ys, y // 2, side="right")))
            if low.size == 0:
                continue
            high = np.searchsorted(self.ys, y - self.ys[low], side="right") - 1
            halves = best[low] + best[high]
            pick = int(halves.argmax())
            if halves[pick] > best[place]:
                best[place], cut[place] = halves[pick], -low[pick]
        self.counts[number], self.cuts[number] = best, cut

    def boxes(self, column: int, row: int, x: int = 0, y: int = 0) -> list[Box]:
        """Write out the layout of a block from its lower left corner."""
        if self.counts[column, row] == 0:
            return []
        cut = int(self.cuts[column, row])
        wide, tall = int(self.xs[column]), int(self.ys[row])
        if cut > 0:
            step = int(self.xs[cut])
            other = int(np.searchsorted(self.xs, wide - step, side="right")) - 1
            return [*self.boxes(cut, row, x, y), *self.boxes(other, row, x + step, y)]
        if cut < 0:
            step = int(self.ys[-cut])
            other = int(np.searchsorted(self.ys, tall - step, side="right")) - 1
            return [*self.boxes(column, -cut, x, y), *self.boxes(column, other, x, y + step)]
        length, width = self.box
        is_standing = (wide // width) * (tall // length) > (wide // length) * (tall // width)
        step_x, step_y = (width, length) if is_standing else (length, width)
        return [
            (x + across * step_x, y + up * step_y, is_standing)
            for up in range(tall // step_y)
            for across in range(wide // step_x)
        ]


def pack_straight(ground: tuple[int, int], box: tuple[int, int], most_blocks: int) -> list[Box]:
    """Lay boxes by straight cuts.

    Args:
        ground: Sides along x and y, units.
        box: Length and width of a box, the longer first.
        most_blocks: How many blocks may be looked at; more than `MOST_BLOCKS` never are.

    Returns:
        The best such layout; empty where there are more blocks than that.
    """
    sizes = [len(combinations(side, *box)) for side in ground]
    if sizes[0] * sizes[1] > min(most_blocks, MOST_BLOCKS):
        return []
    table = StraightCuts.of(ground, box)
    return table.boxes(len(table.xs) - 1, len(table.ys) - 1)
