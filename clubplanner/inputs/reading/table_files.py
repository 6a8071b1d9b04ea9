"""A file that holds tables: one as text, or a workbook with one or several, each as text."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.inputs.reading.faults import decode_text

if TYPE_CHECKING:
    from clubplanner.domain.problems import Problem

ENDINGS = (".csv", ".xlsx", ".xlsm")
"""How the names of such files end."""
_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
"""What workbooks begin with, present ones and those of old (.xls), which are told to be so."""


@dataclass(frozen=True, slots=True)
class TableText:
    """A table as text, for the readers of our files.

    Attributes:
        name: How to call it in problems: its file, and its sheet where there are several.
        text: Its rows, as they are numbered in the file.
    """

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class TablesRead:
    """What a file gave; no tables when there is a problem."""

    tables: tuple[TableText, ...]
    problems: tuple[Problem, ...] = ()


def read_table_file(data: bytes, file_name: str) -> TablesRead:
    """Read a file as tables; what it is, is told by its bytes, not by its name.

    Args:
        data: Text, or a workbook (.xlsx) whose dates, times and numbers become words as our files
            have them.
        file_name: How to call it in problems.
    """
    if not data.startswith(_WORKBOOKS):
        return TablesRead((TableText(file_name, decode_text(data)),))
    from clubplanner.inputs.reading.sheets import read_sheets  # takes a while, seldom needed

    read = read_sheets(data, file_name)
    several = len(read.sheets) > 1
    tables = tuple(
        TableText(
            f"{file_name}, sheet {sheet.name}" if several else file_name,
            _text(sheet.rows),
        )
        for sheet in read.sheets
    )
    return TablesRead(tables, read.problems)


def _text(rows: tuple[tuple[str, ...], ...]) -> str:
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(rows)
    return text.getvalue()
