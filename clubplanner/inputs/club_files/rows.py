"""Reading a table with a header row: every fault with its row and column."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import minute_from_clock
from clubplanner.inputs.club_files.faults import list_words, show_value
from clubplanner.inputs.club_files.tables import cells_by_column, read_table
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from clubplanner.inputs.club_files.faults import Faults

MOST_ROWS = 5000
FIRST_YEAR, LAST_YEAR = 2000, 2199


@dataclass(slots=True)
class Row:
    """A row of a table; its readers note faults and return something harmless instead.

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

    def text(self, column: str, most: int = 200) -> str:
        """Return a text, stripped, inner spaces single; blank when absent."""
        value = " ".join(self.cells.get(column, "").split())
        if len(value) > most:
            self.fault(
                column,
                "too-long",
                _(
                    "The text has %(value)s letters; use at most %(most)s",
                    value=len(value),
                    most=most,
                ),
            )
        return value

    def fault(self, column: str, code: str, message: str) -> None:
        """Note a fault of one cell."""
        self.faulty.add(column)
        self.faults.add(f"row {self.number}, column {column}", code, message)

    def whole(self, column: str, low: int, high: int, default: int | None) -> int | None:
        """Return a whole number from low to high; the default when the cell is blank."""
        text = self.text(column)
        if not text:
            return default
        if not re.fullmatch(r"\d{1,9}", text) or not low <= int(text) <= high:
            self.fault(
                column,
                "not-a-number",
                _(
                    "%(words)s will not do; write %(low)s to %(high)s",
                    words=show_value(text),
                    low=low,
                    high=high,
                ),
            )
            return default
        return int(text)

    def day(self, column: str) -> date:
        """Return a date written year-month-day, or day/month/year."""
        text = self.text(column)
        match = re.fullmatch(r"(\d{1,2})[/.](\d{1,2})[/.](\d{4})", text)
        try:
            if match:
                day = date(int(match[3]), int(match[2]), int(match[1]))
            else:
                day = date.fromisoformat(text)
        except ValueError:
            day = date.min
        if not FIRST_YEAR <= day.year <= LAST_YEAR:
            self.fault(
                column,
                "not-a-date",
                _(
                    "%(words)s is not a date; write it like 2026-11-28 or 28/11/2026",
                    words=show_value(text),
                ),
            )
        return day

    def span(self, column: str) -> tuple[int, int]:
        """Return minutes of one time ("14:00") or of a span of times ("10:00-14:00")."""
        text = self.text(column).replace("–", "-")
        first, _unused, last = text.partition("-")
        try:
            start = minute_from_clock(first)
            end = minute_from_clock(last) if last else start
        except ValueError:
            self.fault(
                column,
                "not-a-time",
                _(
                    "%(words)s is no time; write 14:00, or 10:00-14:00 for a span",
                    words=show_value(text),
                ),
            )
            return 0, 0
        if end < start:
            self.fault(
                column,
                "out-of-range",
                _("%(words)s runs backwards; turn it round", words=show_value(text)),
            )
        return start, end


def read_rows(
    text: str, faults: Faults, columns: Sequence[str], required: Sequence[str]
) -> list[Row]:
    """Read a table whose first row names the columns, in any order.

    Separators may be commas, semicolons or tabs. Blank rows are skipped.

    Args:
        text: The whole file.
        faults: Where problems go.
        columns: All columns there may be.
        required: Those that must be there.

    Returns:
        The rows; none when the table as a whole cannot be read.
    """
    lines = read_table(text, faults, MOST_ROWS)
    if lines is None:
        return []
    first = next((n for n, cells in enumerate(lines, 1) if any(c.strip() for c in cells)), 0)
    if not first:
        faults.add(
            "",
            "empty",
            _(
                "The file is empty; its first row names the columns: %(columns)s",
                columns=columns[0],
            ),
        )
        return []
    header = _read_header(first, lines[first - 1], faults, columns, required)
    if not set(required) <= set(header):
        return []
    rows = []
    for number, cells in enumerate(lines[first:], start=first + 1):
        if not any(cell.strip() for cell in cells):
            continue
        rows.append(Row(number, cells_by_column(header, cells, number, faults), faults))
    return rows


def _read_header(
    number: int, cells: list[str], faults: Faults, columns: Sequence[str], required: Sequence[str]
) -> list[str]:
    known = {_plain(column): column for column in columns}
    header: list[str] = []
    for position, cell in enumerate(cells, start=1):
        column = known.get(_plain(cell), "")
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
    for column in required:
        if column not in header:
            faults.add(
                f"row {number}",
                "missing-column",
                _("The column “%(column)s” is missing; add it", column=column),
            )
    return header


def _plain(text: str) -> str:
    return re.sub(r"[^a-z]", "", text.lower())
