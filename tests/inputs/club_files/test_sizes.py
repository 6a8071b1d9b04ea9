"""A club's own table of game sizes: read whole, or every fault with its place and remedy."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.fitting import parse_formats
from clubplanner.inputs.club_files.sizes import LONGEST_M, is_size_table, read_sizes
from clubplanner.resources import published_table

HEADER = "code,age_from,age_to,players_a_side,length_m,width_m,goal_width_m,goal_height_m\n"
ROW = "6v6-evening,9,10,6,40,30,3,2\n"


def faults(text: str) -> list[tuple[str, str]]:
    """Return place and code of each fault."""
    return [(p.where.partition(", ")[2], p.code) for p in read_sizes(text, "sizes.csv").problems]


def test_a_table_is_read() -> None:
    """A row becomes a format; what is left blank has a plain default."""
    read = read_sizes(HEADER + ROW, "sizes.csv")
    assert read.problems == ()
    (game,) = read.formats
    assert (game.code, game.players_a_side, game.length_m, game.width_m) == (
        "6v6-evening",
        6,
        40,
        30,
    )
    assert (game.sport, game.body, game.source) == ("football", "our club", "the club's own table")
    assert (game.age_from, game.age_to, game.run_off_m) == (9, 10, None)


def test_yards_feet_commas_and_semicolons() -> None:
    """Older units become metres exactly; a comma may stand for the point of a decimal."""
    text = "Code;Players a side;Length yd;Width yd;Goal width ft\nMini;5;40,5;30;12\n"
    (game,) = read_sizes(text, "sizes.csv").formats
    assert game.code == "mini"
    assert (game.length_m, game.width_m) == pytest.approx((40.5 * 0.9144, 30 * 0.9144), abs=1e-9)
    assert game.goal_width_m == pytest.approx(12 * 0.3048, abs=1e-9)


def test_the_published_table_is_such_a_table() -> None:
    """What is published for a season, loaded as a club's own, gives the same formats."""
    rows = list(csv.DictReader(io.StringIO(published_table("formats.csv"))))
    season = [row for row in rows if row["valid_until"] != "2026-07-01"]
    columns = [name for name in rows[0] if name not in ("valid_from", "valid_until")]
    text = io.StringIO()
    writer = csv.DictWriter(text, columns, extrasaction="ignore")
    writer.writeheader()
    writer.writerows(season)
    assert is_size_table(text.getvalue())
    read = read_sizes(text.getvalue(), "formats.csv")
    assert read.problems == ()
    assert read.formats == parse_formats(text.getvalue())


def test_tables_are_told_apart_by_their_columns() -> None:
    """A squads file is none, nor is anything else; blank rows above the header do not matter."""
    assert is_size_table("\n\n" + HEADER)
    assert not is_size_table("squad,players,sessions a week,minutes,possible\n")
    assert not is_size_table("")
    assert not is_size_table("\x00,\x00\n")


def test_a_header_alone_is_a_club_without_sizes() -> None:
    """A table without rows is no fault."""
    assert read_sizes(HEADER, "sizes.csv") == read_sizes("\n" + HEADER + "\n,,,\n", "sizes.csv")
    assert read_sizes(HEADER, "sizes.csv").formats == ()


def test_blank_rows_alone_lack_every_column() -> None:
    """A table of blank rows is told what its header needs, like an empty one."""
    told = read_sizes("", "sizes.csv").problems
    assert [problem.where for problem in told] == ["sizes.csv, row 1"] * 4
    assert read_sizes(",,\n,", "sizes.csv").problems == told


def test_every_fault_is_told_at_once() -> None:
    """Each fault has its row and column, and says what to write instead."""
    text = (
        "code,age_from,age_to,players_a_side,length_m,length_yd,width_m,goal_width_m,standing\n"
        "half,9,10,6,40,,30,3,\n"
        ",11,9,six,,,-3,3,\n"
        "a,,,0,40,44,9999,90,hearsay\n"
        "b b,,,100,nan,,1e9,,\n"
        "c,,,7,50,,35,,,spare\n"
        "c,,,7,50,,35,60,\n"
    )
    assert faults(text) == [
        ("row 2, column code", "not-a-code"),
        ("row 3, column length_m", "missing"),
        ("row 3, column width_m", "not-a-length"),
        ("row 3, column age_to", "before"),
        ("row 3, column code", "missing"),
        ("row 3, column players_a_side", "not-a-number"),
        ("row 4, column length_yd", "twice"),
        ("row 4, column width_m", "not-a-length"),
        ("row 4, column standing", "unknown"),
        ("row 4, column players_a_side", "not-a-number"),
        ("row 5, column length_m", "not-a-length"),
        ("row 5, column width_m", "not-a-length"),
        ("row 5, column code", "not-a-code"),
        ("row 5, column players_a_side", "not-a-number"),
        ("row 6", "too-many-cells"),
        ("row 7, column goal_width_m", "too-large"),
        ("row 7, column code", "repeated"),
    ]
    messages = [p.message for p in read_sizes(text, "sizes.csv").problems]
    assert "“-3” will not do; write a number from 0.5 to 500." in messages
    assert any("write it in length_m or in length_yd" in message for message in messages)


def test_faults_of_the_header() -> None:
    """Columns that are not known, missing or doubled are told."""
    assert faults("code,players_a_side,players a side,hue,length_yd\n") == [
        ("row 1, column 3", "repeated-column"),
        ("row 1, column 4", "unknown-column"),
        ("row 1", "missing-column"),
    ]
    read = read_sizes("players_a_side\n", "sizes.csv")
    assert any("length_m or length_yd" in problem.message for problem in read.problems)


def test_too_long_a_table_and_too_long_a_text() -> None:
    """A table of thousands of rows, or a cell of a thousand letters, is a slip."""
    (problem,) = read_sizes(HEADER + ROW * 300, "sizes.csv").problems
    assert (problem.where, problem.code) == ("sizes.csv", "too-long")
    text = "code,players_a_side,length_m,width_m,note\n" + f"x,5,40,30,{'n' * 301}\n"
    assert faults(text) == [("row 2, column note", "too-long")]


@pytest.mark.parametrize("code", ["whole", "1500m2", "1500 m2", "1/3", "ä", "-x", "x" * 31, "a,b"])
def test_codes_that_mean_something_else(code: str) -> None:
    """A code can be written as a squad's least ground without being taken for another size."""
    text = f'code,players_a_side,length_m,width_m\n"{code}",5,40,30\n'
    assert faults(text) == [("row 2, column code", "not-a-code")]


@given(st.text(alphabet=st.characters(blacklist_categories=["Cs"]), max_size=200))
def test_any_text_is_read_or_told(text: str) -> None:
    """Whatever stands below the header, each row is read whole or its faults are told."""
    read = read_sizes(HEADER + text, "sizes.csv")
    if not read.problems:
        assert all(0 < game.width_m <= LONGEST_M for game in read.formats)
        assert all(1 <= game.players_a_side <= 99 for game in read.formats)
    assert all(p.message.endswith(".") for p in read.problems)
