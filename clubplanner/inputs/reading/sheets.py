"""A table as a club has it, whatever it stands in: a file, a workbook, cells that were pasted."""

from __future__ import annotations

import csv
import io
from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.formulas import bare_cell
from clubplanner.inputs.reading.faults import Faults, decode_text
from clubplanner.inputs.reading.tables import LONGEST_ROW, MOST_CELLS
from clubplanner.inputs.reading.workbooks import (
    LONGEST_CELL,
    MOST_ROWS,
    Rows,
    is_workbook,
    read_workbook,
)
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.problems import Problem

LARGEST_BYTES = 8_000_000
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"
_DELIMITERS = "\t;,|"
_LOOKED_AT = 50
"""Rows by which it is told what stands between cells."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One table.

    Attributes:
        name: What the sheet is called; blank where there is only one.
        rows: Cells as text, row by row; rows may have different lengths.
    """

    name: str
    rows: Rows


@dataclass(frozen=True, slots=True)
class SheetsRead:
    """What a file or a pasted text gave; no sheets when there is a problem."""

    sheets: tuple[Sheet, ...]
    problems: tuple[Problem, ...]


def read_sheets(data: bytes, file_name: str) -> SheetsRead:
    """Read a file as tables.

    Args:
        data: A workbook (.xlsx), or text in UTF-8, UTF-16 or Windows-1252 with tabs, semicolons or
            commas between cells. What it is, is told by its bytes, not by its name.
        file_name: How to call it in problems.
    """
    faults = Faults(file_name)
    sheets: tuple[Sheet, ...] = ()
    if len(data) > LARGEST_BYTES:
        faults.add("", "too-large", _("The file is larger than 8 MB; split it"))
    elif data.startswith(_OLD_WORKBOOK):
        text = _(
            "This is a workbook of an old kind (.xls), or one with a password; save it as .xlsx or "
            ".csv without a password, and choose that one"
        )
        faults.add("", "old-workbook", text)
    elif is_workbook(data):
        sheets = tuple(Sheet(name, rows) for name, rows in read_workbook(data, faults))
    else:
        sheets = _sheet_of_text(_decode(data), faults)
    if not sheets and not faults.found:
        faults.add("", "empty", _("There is nothing in it; choose the table of the club"))
    return SheetsRead(sheets, tuple(faults.found))


def read_pasted(text: str, called: str) -> SheetsRead:
    """Read cells that were pasted.

    Args:
        text: What was pasted.
        called: How to call it in problems.
    """
    faults = Faults(called)
    sheets = _sheet_of_text(text, faults)
    if not sheets and not faults.found:
        faults.add("", "empty", _("Paste the table, or choose its file"))
    return SheetsRead(sheets, tuple(faults.found))


def write_carried(rows: Sequence[Sequence[str]]) -> str:
    """Write rows as text that travels with a form, for `read_carried`."""
    text = io.StringIO()
    csv.writer(text, delimiter="\t", lineterminator="\n").writerows(rows)
    return text.getvalue()


def read_carried(text: str) -> Rows:
    """Read rows that travelled with a form; what somebody changed on the way is read as it is.

    A line longer than any row is cut: what travels has none.
    """
    try:
        return _split(text, "\t")
    except csv.Error:
        lines = (line[:LONGEST_ROW] for line in text.splitlines())
        return _split("\n".join(lines), "\t", quotes=False)


def _decode(data: bytes) -> str:
    """Read text as UTF-16 where a spreadsheet saved it so, with its mark or without; else as any.

    Every second byte of Latin letters is nought in it.
    """
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16", errors="replace")
    first = data[:200]
    if first.count(0) > len(first) // 3:
        return data.decode("utf-16-le" if first[1:2] == b"\0" else "utf-16-be", errors="replace")
    return decode_text(data)


def _sheet_of_text(text: str, faults: Faults) -> tuple[Sheet, ...]:
    text = text.replace("\x00", "").replace("\xa0", " ").replace("\u202f", " ")
    if not text.strip():
        return ()
    if any(len(line) > LONGEST_ROW for line in text.splitlines()):
        faults.add("", "not-a-table", _("A line is too long for a row of a table"))
        return ()
    delimiter = find_delimiter(text)
    try:
        rows = _split(text, delimiter)
    except csv.Error:  # a quotation mark that is none
        rows = _split(text, delimiter, quotes=False)
    last = max((n for n, row in enumerate(rows, 1) if any(row)), default=0)
    if last > MOST_ROWS or any(len(row) > MOST_CELLS for row in rows):
        message = _(
            "The table has more than %(most_rows)s rows or %(most_cells)s columns; leave out what "
            "does not belong there",
            most_rows=MOST_ROWS,
            most_cells=MOST_CELLS,
        )
        faults.add("", "too-large", message)
        return ()
    return (Sheet("", rows[:last]),) if last else ()


def _split(text: str, delimiter: str, *, quotes: bool = True) -> Rows:
    rows: list[tuple[str, ...]] = []
    lines = io.StringIO(text, newline=None)
    if quotes:
        reader = csv.reader(lines, delimiter=delimiter)
    else:
        reader = csv.reader(lines, delimiter=delimiter, quoting=csv.QUOTE_NONE)
    for cells in reader:
        row = [
            " / ".join(p for p in bare_cell(c[:LONGEST_CELL]).splitlines() if p.strip())
            for c in cells
        ]
        while row and not row[-1].strip():
            row.pop()
        rows.append(tuple(cell.strip() for cell in row))
        if len(rows) > MOST_ROWS:
            break
    return tuple(rows)


def find_delimiter(text: str) -> str:
    """Return what stands between cells: what splits most rows into equally many.

    Titles above a table have no part in it, and a comma within cells splits rows unevenly.
    """
    best, best_score = ",", (0.0, 0)
    lines = [line for line in text.splitlines() if line.strip()][:_LOOKED_AT]
    for delimiter in _DELIMITERS:
        try:
            widths = [len(row) for row in csv.reader(lines, delimiter=delimiter)]
        except csv.Error:
            continue
        parted = Counter(width for width in widths if width > 1)
        if not parted:
            continue
        width, times = max(parted.items(), key=lambda item: (item[1], item[0]))
        score = (times / len(widths), width)
        if score > best_score:
            best, best_score = delimiter, score
    return best
