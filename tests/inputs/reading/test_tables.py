"""Tables split into rows of cells."""

from __future__ import annotations

import pytest

from clubplanner.inputs.club_files.squads_file.squads import COLUMNS, read_squads
from clubplanner.inputs.reading.rows import MOST_ROWS
from tests.inputs.squads_file import FORMATS, GOOD, faults_of, read, write_row


@pytest.mark.parametrize("separator", [",", ";", "\t"])
@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"])
def test_any_usual_separator_and_line_end_is_read(separator: str, line_end: str) -> None:
    """Commas, semicolons and tabs, on every kind of machine, give the same values."""
    rows = [separator.join(COLUMNS), write_row(separator), write_row(separator, squad="U9 Owls")]
    result = read_squads(line_end.join(rows), "squads.csv", FORMATS)
    assert not result.problems
    assert [squad.name for squad in result.squads] == ["U12 Kestrels", "U9 Owls"]
    assert result.asks == tuple(
        type(row)(row.row, row.ask) for row in read(write_row(), write_row(squad="U9 Owls")).asks
    )


def test_a_quoted_cell_may_hold_separators_and_line_ends() -> None:
    """Text in double quotes is one cell, and a row over two lines is one row."""
    result = read(write_row(coach="Hale, Robin"), write_row(squad="U9\nOwls", players="x"))
    assert result.squads[0].coach == "Hale, Robin"
    assert faults_of(result) == [("row 3, column players", "not-a-number")]


def test_a_file_of_too_many_rows_is_refused() -> None:
    """More rows than any club has squads are not read one by one."""
    result = read(*["x"] * MOST_ROWS)
    assert [problem.code for problem in result.problems] == ["too-long"]


def test_a_cell_larger_than_any_text_is_a_fault_of_the_file() -> None:
    """A missing closing quote that swallows the rest is told, not thrown."""
    result = read(f'"{"x" * 200_000}')
    assert [problem.code for problem in result.problems] == ["not-csv"]


def test_a_cell_too_many_is_told_with_the_likely_reason() -> None:
    """A separator inside an unquoted text shifts the row; the message says how to write it."""
    cells = GOOD | {"other squads": "beside U9 Owls"}
    row = ",".join(cells[column] for column in COLUMNS)
    result = read(row)
    assert ("row 2", "too-many-cells") in faults_of(result)
    assert "double quotes" in result.problems[0].message
