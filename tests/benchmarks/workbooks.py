"""What libraries take to write and read a workbook of 50,000 rows, beside the same as text.

Run with `python -m tests.benchmarks.workbooks` (about a minute). Each is asked in a process of its
own, so that its memory is its own; the reference is the `csv` module with the same rows.
"""

from __future__ import annotations

import csv
import io
import multiprocessing
import resource
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from openpyxl import Workbook, load_workbook
from openpyxl.cell import WriteOnlyCell
from python_calamine import CalamineWorkbook
from xlsxwriter import Workbook as XlsxWriterWorkbook

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

ROWS = 50_000


def rows() -> Iterator[tuple[str | date | float, ...]]:
    """Yield rows as a season of bookings has them; one cell is a formula that is to stay text."""
    first = date(2026, 9, 1)
    for number in range(ROWS):
        day = first + timedelta(days=number % 280)
        yield (f"U{number % 20} Otters", day, 17.5 / 24, 1.25, number / 7, "=1+1", "Top pitch")


def csv_text(_path: Path) -> bytes:
    """The reference: the same rows as text."""
    text = io.StringIO()
    csv.writer(text).writerows(rows())
    return text.getvalue().encode()


def xlsxwriter_rows(_path: Path) -> bytes:
    """XlsxWriter, its rows put aside as they are written."""
    return _xlsxwriter({"constant_memory": True})


def xlsxwriter_memory(_path: Path) -> bytes:
    """XlsxWriter, all in memory."""
    return _xlsxwriter({"in_memory": True})


def _xlsxwriter(options: dict[str, bool]) -> bytes:
    data = io.BytesIO()
    book = XlsxWriterWorkbook(data, options)
    sheet, dates = book.add_worksheet(), book.add_format({"num_format": "yyyy-mm-dd"})
    for number, row in enumerate(rows()):
        for place, cell in enumerate(row):
            if isinstance(cell, str):
                sheet.write_string(number, place, cell)
            elif isinstance(cell, date):
                sheet.write_datetime(number, place, cell, dates)
            else:
                sheet.write_number(number, place, cell)
    book.close()
    return data.getvalue()


def openpyxl_rows(_path: Path) -> bytes:
    """The library openpyxl, writing only."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet()
    for row in rows():
        sheet.append([_as_text(sheet, cell) if isinstance(cell, str) else cell for cell in row])
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def _as_text(sheet: object, text: str) -> Any:
    cell = WriteOnlyCell(sheet, value=text)
    cell.data_type = "s"
    return cell


def read_openpyxl(path: Path) -> bytes:
    """The library openpyxl, reading row by row."""
    book = load_workbook(path, read_only=True, data_only=True)
    return _all(sum(1 for _row in book.worksheets[0].iter_rows(values_only=True)))


def read_calamine(path: Path) -> bytes:
    """The library python-calamine, which reads a sheet as a whole."""
    return _all(len(CalamineWorkbook.from_path(path).get_sheet_by_index(0).to_python()))


def _all(found: int) -> bytes:
    if found != ROWS:
        raise RuntimeError(f"{found} of {ROWS} rows were read.")
    return b""


WRITERS = (csv_text, xlsxwriter_rows, xlsxwriter_memory, openpyxl_rows)
READERS = (read_openpyxl, read_calamine)


def measure(work: Callable[[Path], bytes], path: Path) -> tuple[float, float, int]:
    """Return seconds of the processor, megabytes above before, and bytes of the result."""
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = time.process_time()
    data = work(path)
    seconds = time.process_time() - start
    return seconds, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) / 1024, len(data)


def main() -> None:
    """Print a line a library."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "rows.xlsx"
        path.write_bytes(xlsxwriter_rows(path))
        apart = multiprocessing.get_context("spawn")
        reference = 0.0
        for work in (*WRITERS, *READERS):
            with apart.Pool(1) as pool:
                seconds, memory, size = pool.apply(measure, (work, path))
            reference = reference or seconds
            words = f"{seconds:6.2f} s {seconds / reference:5.1f} × text {memory:6.0f} MB"
            print(f"{work.__name__:18} {words} {size / 1024:7.0f} kB")


if __name__ == "__main__":
    main()
