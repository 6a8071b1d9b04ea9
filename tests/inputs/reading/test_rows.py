"""Header rows, and rows by the columns that they name."""

from __future__ import annotations

import pytest

from clubplanner.inputs.club_files.squads_file.squads import COLUMNS, read_squads
from tests.inputs.squads_file import FORMATS, faults_of, read, write_row


def test_blank_lines_are_passed_over_and_rows_keep_their_numbers() -> None:
    """Blank lines before, between and after, some with separators, change no row number."""
    text = "\n".join(
        ("", " ,,", ",".join(COLUMNS), "", write_row(), ",,,,,", write_row(minutes="ten"), "")
    )
    result = read_squads(text, "squads.csv", FORMATS)
    assert [row.row for row in result.asks] == [5]
    assert faults_of(result) == [("row 7, column minutes", "not-a-number")]


@pytest.mark.parametrize(
    "header",
    [
        "Squad,PLAYERS,Sessions A Week,minutes,possible",
        " squad , players , sessions_a_week , minutes , possible ",
        "squad,players,sessions-a-week,minutes,possible",
        "squad,players,sessionsaweek,minutes,possible,,",
    ],
)
def test_headers_are_known_in_any_usual_spelling(header: str) -> None:
    """Capitals, blanks, hyphens and empty columns at the end make no difference."""
    result = read("Kestrels,12,1,60,Mon 17:00-19:00", header=header)
    assert not result.problems
    assert result.asks[0].ask.minutes == 60


def test_unknown_repeated_and_missing_columns_are_all_told() -> None:
    """One reading of the header names each of its faults, and what is known."""
    result = read(header="squad,shoe size,players,squad,minutes")
    assert faults_of(result) == [
        ("row 1, column 2", "unknown-column"),
        ("row 1, column 4", "repeated-column"),
        ("row 1", "missing-column"),
        ("row 1", "missing-column"),
    ]
    assert "the columns are squad, age group" in result.problems[0].message
    assert "“sessions a week” is missing; add it" in result.problems[2].message
    assert "“possible” is missing; add it" in result.problems[3].message


@pytest.mark.parametrize("text", ["", "\n\n", " ", ",,,\n,,"])
def test_an_empty_file_is_told_as_such(text: str) -> None:
    """A file without a header says what its first row should be."""
    (problem,) = read_squads(text, "squads.csv", FORMATS).problems
    assert (problem.where, problem.code) == ("squads.csv", "empty")
    assert "first row names the columns: squad" in problem.message


def test_a_header_alone_is_a_fault() -> None:
    """A file without a squad says where the first belongs."""
    assert faults_of(read()) == [("row 2", "empty")]
