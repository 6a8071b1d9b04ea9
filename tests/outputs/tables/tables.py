"""Reading back what was written, by readers that share no code with us and none with the writer."""

from __future__ import annotations

import csv
import io
import warnings
from typing import TYPE_CHECKING, Any

from openpyxl import load_workbook
from python_calamine import CalamineWorkbook

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet


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
