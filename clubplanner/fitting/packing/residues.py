"""Where ground may stay empty, told by remainders.

Count the unit squares of a region by (x modulo l, y modulo l). A lying box of l × w covers all
remainders of x alike, so its table of counts depends on y alone; that of a standing box depends
on x alone. What boxes leave empty therefore has the region's own table, up to a number for each
row and one for each column of it, whatever the layout. The same holds modulo w. So ground can be
left empty in few ways only, and picking one entry from each row and column bounds how much.

The argument stands by itself; it generalises F. W. Barnes, Discrete Mathematics 26 (1979) 93-100
(from memory) from rectangles to any region, and from diagonals to other picks.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import permutations
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable

    from numpy.typing import NDArray

    _Table: TypeAlias = NDArray[np.int64]

_ALL_ORDERS = 5


@dataclass(slots=True)
class Residues:
    """Tables of what must stay empty, modulo one side of the box; each has a number.

    Attributes:
        modulus: The side, 1 or more.
        tables: Each table, less its first row and column.
        numbers: The number of each table.
        leasts: For each table the least ground that stays empty.
        moves: For each table and each patch left empty the number of the next table.
    """

    modulus: int
    tables: list[_Table] = field(default_factory=list)
    numbers: dict[bytes, int] = field(default_factory=dict)
    leasts: list[int] = field(default_factory=list)
    moves: dict[tuple[int, int, int, int, int], int] = field(default_factory=dict)

    def start(self, patches: Iterable[tuple[tuple[int, int], tuple[int, int]]]) -> int:
        """Return the number of the table of a region.

        Args:
            patches: Rectangles that make it up: lower left corner, extents along x and y.
        """
        whole = np.zeros((self.modulus, self.modulus), dtype=np.int64)
        for corner, size in patches:
            whole += self._counts(corner, size)
        return self._numbered(whole)

    def leave_all(
        self, number: int, patches: Iterable[tuple[tuple[int, int], tuple[int, int]]]
    ) -> int:
        """Leave several patches empty, one after the other."""
        for corner, size in patches:
            number = self.leave(number, corner, size)
        return number

    def least(self, number: int) -> int:
        """Return how much ground must stay empty at least, unit squares."""
        return self.leasts[number]

    def leave(self, number: int, corner: tuple[int, int], size: tuple[int, int]) -> int:
        """Leave a patch of the region empty.

        Args:
            number: The region's table.
            corner: Lower left corner of the patch.
            size: Its extent along x and y.

        Returns:
            The number of the table of the rest.
        """
        x, y = corner[0] % self.modulus, corner[1] % self.modulus
        move = (number, x, y, *size)
        if move not in self.moves:
            rest = self.tables[number] - self._counts((x, y), size)
            self.moves[move] = self._numbered(rest)
        return self.moves[move]

    def _counts(self, corner: tuple[int, int], size: tuple[int, int]) -> _Table:
        sides = [
            np.bincount(np.arange(start, start + extent) % self.modulus, minlength=self.modulus)
            for start, extent in zip(corner, size, strict=True)
        ]
        return np.outer(*sides)

    def _numbered(self, counts: _Table) -> int:
        table = counts - counts[:, :1] - counts[:1, :] + counts[0, 0]
        key = table.tobytes()
        if key not in self.numbers:
            self.numbers[key] = len(self.tables)
            self.tables.append(table)
            self.leasts.append(self._least_of(table))
        return self.numbers[key]

    def _least_of(self, table: _Table) -> int:
        """Bound from below the total of a table ≥ 0 that differs by rows and columns only.

        Entries with one from each row and each column add up to 0 or more in such a table, and
        what is added to them by rows and columns is the same for all.
        """
        sums = table.ravel()[_picks(self.modulus)].sum(axis=1)
        return int(table.sum()) - self.modulus * int(sums.min())


@lru_cache(maxsize=64)
def _picks(modulus: int) -> NDArray[np.int64]:
    """List ways to pick one entry from each row and each column of a flat table.

    All of them for small tables; for larger ones those along lines that wrap round.
    """
    rows = range(modulus)
    orders: Iterable[tuple[int, ...]]
    if modulus <= _ALL_ORDERS:
        orders = permutations(rows)
    else:
        slopes = [slope for slope in range(1, modulus) if math.gcd(slope, modulus) == 1]
        orders = (
            tuple((slope * row + start) % modulus for row in rows)
            for slope in slopes
            for start in rows
        )
    picks: NDArray[np.int64] = np.arange(modulus) * modulus + np.array(list(orders))
    return picks
