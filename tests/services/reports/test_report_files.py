"""A report as a workbook and on paper, read back by readers that nobody here wrote."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from typing import TYPE_CHECKING

from openpyxl import load_workbook
from pypdf import PdfReader

from clubplanner.language import speaking
from clubplanner.outputs.tables.workbooks import write_workbook
from clubplanner.services.reports.report import make_report
from clubplanner.services.reports.report_files import report_files
from clubplanner.services.reports.report_paper import MOST_LINES, print_report
from clubplanner.services.reports.tables.report_table import Line
from clubplanner.services.reports.tables.report_tables import report_tables
from clubplanner.services.season.light.page import set_lamp_cost
from tests.builders import NOW
from tests.services.reports.tables.test_report_tables import WEEK
from tests.small_club import HARRIERS, book

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_a_workbook_holds_every_table_with_numbers_and_definitions(small: Store) -> None:
    """A sheet a table; hours, parts and money are numbers, and the last row is the sum."""
    book(small)
    book(small, HARRIERS, "third-2", end_min=19 * 60)
    set_lamp_cost(small, "marsh-lane", "7.30")
    report = make_report(small, *WEEK, NOW)
    tables = report_tables(report)
    data = write_workbook(report_files(report, tables), NOW)
    sheets = load_workbook(BytesIO(data))
    assert sheets.sheetnames == [
        "Report",
        *(table.title for table in tables),
        "What the figures mean",
    ]
    squads = [[cell.value for cell in row] for row in sheets["Hours, by squad"].iter_rows()]
    assert squads[1][:2] == ["U12 Kestrels", "U12"]
    assert squads[-1] == ["Sum", None, 2, 2.25, 0, 0, 2.25, 1, 1]
    lamps = [[cell.value for cell in row] for row in sheets["Floodlights, by pitch"].iter_rows()]
    assert lamps == [
        ["Pitch", "Venue", "Hours lit", "Cost"],
        ["Top pitch", "Marsh Lane", 1.25, 9.13],
        ["Sum", None, 1.25, 9.13],
    ]
    told = [cell.value for row in sheets["What the figures mean"].iter_rows() for cell in row]
    assert "Part of ground" in told
    first = [[cell.value for cell in row] for row in sheets["Report"].iter_rows()]
    assert first[1][:3] == ["Hours", 2.25, "h"]


def test_the_paper_is_for_the_committee(small: Store) -> None:
    """On A4, tagged, in the reader's language, each table with its sum and its definitions."""
    book(small)
    report = make_report(small, *WEEK, NOW)
    with speaking("de"):
        data = print_report(small, report, report_tables(report))
    reader = PdfReader(BytesIO(data))
    assert round(float(reader.pages[0].mediabox.width) * 25.4 / 72) == 297
    assert b"/MarkInfo" in data
    text = "\n".join(page.extract_text() for page in reader.pages)
    for words in ("Wer welchen Platz hatte", "23. Nov. 2026 bis 29. Nov. 2026", "Summe", "1,25"):
        assert words in text
    assert "Sum " not in text
    assert data == _again(small)


def _again(store: Store) -> bytes:
    report = make_report(store, *WEEK, NOW)
    with speaking("de"):
        return print_report(store, report, report_tables(report))


def test_on_paper_the_small_are_summed(small: Store) -> None:
    """A table of hundreds of squads keeps those with most hours, and one line for all others."""
    book(small)
    table = next(t for t in report_tables(make_report(small, *WEEK, NOW)) if t.key == "squads")
    (line,) = table.lines
    many = [Line((f"Squad {n}", ""), line.sum) for n in range(100)]
    short = replace(table, lines=tuple(many)).shortened(MOST_LINES)
    assert len(short.lines) == MOST_LINES
    assert short.lines[-1].names[0] == "71 more"
    assert short.total.all.seconds == 100 * 4500
