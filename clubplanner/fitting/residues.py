"""Where ground may stay empty, told by remainders.

Count the unit squares of a region by (x modulo l, y modulo l). A lying box of l × w covers all
remainders of x alike, so its table of counts depends on y alone; that of a standing box depends
on x alone. What boxes leave empty therefore has the region's own table, up to a number for each
row and one for each column of it, whatever the layout. The same holds modulo w. So ground can be
left empty in few ways only, and the least that must stay empty is an assignment problem, whose
diagonal solutions are Barnes' bound.

The argument stands by itself; it generalises F. W. Barnes, Discrete Mathematics 26 (1979) 93-100
(from memory) from rectangles to any region and from one diagonal to every assignment.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    _Table: TypeAlias = NDArray[np.int64]

_ENDLESS = 1 << 40


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

    def start(self, along_x: int, along_y: int) -> int:
        """Return the number of the table of a whole rectangle."""
        return self._numbered(self._counts((0, 0), (along_x, along_y)))

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
        """Solve for the smallest total of a table ≥ 0 that differs by rows and columns only."""
        raised = table - table.min()
        return int(raised.sum()) - self.modulus * least_assignment(raised.tolist())


def least_assignment(costs: list[list[int]]) -> int:
    """Return the smallest sum of entries with one from each row and each column.

    Source: H. W. Kuhn, "The Hungarian method for the assignment problem", Naval Research
    Logistics Quarterly 2 (1955) 83-97, in the form with shortest paths (from memory).

    Args:
        costs: A square table.
    """
    size = len(costs)
    by_row, by_column = [0] * (size + 1), [0] * (size + 1)
    row_of = [0] * (size + 1)
    for row in range(1, size + 1):
        row_of[0] = row
        came_from, last = _shortest_path(costs, by_row, by_column, row_of)
        while last:
            row_of[last] = row_of[came_from[last]]
            last = came_from[last]
    return sum(costs[row_of[column] - 1][column - 1] for column in range(1, size + 1))


def _shortest_path(
    costs: list[list[int]], by_row: list[int], by_column: list[int], row_of: list[int]
) -> tuple[list[int], int]:
    """Find the cheapest way to give one more row a column, mending the prices on the way."""
    size = len(costs)
    nearest, came_from = [_ENDLESS] * (size + 1), [0] * (size + 1)
    done = [0]
    left = list(range(1, size + 1))
    column = 0
    while row_of[column]:
        row = row_of[column]
        line, price = costs[row - 1], by_row[row]
        for other in left:
            cost = line[other - 1] - price - by_column[other]
            if cost < nearest[other]:
                nearest[other], came_from[other] = cost, column
        following = min(left, key=nearest.__getitem__)
        step = nearest[following]
        for other in done:
            by_row[row_of[other]] += step
            by_column[other] -= step
        for other in left:
            nearest[other] -= step
        left.remove(following)
        done.append(following)
        column = following
    return came_from, column
