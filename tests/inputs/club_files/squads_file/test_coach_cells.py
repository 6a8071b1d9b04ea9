"""Coaches in the squads file: a first one with a telephone number, and assistants in one cell."""

from __future__ import annotations

import pytest

from clubplanner.domain.club.persons.coaches import Coach
from clubplanner.inputs.club_files.squads_file.coach_cells import write_assistants
from clubplanner.inputs.club_files.squads_file.squad_rows import row_of_squad, write_table
from tests.inputs.squads_file import GOOD, faults_of, read, write_row

KIM_AND_LEE = "Kim Vale <kim@x.example>; Lee Orr"


def test_assistants_are_read_in_order() -> None:
    """Names, with or without an address; a semicolon too many is no harm."""
    (squad,) = read(write_row(assistants=f" {KIM_AND_LEE};", coach_phone="+44 1632  960001")).squads
    assert squad.coach_phone == "+44 1632 960001"
    assert squad.assistants == (Coach("Kim Vale", "kim@x.example"), Coach("Lee Orr"))
    assert [coach.name for coach in squad.coaches] == ["Robin Hale", "Kim Vale", "Lee Orr"]


def test_what_is_written_is_read_back_the_same() -> None:
    """Also as the file to download, which keeps the plus sign of a number."""
    cells = {**GOOD, "assistants": KIM_AND_LEE, "coach phone": "+44 1632 960001"}
    text = write_table([cells], is_for_sheets=True)
    (squad,) = read(*text.splitlines()[1:]).squads
    assert row_of_squad(squad).items() <= cells.items()
    assert write_assistants(squad.assistants) == KIM_AND_LEE


def test_without_a_coach_the_first_assistant_answers_for_the_squad() -> None:
    """In a second row of the squad the cell may stand as it is."""
    row = write_row(coach="", coach_email="", assistants=KIM_AND_LEE)
    result = read(row, row)
    assert result.problems == ()
    assert (result.squads[0].coach, result.squads[0].coach_email) == ("Kim Vale", "kim@x.example")
    assert result.squads[0].assistants == (Coach("Lee Orr"),)


@pytest.mark.parametrize(
    ("column", "text", "code"),
    [
        ("assistants", "Kim Vale <kim at x>", "not-an-address"),
        ("assistants", "kim@x.example", "not-people"),
        ("assistants", "Kim <a@x.example> <b@x.example>", "not-people"),
        ("assistants", "Kim; KIM", "repeated"),
        ("assistants", "Robin Hale", "repeated"),
        ("assistants", ";".join(f"Person {n}" for n in range(10)), "too-many"),
        ("assistants", "K" * 81, "not-people"),
        ("coach phone", "ring after six", "not-a-number"),
        ("coach", "Robin; Kim", "not-a-name"),
    ],
)
def test_what_names_nobody_is_told_at_its_cell(column: str, text: str, code: str) -> None:
    """With what to write instead."""
    result = read(write_row(**{column.replace(" ", "_"): text}))
    assert faults_of(result) == [(f"row 2, column {column}", code)]


def test_a_file_without_the_column_says_nothing_of_assistants() -> None:
    """A blank cell says that there are none."""
    assert read(write_row()).names_assistants
    short = 'U12,16,1,60,"Mon 18:00-19:00"'
    header = "squad,players,sessions a week,minutes,possible"
    assert not read(short, header=header).names_assistants
