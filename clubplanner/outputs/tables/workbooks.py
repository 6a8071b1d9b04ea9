"""Tables as a workbook (.xlsx, ECMA-376), a sheet each, with dates and numbers that are such.

XlsxWriter writes it, in memory: 50,000 rows take 77 MB until it is done, and leave nothing on a
disk, whatever happens meanwhile. What the libraries cost that could do it was measured
(`tests/benchmarks/workbooks.py`, its figures beside it).
"""

from __future__ import annotations

import io
import math
from datetime import date, datetime
from typing import TYPE_CHECKING

from xlsxwriter import Workbook

from clubplanner.domain.formulas import looks_guarded
from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.language import marked, term
from clubplanner.outputs.tables.table import Kind, cell_text

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

    from clubplanner.outputs.tables.table import Cell, Column, Table

MIME = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ROWS_WITH_LISTS = 500
"""Rows below the headings whose cells offer a list."""
LONGEST_LIST = 255
"""Characters of a list that stands in the cell's rule itself (ECMA-376 part 1, 18.3.1.33)."""
LONGEST_TEXT = 32_767
"""Characters of a cell, and rows of a sheet: what the programs that made the format can hold."""
MOST_ROWS = 1_048_576
LONGEST_NAME = 31
NARROWEST, WIDEST = 10, 40
_MEASURED = 300
"""Rows by which the width of a column is told."""
_NOT_IN_NAMES = str.maketrans(dict.fromkeys("[]:*?/\\", " "))
_FIRST_DATE = date(1900, 3, 1)
"""Before it programs disagree about the number of a date."""
_A4 = 9

DATE = marked("yyyy-mm-dd")
"""How a workbook shows dates: day, month and year as the language has them, by d, m and y."""


def write_workbook(tables: Sequence[Table], made: datetime) -> bytes:
    """Write tables as a workbook, in which headings stay in view and nothing is a formula.

    Args:
        tables: One a sheet, in order; at least one.
        made: When it is written, UTC.

    Raises:
        ValueError: If a table has more rows than a sheet can hold.
    """
    data = io.BytesIO()
    book = Workbook(data, {"in_memory": True})
    first = tables[0]
    book.set_properties(
        {"title": first.title, "subject": first.words, "created": made.replace(tzinfo=None)}
    )
    looks = _Looks(book)
    names: list[str] = []
    for table in tables:
        names.append(sheet_name(table.title, names))
        _write_sheet(book.add_worksheet(names[-1]), table, looks)
    book.close()
    return data.getvalue()


def sheet_name(title: str, taken: Sequence[str] = ()) -> str:
    """Return what a sheet may be called: short, without signs that stand in formulas, its own.

    Args:
        title: What it is of.
        taken: What other sheets of the workbook are called.
    """
    plain = " ".join(cell_text(title).translate(_NOT_IN_NAMES).split()).strip("' ") or "1"
    others = {name.casefold() for name in (*taken, "history")}  # one name the format keeps
    name, number = plain[:LONGEST_NAME].strip("' "), 1
    while name.casefold() in others:
        number += 1
        tail = f" {number}"
        name = plain[: LONGEST_NAME - len(tail)].strip("' ") + tail
    return name


