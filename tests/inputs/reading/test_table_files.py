"""Files of tables, whatever they are: one as text, a workbook with one or several."""

from __future__ import annotations

from datetime import UTC, date, datetime

from clubplanner.inputs.reading.table_files import read_table_file
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.outputs.tables.workbooks import write_workbook

NOW = datetime(2026, 11, 30, tzinfo=UTC)
SQUADS = Table(
    "Squads",
    (Column("squad"), Column("players", Kind.NUMBER), Column("first", Kind.DATE)),
    (("U9, the =Larks", 14, date(2026, 9, 5)), ("=U11", None, None)),
)


def test_a_workbook_is_the_same_as_its_text() -> None:
    """Dates, numbers and separators within cells are as a person would have typed them."""
    (table,) = read_table_file(write_workbook([SQUADS], NOW), "squads.xlsx").tables
    assert table.name == "squads.xlsx"
    assert table.text.splitlines() == [
        "squad,players,first",
        '"U9, the =Larks",14,2026-09-05',
        "=U11",
    ]


def test_each_sheet_is_a_table_of_its_own() -> None:
    """Sheets that hold nothing are passed over; problems name the sheet."""
    empty = Table("Nothing", (), ())
    data = write_workbook([SQUADS, empty, Table("Others", SQUADS.columns, ())], NOW)
    tables = read_table_file(data, "club.xlsx").tables
    assert [one.name for one in tables] == ["club.xlsx, sheet Squads", "club.xlsx, sheet Others"]


def test_what_is_no_table_is_told() -> None:
    """A workbook of an old kind, and a broken one, say what to do; text is taken as it is."""
    for data in (b"\xd0\xcf\x11\xe0 old", b"PK\x03\x04 broken"):
        read = read_table_file(data, "squads.csv")
        assert not read.tables
        assert "save it" in read.problems[0].message
    (text,) = read_table_file("squad;players\nÄ;1".encode("cp1252"), "squads.xlsx").tables
    assert text.text == "squad;players\nÄ;1"
