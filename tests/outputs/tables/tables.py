"""Tables read and written by libraries that share no code with our own readers and writers."""

from __future__ import annotations

import csv
import io
import re
import warnings
from datetime import date, time
from typing import TYPE_CHECKING, Any

from openpyxl import Workbook, load_workbook
from python_calamine import CalamineWorkbook

if TYPE_CHECKING:
    from collections.abc import Mapping

    from openpyxl.worksheet.worksheet import Worksheet


def as_workbook(texts: Mapping[str, str]) -> bytes:
    """Return tables as a spreadsheet program saves what somebody typed: numbers, dates and times.

    Args:
        texts: By the name of the sheet, with commas between cells.
    """
    book = Workbook()
    book.remove(book.active)
    for name, text in texts.items():
        sheet = book.create_sheet(name)
        for row in csv.reader(io.StringIO(text)):
            sheet.append([_typed(cell) for cell in row])
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def _typed(cell: str) -> object:
    """Return what a program takes a cell for."""
    if re.fullmatch(r"\d+", cell):
        return int(cell)
    if re.fullmatch(r"\d+-\d\d-\d\d", cell):
        return date.fromisoformat(cell)
    return time.fromisoformat(cell) if re.fullmatch(r"\d\d:\d\d", cell) else cell or None


def opened(data: bytes) -> list[Worksheet]:
    """Return the sheets of a workbook as openpyxl reads them."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return list(load_workbook(io.BytesIO(data)).worksheets)


def calamine_rows(data: bytes, sheet: int = 0) -> list[list[Any]]:
    """Return the rows of a sheet as python-calamine (Rust) reads them."""
    book = CalamineWorkbook.from_filelike(io.BytesIO(data))
    return list(book.get_sheet_by_index(sheet).to_python())


def csv_rows(data: bytes, separator: str = ",") -> list[list[str]]:
    """Return the rows of a text file."""
    return list(csv.reader(io.StringIO(data.decode("utf-8-sig"), newline=""), delimiter=separator))