class _Looks:
    """The looks of cells; a workbook keeps each once."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._known: dict[str, Format] = {}
        self.heading = book.add_format({"bold": True, "valign": "top", "text_wrap": True})
        self.text = book.add_format({"valign": "top", "text_wrap": True})

    def numbers(self, pattern: str) -> Format:
        """Return the look of numbers shown by a pattern (ECMA-376 part 1, 18.8.31)."""
        if pattern not in self._known:
            look = self._book.add_format({"num_format": pattern, "valign": "top"})
            self._known[pattern] = look
        return self._known[pattern]


def _write_sheet(sheet: Worksheet, table: Table, looks: _Looks) -> None:
    if len(table.rows) >= MOST_ROWS:
        raise ValueError(f"A sheet holds {MOST_ROWS} rows, the table has {len(table.rows)}.")
    last = max(len(table.columns) - 1, 0)
    for place, column in enumerate(table.columns):
        sheet.set_column(place, place, _width(column, place, table))
    sheet.freeze_panes(1, 0)
    sheet.repeat_rows(0)
    sheet.set_landscape()
    sheet.set_paper(_A4)
    sheet.fit_to_pages(1, 0)
    sheet.set_header("&L" + ", ".join(filter(None, (table.title, table.words))).replace("&", "&&"))
    sheet.set_footer("&R&P / &N")
    for place, column in enumerate(table.columns):
        sheet.write_string(0, place, cell_text(column.heading), looks.heading)
    for number, row in enumerate(table.rows, start=1):
        for place, (column, cell) in enumerate(zip(table.columns, row, strict=True)):
            _write_cell(sheet, (number, place), table, column, cell, looks)
    if table.rows:
        sheet.autofilter(0, 0, len(table.rows), last)
    _offer(sheet, table.columns)


def _write_cell(
    sheet: Worksheet, at: tuple[int, int], table: Table, column: Column, cell: Cell, looks: _Looks
) -> None:
    if cell is None:
        return
    if isinstance(cell, datetime):
        local = table.local(cell)
        if local.date() >= _FIRST_DATE:
            sheet.write_datetime(*at, local, looks.numbers(f"{term(DATE)} hh:mm"))
            return
        cell = local.strftime("%Y-%m-%d %H:%M")
    elif isinstance(cell, date):
        if cell >= _FIRST_DATE:
            sheet.write_datetime(*at, cell, looks.numbers(term(DATE)))
            return
        cell = cell.isoformat()
    if isinstance(cell, str) or column.kind is Kind.TEXT:
        sheet.write_string(*at, _kept(cell_text(cell)), looks.text)
    elif column.kind is Kind.TIME:
        clock = cell if cell <= MINUTES_A_DAY else cell % MINUTES_A_DAY
        pattern = "hh:mm" if clock < MINUTES_A_DAY else "[hh]:mm"
        sheet.write_number(*at, float(clock) / MINUTES_A_DAY, looks.numbers(pattern))
    elif math.isfinite(cell):
        sheet.write_number(*at, cell, looks.numbers(_pattern(column)))


def _pattern(column: Column) -> str:
    decimals = column.shown_decimals
    if decimals is None:
        return "General"
    figures = "0" + ("." + "0" * decimals if decimals else "")
    if column.kind is Kind.SHARE:
        return figures + "%"
    if column.kind is Kind.MONEY:
        currency = column.currency.replace('"', "")
        return "#,##" + figures + (f'\\ "{currency}"' if currency else "")
    return figures


def _kept(text: str) -> str:
    """Return a text as long as a cell can be, and so that whoever reads it has the same again.

    Lines end in one way, as the format has it (ECMA-376 part 1, 22.9.2.19 would escape another).
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    if looks_guarded(text):
        text = f"'{text}"
    return text if len(text) <= LONGEST_TEXT else text[: LONGEST_TEXT - 1] + "…"


def _width(column: Column, place: int, table: Table) -> int:
    longest = len(column.heading)
    for row in table.rows[:_MEASURED]:
        cell = row[place]
        if isinstance(cell, str):
            longest = max(longest, *map(len, cell.splitlines() or [""]))
    usual = {Kind.DATE: 11, Kind.INSTANT: 17, Kind.MONEY: 12}
    return min(max(longest + 2, usual.get(column.kind, NARROWEST)), WIDEST)


def _offer(sheet: Worksheet, columns: Sequence[Column]) -> None:
    for place, column in enumerate(columns):
        words = column.offers
        too_long = len(",".join(words)) > LONGEST_LIST
        if not words or too_long or any("," in word or '"' in word for word in words):
            continue
        rule: Mapping[str, object] = {
            "validate": "list",
            "source": list(words),
            "ignore_blank": True,
            "show_error": False,
        }
        sheet.data_validation(1, place, ROWS_WITH_LISTS, place, dict(rule))
