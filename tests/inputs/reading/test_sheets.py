"""Tables as they come: files of several codings, workbooks, pasted cells."""

from __future__ import annotations

import io
from datetime import date, datetime, time, timedelta

import pytest
from openpyxl import Workbook

from clubplanner.inputs.reading.sheets import find_delimiter, read_sheets

TEXT = "Mannschaft;Spieler\nMüller & Söhne;12\n"


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-le"])
def test_every_usual_coding_is_read(coding: str) -> None:
    """Spreadsheet programs save text in several ways; each is known by its bytes."""
    (sheet,) = read_sheets(TEXT.encode(coding), "x.csv").sheets
    assert sheet.rows == (("Mannschaft", "Spieler"), ("Müller & Söhne", "12"))


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("Titel\na;b\nMo, Mi;c\n", ";"),
        ("a,b\n1,2\n", ","),
        ("a\tb\n1, 2, 3\t4; 5\n", "\t"),
        ("one column\nanother\n", ","),
    ],
)
def test_what_stands_between_cells_is_told_by_most_rows(text: str, delimiter: str) -> None:
    """A title above and commas within cells do not count."""
    assert find_delimiter(text) == delimiter


def test_cells_of_a_workbook_become_text_as_it_would_be_typed() -> None:
    """Dates, times, spans and parts of a day, numbers and ticks; empty sheets are left out."""
    book = Workbook()
    sheet = book.active
    sheet.append(["Belegung"])
    sheet.merge_cells("A1:F1")
    sheet.append([date(2026, 9, 5), time(17, 30), timedelta(minutes=90), 0.75, 16, True])
    sheet.append([datetime(2026, 9, 5, 14, 0), 16.0, None, "Mo 17-18\nMi 18-19"])  # noqa: DTZ001
    book.create_sheet("empty")
    data = io.BytesIO()
    book.save(data)
    (read,) = read_sheets(data.getvalue(), "x.xlsx").sheets
    assert read.rows == (
        ("Belegung",),
        ("2026-09-05", "17:30", "1:30", "0.75", "16", "yes"),
        ("2026-09-05 14:00", "16", "", "Mo 17-18 / Mi 18-19"),
    )


def test_what_a_formula_came_to_is_read_never_the_formula() -> None:
    """A formula without a kept value is an empty cell."""
    book = Workbook()
    book.active.append(["a", "=1+1"])
    data = io.BytesIO()
    book.save(data)
    (read,) = read_sheets(data.getvalue(), "x.xlsx").sheets
    assert read.rows == (("a",),)
