"""What all tables that a club loads have in common."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.inputs.reading.faults import Faults

MOST_CELLS = 200
"""Cells of a row; our widest table has some thirty columns."""
LONGEST_ROW = 100_000
"""Characters of a line; longer ones are no row of any table (our own choice)."""


def read_table(text: str, faults: Faults, most_rows: int) -> list[list[str]] | None:
    """Split a table into rows of cells, blank rows included.

    It is split row by row and given up at the first that is too much, so that no file takes more
    memory than a table of the largest size.

    Args:
        text: The whole file.
        faults: Gets what is wrong with the table as a whole.
        most_rows: How many rows there may be.

    Returns:
        The rows; None with a fault when it is no table, too long or too wide.
    """
    rows: list[list[str]] = []
    try:
        for number, cells in enumerate(split_rows(text), start=1):
            if number > most_rows:
                faults.add(
                    "",
                    "too-long",
                    _(
                        "The file has more than %(most_rows)s rows; leave out those that do not "
                        "belong there",
                        most_rows=most_rows,
                    ),
                )
                return None
            if len(cells) > MOST_CELLS:
                faults.add(
                    f"row {number}",
                    "too-wide",
                    _(
                        "The row has %(cells)s cells; at most %(most_cells)s are read",
                        cells=len(cells),
                        most_cells=MOST_CELLS,
                    ),
                )
                return None
            rows.append(cells)
    except csv.Error as fault:
        faults.add("", "not-csv", _("The file cannot be read as a table: %(fault)s", fault=fault))
        return None
    return rows


def split_rows(text: str) -> Iterator[list[str]]:
    """Yield the rows of a table one by one.

    Raises:
        csv.Error: If it is no table.
    """
    lines = io.StringIO(text, newline=None)
    return csv.reader(_short_lines(lines), delimiter=delimiter_of(text))


def _short_lines(lines: Iterator[str]) -> Iterator[str]:
    for number, line in enumerate(lines, start=1):
        if len(line) > LONGEST_ROW:
            raise csv.Error(
                _(
                    "line %(line)s has %(count)s characters; is a quotation mark missing?",
                    line=number,
                    count=len(line),
                )
            )
        yield line


def cells_by_column(
    header: Sequence[str], cells: list[str], number: int, faults: Faults
) -> dict[str, str]:
    """Return a row's cells by the names of their columns; cells beyond the header are a fault."""
    if any(cell.strip() for cell in cells[len(header) :]):
        faults.add(
            f"row {number}",
            "too-many-cells",
            _(
                "The row has %(cells)s cells, the header %(header)s; put text that holds a "
                "separator in double quotes",
                cells=len(cells),
                header=len(header),
            ),
        )
    return {column: cell for column, cell in zip(header, cells, strict=False) if column}


def delimiter_of(text: str) -> str:
    """Return what separates cells: whichever of comma, semicolon and tab the first row has most."""
    first = text.lstrip().partition("\n")[0]
    return max(",;\t", key=first.count)
