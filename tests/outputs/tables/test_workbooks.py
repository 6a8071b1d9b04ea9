"""Workbooks: true cells, headings in view, lists to choose from, nothing taken for a formula."""

from __future__ import annotations

import io
import zipfile
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.domain.formulas import bare_cell
from clubplanner.language import languages, speaking
from clubplanner.outputs.tables.table import Column, Kind, Table, cell_text
from clubplanner.outputs.tables.workbooks import LONGEST_TEXT, sheet_name, write_workbook
from tests.outputs.tables.tables import calamine_rows, opened

NOW = datetime(2026, 11, 30, 4, 0, tzinfo=UTC)
BERLIN = ZoneInfo("Europe/Berlin")
KINDS = Table(
    "Kinds",
    (
        Column("words"),
        Column("number", Kind.NUMBER),
        Column("date", Kind.DATE),
        Column("time", Kind.TIME),
        Column("end", Kind.TIME),
        Column("instant", Kind.INSTANT),
        Column("hours", Kind.HOURS),
        Column("share", Kind.SHARE),
        Column("amount", Kind.MONEY, currency="€"),
    ),
    (
        (
            "U9",
            14,
            date(2026, 9, 5),
            1050,
            1440,
            datetime(2026, 9, 5, 15, 30, tzinfo=UTC),
            1.5,
            0.25,
            Decimal("12.30"),
        ),
        (None,) * 9,
    ),
    zone=BERLIN,
)


def test_cells_are_what_their_columns_say() -> None:
    """Two readers find dates, times, numbers and amounts where there are some, and blanks."""
    data = write_workbook([KINDS], NOW)
    (sheet,) = opened(data)
    kinds = [cell.data_type for cell in sheet[2]]
    assert kinds == ["s", "n", "d", "d", "d", "d", "n", "n", "n"]
    assert [cell.number_format for cell in sheet[2]][2:] == [
        "yyyy-mm-dd",
        "hh:mm",
        "[hh]:mm",
        "yyyy-mm-dd hh:mm",
        "0.00",
        "0%",
        '#,##0.00\\ "€"',
    ]
    assert all(cell.value is None for cell in sheet[3])
    read = calamine_rows(data)[1]
    assert read[:3] == ["U9", 14.0, date(2026, 9, 5)]
    assert read[5] == datetime(2026, 9, 5, 17, 30)  # noqa: DTZ001 - a wall clock's
    assert read[6:] == [1.5, 0.25, 12.3]
    assert timedelta(days=1) in (read[4], sheet["E2"].value)


def test_headings_stay_in_view() -> None:
    """They are bold, stand still while one scrolls, and can be filtered by."""
    (sheet,) = opened(write_workbook([KINDS], NOW))
    assert sheet.freeze_panes == "A2"
    assert sheet["A1"].font.b
    assert sheet.auto_filter.ref == "A1:I3"
    assert sheet.print_title_rows == "$1:$1"


@pytest.mark.parametrize("text", ["=1+1", "+49 123 456", "@x", "-2", "{=A1}", "http://x.example/"])
def test_nothing_is_taken_for_a_formula(text: str) -> None:
    """Cells that begin like one, or like an address, are text, headings as well."""
    data = write_workbook([Table(text, (Column(text),), ((text,),), words=text)], NOW)
    (sheet,) = opened(data)
    assert [(cell.data_type, cell.value) for cell in (sheet["A1"], sheet["A2"])] == [
        ("s", text)
    ] * 2
    assert sheet["A2"].hyperlink is None
    assert b"<f>" not in _part(data)


def test_columns_offer_their_lists() -> None:
    """A list stands at every cell below its heading; words with commas cannot be offered."""
    columns = (Column("a", offers=("yes", "no")), Column("b", offers=("one, two",)))
    (sheet,) = opened(write_workbook([Table("t", columns, ())], NOW))
    (rule,) = sheet.data_validations.dataValidation
    assert rule.formula1 == '"yes,no"'
    assert str(rule.sqref) == "A2:A501"


@settings(max_examples=20)
@given(st.lists(st.text(max_size=40), min_size=1, max_size=30))
def test_any_text_comes_back(texts: list[str]) -> None:
    """Letters and signs of any script are read as they were, controls as blanks."""
    rows = tuple((text,) for text in texts)
    data = write_workbook([Table("t", (Column("a"),), rows)], NOW)
    found = [str(row[0]) for row in calamine_rows(data)[1:]]
    ended = [cell_text(text).replace("\r\n", "\n").replace("\r", "\n") for text in texts]
    assert [bare_cell(text) for text in found] == ended


@pytest.mark.parametrize("code", languages())
def test_dates_are_shown_as_in_the_language(code: str) -> None:
    """Each language's pattern is one that programs know: day, month, year, and signs between."""
    with speaking(code):
        (sheet,) = opened(write_workbook([KINDS], NOW))
    assert sheet["C2"].is_date
    assert sorted(set(sheet["C2"].number_format) & set("dmy")) == ["d", "m", "y"]
    if code == "de":
        assert sheet["C2"].number_format == "dd.mm.yyyy"


def test_what_no_cell_can_be_is_told_as_words() -> None:
    """Dates that programs disagree about are text, figures that are none blank, long words cut."""
    columns = (Column("d", Kind.DATE), Column("n", Kind.NUMBER), Column("w"))
    rows = ((date(1899, 1, 1), float("inf"), "x" * 40_000),)
    (sheet,) = opened(write_workbook([Table("t", columns, rows)], NOW))
    assert sheet["A2"].value == "1899-01-01"
    assert sheet["B2"].value is None
    assert len(sheet["C2"].value) == LONGEST_TEXT


def test_an_instant_needs_a_zone() -> None:
    """No wall clock is guessed."""
    table = Table("t", (Column("i", Kind.INSTANT),), ((NOW,),))
    with pytest.raises(ValueError, match="time zone"):
        write_workbook([table], NOW)


def test_sheets_have_names_of_their_own() -> None:
    """Signs that stand in formulas are left out, long names cut, repeated ones counted."""
    first = sheet_name("U9 / U11: hours [all]?")
    assert first == "U9 U11 hours all"
    assert sheet_name("u9 u11 hours all", [first]) == "u9 u11 hours all 2"
    assert sheet_name("x" * 40) == "x" * 31
    assert sheet_name("x" * 40, ["x" * 31]) == "x" * 29 + " 2"
    assert sheet_name("History") == "History 2"
    assert sheet_name("'''") == "1"
    table = Table("a:b", (Column("a"),), ())
    assert [s.title for s in opened(write_workbook([table, table], NOW))] == ["a b", "a b 2"]


def test_the_same_table_gives_the_same_bytes() -> None:
    """A workbook says when it was made by the time that it is told, not by a clock."""
    assert write_workbook([KINDS], NOW) == write_workbook([KINDS], NOW)


def _part(data: bytes) -> bytes:
    with zipfile.ZipFile(io.BytesIO(data)) as packed:
        return packed.read("xl/worksheets/sheet1.xml")
