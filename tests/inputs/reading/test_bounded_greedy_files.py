"""Small files that would take a large memory: each is refused in words, within bounds.

The bound is on what Python allocates while a file is read (tracemalloc), so it is the same on every
machine.
"""

from __future__ import annotations

import tracemalloc
from datetime import timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest

from clubplanner.domain.times.times import TimeRange
from clubplanner.inputs.calendars.busy import read_busy
from clubplanner.inputs.club_files.fixtures import read_fixtures
from clubplanner.inputs.club_files.settings import read_settings
from clubplanner.inputs.club_files.sizes import is_size_table, read_sizes
from clubplanner.inputs.club_files.squads_file.squads import read_squads
from clubplanner.inputs.ground_files.grounds import read_grounds
from clubplanner.inputs.reading.bounded import MOST_KEY_PARTS
from clubplanner.inputs.reading.faults import MOST_FAULTS
from tests.builders import NOW

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.domain.problems import Problem

MOST_BYTES = 64_000_000
LARGEST = 2_000_000
"""Letters; a quarter of the largest file that is loaded, so that the tests take seconds."""
COLLECTION = '{"type": "FeatureCollection", "venue": "Top", "features": [%s]}'
PITCH = '{"type": "Feature", "properties": {"role": "pitch", "name": "A", %s}, "geometry": %s}'

