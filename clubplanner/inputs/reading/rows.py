"""Reading a table with a header row: every fault with its row and column."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.inputs.reading.faults import list_words, show_value
from clubplanner.inputs.reading.tables import cells_by_column, read_table
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from clubplanner.inputs.reading.faults import Faults

MOST_ROWS = 5000


@dataclass(slots=True)
class Row:
    """A row of a table; each kind of table adds its readers, which note faults.

    Attributes:
        number: The row in the file, counted from 1.
        cells: Column → text.
        faults: Where faults go.
        faulty: Columns with a fault.
    """

    number: int
    cells: Mapping[str, str]
    faults: Faults
    faulty: set[str] = field(default_factory=set)

    def fault(self, column: str, code: str, message: str) -> None:
        """Note a fault of one cell."""
        self.faulty.add(column)
        self.faults.add(f"row {self.number}, column {column}", code, message)


@dataclass(frozen=True, slots=True)
class RowsRead:
    """The rows of a table, yielded one by one: only then are faults of a row as a whole noted.

    Attributes:
        header_row: Where the header stands, counted from 1; 0 when there is none.
        rows: Each with its number and its cells by column; none when the table as a whole cannot
            be read.
    """

    header_row: int
    rows: Iterator[tuple[int, Mapping[str, str]]]


def read_rows(
    text: str, faults: Faults, columns: Sequence[str], required: Sequence[str], beginning: str
) -> RowsRead:
    """Read a table whose first row names the columns, in any order.

    Separators may be commas, semicolons or tabs. Blank rows are skipped.

    Args:
        text: The whole file.
        faults: Where problems go.
        columns: All columns there may be.
        required: Those that must be there.
        beginning: How the first row may begin, for whoever loads an empty file.
    """
    lines = read_table(text, faults, MOST_ROWS)
    if lines is None:
        return RowsRead(0, iter(()))
    number = header_row_of(lines)
    if not number:
        faults.add(
            "",
            "empty",
            _(
                "The file is empty; its first row names the columns: %(columns)s",
                columns=beginning,
            ),
        )
        return RowsRead(0, iter(()))
    header = read_header(number, lines[number - 1], faults, columns)
    missing = [column for column in required if column not in header]
    for column in missing:
        faults.add(
            f"row {number}",
            "missing-column",
            _("The column “%(column)s” is missing; add it", column=column),
        )
    return RowsRead(number, iter(()) if missing else rows_below(number, header, lines, faults))


def header_row_of(lines: Sequence[Sequence[str]]) -> int:
    """Return the number of the first row that is not blank, counted from 1; 0 if all are."""
    return next((n for n, cells in enumerate(lines, 1) if any(c.strip() for c in cells)), 0)


def read_header(
    number: int, cells: Sequence[str], faults: Faults, columns: Sequence[str]
) -> list[str]:
    """Return which column each cell of a header names, in any usual spelling; blank for none.

    Args:
        number: The header's row, counted from 1.
        cells: Its cells.
        faults: Gets names that are unknown or stand there twice.
        columns: All columns there may be.
    """
    known = {plain(column): column for column in columns}
    header: list[str] = []
    for position, cell in enumerate(cells, start=1):
        column = known.get(plain(cell), "")
        where = f"row {number}, column {position}"
        if not column and cell.strip():
            faults.add(
                where,
                "unknown-column",
                _(
                    "%(cell)s is not a column; the columns are %(columns)s",
                    cell=show_value(cell.strip()),
                    columns=list_words(columns),
                ),
            )
        if column and column in header:
            faults.add(
                where,
                "repeated-column",
                _("“%(column)s” stands there twice; keep one", column=column),
            )
        header.append(column)
    return header


def rows_below(
    number: int, header: Sequence[str], lines: Sequence[list[str]], faults: Faults
) -> Iterator[tuple[int, dict[str, str]]]:
    """Yield the rows below a header that are not blank: their numbers and cells by column."""
    for n, cells in enumerate(lines[number:], start=number + 1):
        if any(cell.strip() for cell in cells):
            yield n, cells_by_column(header, cells, n, faults)


def plain(text: str) -> str:
    """Return the letters by which a column's name is known in any usual spelling."""
    return re.sub(r"[^a-z]", "", text.lower())
