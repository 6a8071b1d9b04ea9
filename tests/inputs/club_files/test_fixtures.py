"""Reading fixtures from a file: every fault at once."""

from __future__ import annotations

from datetime import date

from clubplanner.inputs.club_files.fixtures import read_fixtures

FORMATS = ("5v5", "9v9")
HEADER = (
    "date,kick-off,squad,opponent,format,minutes,warm-up,changeover,pitch,officials,note,"
    "opponents\n"
)


def test_a_full_row_and_a_short_one_are_read() -> None:
    """What is left out stays open; a span of kick-offs and both ways to write a date are read."""
    read = read_fixtures(
        HEADER
        + "2026-11-28,10:00-14:00,U12 Kestrels,Brook End,9v9,75,20,10,"
        + "Top pitch,Mx Ash 9:30,Cup,from 9:15\n"
        + "\n"
        + "05/12/2026,14.00,u14-harriers,Hill Town,,,,,,,,\n",
        "fixtures.csv",
        FORMATS,
    )
    assert read.problems == ()
    first, second = read.lines
    assert (first.day, first.kick_off_from, first.kick_off_to) == (date(2026, 11, 28), 600, 840)
    assert (first.format_code, first.minutes, first.warm_up_minutes) == ("9v9", 75, 20)
    assert (first.after_minutes, first.pitch_name, first.officials) == (
        10,
        "Top pitch",
        "Mx Ash 9:30",
    )
    assert (first.note, first.opponents) == ("Cup", "from 9:15")
    assert (second.row, second.day, second.kick_off_to) == (4, date(2026, 12, 5), 840)
    assert (second.minutes, second.format_code) == (None, "")


def test_every_fault_is_told_with_its_place_and_what_to_write() -> None:
    """No row hides the faults of another."""
    read = read_fixtures(
        HEADER
        + "soon,noon,,,7-a-side,many,-1,999,,,,\n"
        + "2026-11-28,14:00-10:00,Kestrels,Brook End,,,,,,,,,extra\n",
        "fixtures.csv",
        FORMATS,
    )
    assert read.lines == ()
    told = [str(problem) for problem in read.problems]
    for words in (
        "row 2, column squad: The squad is missing",
        "row 2, column opponent: The opponent is missing",
        "“7-a-side” is not a known form of the game; write 5v5 or 9v9",
        "“noon” is no time; write 14:00, or 10:00-14:00",
        "“soon” is not a date; write it like 2026-11-28",
        "“many” will not do; write 5 to 300",
        "“-1” will not do; write 0 to 120",
        "“999” will not do; write 0 to 120",
        "row 3, column kick-off: “14:00-10:00” runs backwards",
        "row 3: The row has 13 cells, the header 12",
    ):
        assert any(words in line for line in told), words


def test_the_table_as_a_whole_is_checked() -> None:
    """Empty files, unknown, repeated and missing columns each have their message."""
    cases = {
        "": "The file is empty",
        HEADER: "No fixture follows the header",
        "date;kick-off;squad\n": "The column “opponent” is missing",
        "date,date,kick-off,squad,opponent,colour\n": "“colour” is not a column",
        "date,date,kick-off,squad,opponent\n": "“date” stands there twice",
        HEADER + "\n" * 5001: "more than 5000 rows",
    }
    for text, words in cases.items():
        problems = read_fixtures(text, "fixtures.csv", FORMATS).problems
        assert any(words in str(problem) for problem in problems), words
    long = HEADER + f"2026-11-28,14:00,{'K' * 300},Brook End,,,,,,,,\n"
    assert "use at most 80" in str(read_fixtures(long, "f.csv", FORMATS).problems[0])


def test_dates_far_off_are_faults() -> None:
    """A mistyped year is told, not computed with."""
    for day in ("0001-01-01", "9999-12-31", "28/11/0026", "31/02/2027"):
        text = HEADER + f"{day},14:00,Kestrels,Brook End,,,,,,,,\n"
        (problem,) = read_fixtures(text, "f.csv", FORMATS).problems
        assert "is not a date" in str(problem)
