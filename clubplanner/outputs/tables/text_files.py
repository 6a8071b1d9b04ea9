"""A table as text (.csv, RFC 4180), as spreadsheet programs of the reader's language read it."""

from __future__ import annotations

import csv
import io
import math
from datetime import date, datetime
from decimal import ROUND_HALF_EVEN, Decimal
from typing import TYPE_CHECKING

from clubplanner.domain.club.persons.coaches import is_phone
from clubplanner.domain.formulas import guard_cell
from clubplanner.domain.times.times import MINUTES_A_DAY
from clubplanner.language import figure, spoken
from clubplanner.outputs.tables.table import Kind, cell_text

if TYPE_CHECKING:
    from clubplanner.outputs.tables.table import Cell, Column, Table

MIME = "text/csv; charset=utf-8"
WITH_COMMA = ("en",)
"""Languages whose spreadsheet programs part cells by commas, as no number has one in it."""
MOST_DECIMALS = 6
"""Of numbers that are no amounts: more than anybody measures, and sums still hold."""


def write_csv(table: Table) -> bytes:
    """Write a table as text in the language spoken now.

    UTF-8 with a mark by which spreadsheet programs know it. Between cells stands a comma, or a
    semicolon where a comma parts the digits of numbers. Dates are written 2026-09-05, which a
    program of any language knows. What would be taken for a formula has an apostrophe before it, a
    telephone number aside.
    """
    text = io.StringIO()
    separator = "," if spoken() in WITH_COMMA else ";"
    writer = csv.writer(text, delimiter=separator, lineterminator="\r\n")
    writer.writerow([_harmless(column.heading) for column in table.columns])
    for row in table.rows:
        cells = zip(table.columns, row, strict=True)
        writer.writerow([_written(table, column, cell) for column, cell in cells])
    return text.getvalue().encode("utf-8-sig")


def _written(table: Table, column: Column, cell: Cell) -> str:
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return table.local(cell).strftime("%Y-%m-%d %H:%M")
    if isinstance(cell, date):
        return cell.isoformat()
    if column.kind is Kind.TEXT or isinstance(cell, str):
        return _harmless(cell_text(cell))
    if column.kind is Kind.TIME:
        return f"{cell // 60 % 24 if cell != MINUTES_A_DAY else 24:02.0f}:{cell % 60:02.0f}"
    return _number(column, cell)


def _number(column: Column, cell: float | Decimal) -> str:
    if not math.isfinite(cell):
        return ""
    exact = cell if isinstance(cell, Decimal) else Decimal(repr(cell))
    if column.kind is Kind.MONEY:
        return figure(_rounded(exact, column.shown_decimals or 0), "f")
    if column.kind is Kind.SHARE:
        return f"{_plain(exact * 100)}%"
    return _plain(exact)


def _plain(value: Decimal) -> str:
    """Write a number without zeros at its end."""
    text = f"{_rounded(value, MOST_DECIMALS):f}"
    return figure(Decimal(text.rstrip("0").rstrip(".") if "." in text else text), "f")


def _rounded(value: Decimal, decimals: int) -> Decimal:
    return value.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_EVEN)


def _harmless(text: str) -> str:
    return text if is_phone(text) else guard_cell(text)