TOML = {
    "a dotted key": ".".join("a" * 12_000) + " = 1",
    "a dotted key with blanks": " . ".join("a" * 12_000) + " = 1",
    "a dotted key of quoted parts": ".".join(['"a"', "'b'"] * 6_000) + " = 1",
    "a dotted table": f"[{'.'.join('a' * 12_000)}]",
    "a dotted key in an inline table": "a = {" + ".".join("a" * 12_000) + " = 1}",
    "inline tables": "a = " + "{a = " * 12_000 + "1" + "}" * 12_000,
    "lists": "a = " + "[" * 500_000,
    "many dotted keys": "\n".join(f"b{n}." + ".".join("a" * 200) + " = 1" for n in range(2_000)),
    "many tables": "".join(f"[a{n}.b.c.d]\n" for n in range(50_000)),
    "many venues": "[[venues]]\n" * 8_000,
    "many venues in a line": "venues = [" + "{}," * 9_000 + "]",
    "a whole number": "[club]\nstep_minutes = " + "9" * 5_000,
    "a whole number in base 16": "[club]\nstep_minutes = 0x" + "f" * 900_000,
    "a number without end": "[[venues]]\nlon = 1e400",
    "a long line": "[club]\nname = '" + "x" * LARGEST + "'",
    "an open string": '[club]\nname = """' + "x" * 900_000,
    "backslashes": '[club]\nname = "' + "\\" * 200_000,
}
JSON = {
    "lists": "[" * LARGEST,
    "objects": '{"a":' * 1_000_000,
    "a list of lists": "[" + "[]," * 600_000 + "[]]",
    "a list of numbers": "[" + "1.5," * 600_001 + "1]",
    "positions": COLLECTION
    % PITCH
    % ('"x": 1', '{"type": "Polygon", "coordinates": [[' + "[0,0]," * 300_000 + "[0,0]]]}"),
    "a whole number": COLLECTION % PITCH % ('"length_m": ' + "9" * 5_000, "null"),
    "a number without end": COLLECTION % PITCH % ('"length_m": 1e400, "width_m": 50', "null"),
    "a position without end": COLLECTION
    % PITCH
    % ('"length_m": 90, "width_m": 50', '{"type": "Point", "coordinates": [1e400, 1e400]}'),
    "a name": COLLECTION % PITCH % ('"x": "' + "y" * LARGEST + '"', "null"),
    "nothing": "null",
}
HEADS = {
    "squads": "squad,players,sessions a week,minutes,possible\n",
    "sizes": "code,players_a_side,length_m,width_m\n",
    "fixtures": "squad,date,kick-off,opponent\n",
}
TABLES = {
    "blank rows": "\n" * LARGEST,
    "empty cells": "," * LARGEST,
    "rows of cells": ("," * 190 + "\n") * (LARGEST // 200),
    "a long cell": "x" * LARGEST,
    "an open quote": '"' + "x\n" * (LARGEST // 2),
    "quotes": '"",' * (LARGEST // 3),
    "a whole number": "9" * 5_000 + ",1e400," + "9" * 5_000,
}


def read_squads_here(text: str) -> Sequence[Problem]:
    """Read squads and return the faults."""
    return read_squads(text, "x.csv", ()).problems


def read_sizes_here(text: str) -> Sequence[Problem]:
    """Tell whether it is a table of sizes, read it, and return the faults."""
    is_size_table(text)
    return read_sizes(text, "x.csv").problems


def read_fixtures_here(text: str) -> Sequence[Problem]:
    """Read fixtures and return the faults."""
    return read_fixtures(text, "x.csv", ()).problems


READERS = {
    "squads": read_squads_here,
    "sizes": read_sizes_here,
    "fixtures": read_fixtures_here,
}


def faults_within_bounds(read: Callable[[], Sequence[Problem]]) -> Sequence[Problem]:
    """Read a file, hold the memory it took to the bound, and return its faults."""
    tracemalloc.start()
    try:
        problems = read()
        _now, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < MOST_BYTES
    assert 0 < len(problems) <= MOST_FAULTS + 1
    assert all(len(problem.message) < 500 for problem in problems)
    return problems


@pytest.mark.parametrize("name", TOML)
def test_no_settings_file_takes_a_large_memory(name: str) -> None:
    """Deep, wide, long or many: told in words, the largest part of it never built."""
    faults_within_bounds(lambda: read_settings(TOML[name], "club.toml").problems)


@pytest.mark.parametrize("name", JSON)
def test_no_grounds_file_takes_a_large_memory(name: str) -> None:
    """Deep, wide, long or many: told in words, the largest part of it never built."""
    faults_within_bounds(lambda: read_grounds(JSON[name], "top.geojson").problems)


@pytest.mark.parametrize("name", TABLES)
@pytest.mark.parametrize("kind", READERS)
def test_no_table_takes_a_large_memory(kind: str, name: str) -> None:
    """With its header before it or not, a table is split no further than it may go."""
    for head in ("", HEADS[kind]):
        faults_within_bounds(lambda text=head + TABLES[name]: READERS[kind](text))  # type: ignore[misc]


EVENT = "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nUID:a\r\nDTSTART:20261125T180000Z\r\n"
CALENDARS = {
    "blank lines": EVENT + "\n" * (LARGEST // 4),
    "a long line": EVENT + "SUMMARY:" + "x" * LARGEST,
    "a line folded often": EVENT + "RDATE:" + "\r\n x" * (LARGEST // 4),
    "many dates": EVENT + "RDATE:" + "20261126T180000Z," * (LARGEST // 20),
    "nested components": EVENT + "BEGIN:VALARM\r\n" * (LARGEST // 14),
    "events left open": EVENT * (LARGEST // len(EVENT)),
    "a large number": EVENT + "RRULE:FREQ=DAILY;COUNT=" + "9" * 5_000 + "\r\nEND:VEVENT",
    "a long time": EVENT + "DURATION:P" + "9" * 5_000 + "D\r\nEND:VEVENT",
}


@pytest.mark.parametrize("name", CALENDARS)
def test_no_calendar_takes_a_large_memory(name: str) -> None:
    """A calendar of others is taken apart within bounds, whatever it repeats or nests."""
    data, during = CALENDARS[name].encode(), TimeRange(NOW, NOW + timedelta(days=30))
    faults_within_bounds(lambda: read_busy(data, "theirs.ics", during, ZoneInfo("UTC")).problems)


def test_ordinary_settings_are_not_counted_out() -> None:
    """Dots in text, comments and numbers make no dotted key; a few parts are a plain fault."""
    dots = ".".join("abcdefghijklmnop")
    text = f'''# {dots}
[club]
name = "{dots}"
time_zone = """Europe/London"""
  # {dots} "
[[venues]]
name = '{dots}'
address = """{dots}
"{dots}" and {dots} """
opening = "Mon-Fri 16:00-22:00"
lon = 1.25
lat = 51.5
'''
    read = read_settings(text, "club.toml")
    assert read.problems == ()
    assert read.club is not None
    assert read.club.name == dots
    few = ".".join("a" * MOST_KEY_PARTS) + " = 1\n"
    assert "“a” is not a part" in read_settings(few, "x").problems[0].message
    (problem,) = read_settings(text + "\n" + "a." + few, "x").problems
    assert problem.code == "not-toml"
    assert "Line 14 has a name of 9 parts" in problem.message


def test_a_number_of_too_many_digits_is_told_in_words() -> None:
    """The message says what is wrong with the file, not how to set up Python."""
    for problems in (
        read_settings("[club]\nstep_minutes = " + "9" * 900, "x").problems[1:2],
        read_settings("[club]\nstep_minutes = " + "9" * 5_000, "x").problems,
        read_grounds(JSON["a whole number"], "x").problems,
    ):
        (problem,) = problems
        assert "sys." not in problem.message


def test_of_very_many_faults_the_first_are_told() -> None:
    """The last one says that there are more."""
    problems = read_settings("[[venues]]\n" * 5_000, "club.toml").problems
    assert len(problems) == MOST_FAULTS + 1
    assert problems[-1].code == "and-more"
