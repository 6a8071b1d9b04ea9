"""Squads and asks from a CSV file."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.club.squads import LeastGround
from clubplanner.domain.times.times import Window
from clubplanner.inputs.club_files.squads_file.squads import COLUMNS, REQUIRED, read_squads
from clubplanner.inputs.reading.faults import decode_text
from tests.inputs.squads_file import FORMATS, GOOD, faults_of, read, write_row


def test_a_row_becomes_a_squad_and_an_ask() -> None:
    """Every column lands where it belongs."""
    result = read(write_row())
    assert not result.problems
    (squad,) = result.squads
    assert (squad.key, squad.name, squad.age_group) == ("u12-kestrels", "U12 Kestrels", "U12")
    assert (squad.players, squad.goalkeepers) == (16, 2)
    assert (squad.coach, squad.coach_email) == ("Robin Hale", "robin@example.org")
    (row,) = result.asks
    assert row.row == 2
    ask = row.ask
    assert (ask.squad_key, ask.sessions, ask.minutes) == ("u12-kestrels", 2, 75)
    assert ask.possible == tuple(Window(day, 1020, 1200) for day in range(4))
    assert ask.preferred == (Window(0, 1080, 1170), Window(2, 1080, 1170))
    assert ask.least_ground == LeastGround(share=1 / 3)
    assert ask.surfaces == {"artificial"}
    assert (ask.needs_goal, ask.needs_light) == (True, False)


def test_the_required_columns_are_enough() -> None:
    """What is left out is blank, none, or any."""
    result = read("Kestrels,12,1,60,Mon 17:00-19:00", header=",".join(REQUIRED))
    assert not result.problems
    assert result.squads[0].goalkeepers == 0
    assert result.asks[0].ask.least_ground == LeastGround()
    assert result.asks[0].ask.surfaces == frozenset()


@pytest.mark.parametrize("coding", ["utf-8", "utf-8-sig", "cp1252"])
def test_letters_beyond_ascii_arrive_whole(coding: str) -> None:
    """UTF-8, with a mark in front or not, and Windows-1252 all keep a coach's name."""
    text = "\n".join((",".join(COLUMNS), write_row(coach="Zoë Brûlé", squad="Mädchen U13")))
    result = read_squads(decode_text(text.encode(coding)), "squads.csv", FORMATS)
    assert not result.problems
    assert result.squads[0].coach == "Zoë Brûlé"
    assert result.squads[0].key == "madchen-u13"


def test_every_fault_of_a_file_is_found_at_once() -> None:
    """One bad cell hides no other, in its row or in a later one; good rows are still read."""
    result = read(
        write_row(
            squad=" ",
            players="many",
            goalkeepers="-1",
            coach_email="robin at example",
            sessions_a_week="0",
            minutes="10",
            possible="Someday",
            preferred="Mon 25:00-26:00",
            least_ground="big",
            needs_goal="maybe",
            needs_light="dunno",
        ),
        write_row(),
        write_row(squad="U9 Owls", minutes="", possible=""),
    )
    assert sorted(faults_of(result)) == sorted(
        [
            ("row 2, column squad", "missing"),
            ("row 2, column players", "not-a-number"),
            ("row 2, column goalkeepers", "not-a-number"),
            ("row 2, column coach e-mail", "not-an-address"),
            ("row 2, column sessions a week", "out-of-range"),
            ("row 2, column minutes", "out-of-range"),
            ("row 2, column possible", "not-a-window"),
            ("row 2, column preferred", "not-a-window"),
            ("row 2, column least ground", "not-a-size"),
            ("row 2, column needs goal", "not-yes-or-no"),
            ("row 2, column needs light", "not-yes-or-no"),
            ("row 4, column minutes", "not-a-number"),
            ("row 4, column possible", "missing"),
        ]
    )
    assert [row.row for row in result.asks] == [3]


@pytest.mark.parametrize(
    ("changes", "column", "code", "advice"),
    [
        ({"squad": "x" * 81}, "squad", "too-long", "use at most 80"),
        ({"players": ""}, "players", "not-a-number", "A number is missing; write one from 1 to"),
        ({"players": "12.5"}, "players", "not-a-number", "“12.5” is not a whole number"),
        ({"players": "0"}, "players", "out-of-range", "0 is too small; write a number from 1"),
        ({"players": "201"}, "players", "out-of-range", "201 is too large"),
        ({"players": "9" * 40}, "players", "not-a-number", "write one from 1 to 200"),
        ({"goalkeepers": "17"}, "goalkeepers", "out-of-range", "more than the 16 players"),
        ({"coach_email": "a@b"}, "coach e-mail", "not-an-address", "like name@example.org"),
        ({"sessions_a_week": "8"}, "sessions a week", "out-of-range", "from 1 to 7"),
        ({"sessions_a_week": "5"}, "sessions a week", "too-many", "only 4 can hold one"),
        ({"minutes": "181"}, "possible", "too-short", "No time is as long as the 181 minutes"),
        ({"minutes": "14"}, "minutes", "out-of-range", "from 15 to 360"),
        ({"possible": " ; "}, "possible", "missing", "write them like Mon 17:30-19:00"),
        ({"possible": "Mon 19:00-17:00"}, "possible", "not-a-window", "ends before it starts"),
        ({"preferred": "Sat 09:00-11:00"}, "preferred", "not-possible", "lies outside"),
        ({"least_ground": "third, huge"}, "least ground", "not-a-size", "“huge” is no size"),
        ({"least_ground": "1/0"}, "least ground", "not-a-size", "square metres (1500 m2)"),
        ({"least_ground": "6v6"}, "least ground", "not-a-size", "5v5, 7v7, 9v9 or 11v11"),
        ({"least_ground": "9" * 400 + "m2"}, "least ground", "not-a-size", "square metres"),
        ({"needs_goal": "perhaps"}, "needs goal", "not-yes-or-no", "write yes or no"),
    ],
)
def test_a_faulty_cell_is_told_with_what_to_write(
    changes: dict[str, str], column: str, code: str, advice: str
) -> None:
    """Row and column are named, and the message says how it should be written."""
    result = read(write_row(**changes))
    assert faults_of(result) == [(f"row 2, column {column}", code)]
    assert advice in result.problems[0].message
    assert not result.squads


