"""A table as a workbook (.xlsx) or as text (.csv), in which nothing is taken for a formula."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.datavalidation import DataValidation

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

ROWS_WITH_LISTS = 500
"""Rows below the headings whose cells offer a list."""
LONGEST_LIST = 255
"""Characters of a list that stands in the cell's rule itself (ECMA-376 part 1, 18.3.1.33)."""
NARROWEST, WIDEST = 10, 40
_BOM = "\ufeff"
_FORMULAS = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet program takes for the beginning of a formula (OWASP, CSV Injection)."""


def write_csv(headings: Sequence[str], rows: Sequence[Sequence[str]], separator: str) -> bytes:
    """Write a table as text, UTF-8 with a mark by which spreadsheet programs know it.

    Args:
        headings: The first row.
        rows: Those below it; a cell that would be taken for a formula loses what it begins with,
            a telephone number aside.
        separator: Between cells: a semicolon where a comma parts the digits of numbers.
    """
    text = io.StringIO()
    text.write(_BOM)
    writer = csv.writer(text, delimiter=separator, lineterminator="\r\n")
    writer.writerow(headings)
    writer.writerows([_harmless(cell) for cell in row] for row in rows)
    return text.getvalue().encode()


def write_workbook(
    title: str,
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    lists: Mapping[int, Sequence[str]],
) -> bytes:
    """Write a table as a workbook of one sheet; its headings stay in view.

    Args:
        title: What the sheet is called.
        headings: The first row.
        rows: Those below it, all of them text.
        lists: By column, counted from 0: what its cells offer to choose from; others can be typed.
    """
    book = Workbook()
    sheet = book.active
    sheet.title = title[:31]
    for number, cells in enumerate((headings, *rows), start=1):
        for place, text in enumerate(cells, start=1):
            cell = sheet.cell(number, place)
            cell.value = text or None
            if text:
                cell.data_type = "s"  # never a formula, whatever it begins with
            cell.alignment = Alignment(vertical="top", wrap_text=number > 1)
            cell.font = Font(bold=number == 1)
    for place in range(1, len(headings) + 1):
        longest = max(len(row[place - 1]) for row in (headings, *rows))
        width = min(max(longest + 2, NARROWEST), WIDEST)
        sheet.column_dimensions[get_column_letter(place)].width = width
    for place, words in lists.items():
        _offer(sheet, get_column_letter(place + 1), words)
    sheet.freeze_panes = "A2"
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def _offer(sheet: object, letter: str, words: Sequence[str]) -> None:
    listed = ",".join(words)
    if len(listed) > LONGEST_LIST or any("," in word or '"' in word for word in words):
        return
    rule = DataValidation("list", formula1=f'"{listed}"', allow_blank=True, showErrorMessage=False)
    rule.add(f"{letter}2:{letter}{ROWS_WITH_LISTS + 1}")
    sheet.add_data_validation(rule)  # type: ignore[attr-defined]


def _harmless(cell: str) -> str:
    if not cell.startswith(_FORMULAS) or _is_dialled(cell):
        return cell
    return cell.lstrip("".join(_FORMULAS)).strip()


def _is_dialled(cell: str) -> bool:
    """Tell whether a cell is a telephone number: a plus sign, digits and blanks only."""
    return cell.startswith("+") and cell[1:].replace(" ", "").isdecimal()
