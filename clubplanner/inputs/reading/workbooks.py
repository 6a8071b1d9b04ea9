"""Reading a workbook of a spreadsheet (.xlsx, ECMA-376) as sheets of text, within bounds.

A workbook is a zip file: few bytes may stand for very many. Its parts are unpacked once, counted
and thrown away, before anything is built from them; the rows are then read one by one and given up
at the first that is too much. What a formula came to when the workbook was saved is read, never the
formula.

openpyxl reads them, row by row, so that our 5,000 rows cost half a second and no more memory than
they hold: python-calamine reads 50,000 rows in 0.3 s against 4.8, but first makes a rectangle of
all cells between the outermost two, which few bytes can ask to be enormous.
"""

from __future__ import annotations

import io
import warnings
import zipfile
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING

from openpyxl import load_workbook
from openpyxl.utils.escape import unescape

from clubplanner.domain.formulas import bare_cell
from clubplanner.inputs.reading.tables import MOST_CELLS
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator

    from openpyxl.worksheet._read_only import ReadOnlyWorksheet

    from clubplanner.inputs.reading.faults import Faults

Rows = tuple[tuple[str, ...], ...]

MOST_PARTS = 500
MOST_UNPACKED = 40_000_000
"""Bytes of all parts that hold cells or how they look; pictures are not unpacked."""
MOST_SHEETS = 50
MOST_ROWS = 5_000
LONGEST_CELL = 2_000
"""Characters of a cell that are kept; no table of a club has longer ones (our own choice)."""
_CHUNK = 1 << 20
_READ = (".xml", ".rels")
_DOCTYPE = b"<!DOCTYPE"


def is_workbook(data: bytes) -> bool:
    """Tell by its first bytes whether a file is a zip file, as workbooks are."""
    return data.startswith(b"PK\x03\x04")


def read_workbook(data: bytes, faults: Faults) -> tuple[tuple[str, Rows], ...]:
    """Read the sheets of a workbook that hold something.

    Args:
        data: The file.
        faults: Gets why it cannot be read, in plain words.

    Returns:
        Name and rows of each sheet; cells are text: dates as 2026-09-05, times of day as 17:30,
        both as 2026-09-05 17:30, spans of time as 1:30, whole numbers without a point. A cell that
        was merged with others stands at their upper left corner.
    """
    refusal = _refusal(data)
    if refusal:
        faults.add("", "not-a-workbook", refusal)
        return ()
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of looks and lists that are not read here
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=True, keep_links=False)
            found = [(sheet.title, _read_sheet(sheet)) for sheet in book.worksheets[:MOST_SHEETS]]
    except _TooMuchError as fault:
        faults.add("", "too-large", str(fault))
        return ()
    except Exception:  # noqa: BLE001, RUF100 - a broken part can end in any error of the reader
        faults.add("", "not-a-workbook", _broken())
        return ()
    return tuple((name, rows) for name, rows in found if rows)


class _TooMuchError(Exception):
    """A sheet holds more than is read."""


def _refusal(data: bytes) -> str:
    """Say why a file is not even opened; blank if it may be."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            return _refused_parts(packed)
    except (zipfile.BadZipFile, NotImplementedError, RuntimeError, OSError, ValueError):
        return _broken()
    except Exception:  # noqa: BLE001, RUF100 - zlib.error and its like, which tell the same
        return _broken()


def _refused_parts(packed: zipfile.ZipFile) -> str:
    parts = packed.infolist()
    names = {part.filename for part in parts}
    if "mimetype" in names and "content.xml" in names:
        return _(
            "This is an OpenDocument file; save it in your spreadsheet program as .xlsx or .csv, "
            "and choose that one"
        )
    if not any(name.startswith("xl/") for name in names):
        return _("This is a zip file, but no workbook; unpack it, and choose the table in it")
    if len(parts) > MOST_PARTS:
        return _too_large()
    left = MOST_UNPACKED
    for part in parts:
        if not part.filename.endswith(_READ):
            continue
        with packed.open(part) as content:
            tail = b""
            while chunk := content.read(_CHUNK):
                left -= len(chunk)
                if left < 0:
                    return _too_large()
                if _DOCTYPE in tail + chunk:
                    return _broken()
                tail = chunk[-len(_DOCTYPE) :]
    return ""


def _read_sheet(sheet: ReadOnlyWorksheet) -> Rows:
    """Return the rows up to the last one that holds something, none of them padded."""
    rows: list[tuple[str, ...]] = []
    last = 0
    cells = sheet.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_CELLS + 1, values_only=True)
    for number, values in enumerate(_bounded(cells), start=1):
        texts = tuple(text_of_cell(value) for value in values)
        width = max((n for n, text in enumerate(texts, 1) if text), default=0)
        rows.append(texts[:width])
        if width:
            last = number
            _check(number, width)
    return tuple(rows[:last])


def _bounded(rows: Iterator[tuple[object, ...]]) -> Iterator[tuple[object, ...]]:
    for number, row in enumerate(rows, start=1):
        if number > MOST_ROWS + 1:
            return
        yield row


def _check(number: int, width: int) -> None:
    if number > MOST_ROWS:
        raise _TooMuchError(
            _(
                "The file has more than %(most_rows)s rows; leave out those that do not belong "
                "there",
                most_rows=MOST_ROWS,
            )
        )
    if width > MOST_CELLS:
        raise _TooMuchError(
            _("Row %(row)s has more than %(most_cells)s cells", row=number, most_cells=MOST_CELLS)
        )


def text_of_cell(value: object) -> str:
    """Write what a cell holds as text, as a person would have typed it."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, datetime):
        return _text_of_instant(value)
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, time):
        return f"{value.hour:02}:{value.minute:02}"
    if isinstance(value, timedelta):
        minutes = round(value.total_seconds() / 60)
        return f"{minutes // 60}:{minutes % 60:02}"
    if isinstance(value, float):
        return f"{value:.10g}" if abs(value) < 1e6 else f"{value:.0f}"
    text = bare_cell(unescape(str(value)[:LONGEST_CELL]))
    return " / ".join(part for part in text.splitlines() if part.strip())


def _text_of_instant(value: datetime) -> str:
    """Leave out midnight, which is a date alone, and the day before the first, a time alone."""
    rounded = value + timedelta(seconds=30) if value.year < 9999 else value
    clock = f"{rounded.hour:02}:{rounded.minute:02}"
    if value.year <= 1900:
        return clock
    return rounded.date().isoformat() + ("" if clock == "00:00" else f" {clock}")


def _broken() -> str:
    return _(
        "The workbook cannot be read; open it in your spreadsheet program, save it again as .xlsx "
        "without a password, or copy the cells and paste them"
    )


def _too_large() -> str:
    return _(
        "The workbook unpacks to more than is read; leave out sheets and pictures, or copy the "
        "cells and paste them"
    )