def test_a_squad_may_ask_in_several_rows() -> None:
    """The later rows may leave blank what describes the squad, or repeat it."""
    blank: dict[str, Any] = dict.fromkeys(("age_group", "players", "coach", "coach_email"), "")
    result = read(
        write_row(sessions_a_week="1"),
        write_row(sessions_a_week="1", minutes="60", goalkeepers="", **blank),
        write_row(squad="u12  kestrels", sessions_a_week="1", minutes="45"),
    )
    assert not result.problems
    assert [squad.name for squad in result.squads] == ["U12 Kestrels"]
    assert [(row.row, row.ask.minutes) for row in result.asks] == [(2, 75), (3, 60), (4, 45)]


def test_rows_of_one_squad_that_differ_are_told() -> None:
    """A second row may not say something else about the same squad; both texts are shown."""
    result = read(write_row(), write_row(players="18", coach="Kim Vale"))
    assert faults_of(result) == [
        ("row 3, column players", "differs"),
        ("row 3, column coach", "differs"),
    ]
    assert "“18” differs from the earlier row of U12 Kestrels (“16”)" in result.problems[0].message
    assert "rename the squad" in result.problems[0].message


def test_surfaces_are_read_as_a_list() -> None:
    """Several surfaces stand in one cell, in any capitals."""
    result = read(write_row(surface="Artificial, grass,"))
    assert result.asks[0].ask.surfaces == {"artificial", "grass"}


@given(st.text())
def test_no_text_is_thrown_back(text: str) -> None:
    """Any text gives problems or values, and never neither."""
    result = read_squads(text, "squads.csv", FORMATS)
    assert result.problems or result.squads


@given(st.binary())
def test_no_bytes_are_thrown_back(data: bytes) -> None:
    """Bytes of any other program are told as a file that cannot be used."""
    assert read_squads(decode_text(data), "squads.csv", FORMATS).problems


CELLS = st.sampled_from(
    [*GOOD.values(), "", "x", "0", "-1", "9" * 20, "1e9", "٣", "Sun 09:00-24:00", "24:00", "\x00"]
) | st.text(max_size=12)


@given(st.lists(st.lists(CELLS, max_size=len(COLUMNS) + 1), max_size=4))
def test_what_is_read_without_a_problem_makes_sense(rows: list[list[str]]) -> None:
    """Under the right header any cells give problems, or asks that can be met in principle."""
    lines = [",".join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows]
    result = read(*lines)
    if result.problems:
        return
    assert result.squads
    for row in result.asks:
        assert row.ask.squad_key in {squad.key for squad in result.squads}
        assert 15 <= row.ask.minutes <= 360
        assert any(w.end_min - w.start_min >= row.ask.minutes for w in row.ask.possible)


def test_a_squad_that_asks_for_nothing_has_no_sessions() -> None:
    """With 0 sessions and nothing more said of them, a row is of the squad alone."""
    header = ",".join([*REQUIRED, "needs goal"])
    result = read("Kestrels,12,0,,,", header=header)
    assert not result.problems
    assert [squad.name for squad in result.squads] == ["Kestrels"]
    assert result.asks == ()


@pytest.mark.parametrize("row", ["Kestrels,12,0,60,,", "Kestrels,12,0,,,yes", "Kestrels,12,,,,"])
def test_half_an_ask_is_none(row: str) -> None:
    """Whoever says anything of sessions asks for some, and a number left out is told."""
    result = read(row, header=",".join([*REQUIRED, "needs goal"]))
    assert "row 2, column sessions a week" in [p.where.partition(", ")[2] for p in result.problems]


def test_guarded_words_are_read_without_their_guard() -> None:
    """An apostrophe that keeps a spreadsheet from computing a name is no part of it."""
    header = ",".join(REQUIRED)
    result = read("'=Cats,12,1,60,Mon 17:00-19:00\n't Hof,9,1,60,Mon 17:00-19:00", header=header)
    assert [squad.name for squad in result.squads] == ["=Cats", "'t Hof"]


def test_a_file_without_columns_of_coaches_says_nothing_of_them() -> None:
    """One such column is enough to say who coaches."""
    row, header = "Kestrels,12,1,60,Mon 17:00-19:00", ",".join(REQUIRED)
    assert not read(row, header=header).names_coaches
    assert read(f"{row},", header=f"{header},coach phone").names_coaches
