"""Tables as text: the reader's signs, dates that every program knows, no formulas."""

from __future__ import annotations

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.formulas import bare_cell
from clubplanner.language import speaking
from clubplanner.outputs.tables.table import Column, Kind, Table, cell_text
from clubplanner.outputs.tables.text_files import write_csv
from tests.outputs.tables.tables import csv_rows
from tests.outputs.tables.test_workbooks import KINDS


def test_cells_are_written_for_the_readers_programs() -> None:
    """In English a point and commas between cells, in German a comma and semicolons."""
    english = csv_rows(write_csv(KINDS))
    cells = ["U9", "14", "2026-09-05", "17:30", "24:00", "2026-09-05 17:30", "1.5", "25%", "12.30"]
    assert english[1:] == [cells, [""] * 9]
    with speaking("de"):
        german = csv_rows(write_csv(KINDS), ";")
    assert german[1][-3:] == ["1,5", "25%", "12,30"]


@pytest.mark.parametrize(
    ("text", "written"),
    [("=1+1", "'=1+1"), ("@x", "'@x"), ("+49 123 456", "+49 123 456"), ("\tx", "'\tx")],
)
def test_nothing_is_taken_for_a_formula(text: str, written: str) -> None:
    """What begins like one (OWASP, CSV Injection) is guarded; a telephone number stays."""
    assert csv_rows(write_csv(Table("t", (Column(text),), ((text,),)))) == [[written]] * 2


@given(st.text(max_size=60))
def test_any_text_comes_back(text: str) -> None:
    """Separators, quotes and line ends are read as they were."""
    rows = csv_rows(write_csv(Table("t", (Column("a"), Column("b")), ((text, "end"),))))
    assert [bare_cell(cell) for cell in rows[1]] == [cell_text(text), "end"]


def test_numbers_keep_what_they_say() -> None:
    """Thirds of an hour add up again; amounts have their digits, and nothing stands in words."""
    columns = (
        Column("h", Kind.HOURS),
        Column("n", Kind.NUMBER),
        Column("s", Kind.SHARE),
        Column("m", Kind.MONEY),
        Column("y", Kind.MONEY, decimals=0),
        Column("x", Kind.NUMBER),
    )
    row = (1 / 3, 1e20, 1 / 3, Decimal("0.005"), Decimal(1200), float("nan"))
    (_heading, cells) = csv_rows(write_csv(Table("t", columns, (row,))))
    assert cells == ["0.333333", "100000000000000000000", "33.333333%", "0.00", "1200", ""]


def test_past_midnight_the_clock_begins_again() -> None:
    """A minute counts from midnight; what ends at midnight ends at 24:00."""
    column = Column("t", Kind.TIME)
    rows = csv_rows(write_csv(Table("t", (column,), ((0,), (1439,), (1440,), (1500,)))))
    assert [row[0] for row in rows[1:]] == ["00:00", "23:59", "24:00", "01:00"]


def test_a_row_has_a_cell_for_every_column() -> None:
    """A row that is too short is a mistake of ours, not a table."""
    with pytest.raises(ValueError, match="zip"):
        write_csv(Table("t", (Column("a"), Column("b", Kind.DATE)), ((date(2026, 1, 1),),)))
    with pytest.raises(ValueError, match="time zone"):
        write_csv(Table("t", (Column("a"),), ((datetime(2026, 1, 1, tzinfo=UTC),),)))
