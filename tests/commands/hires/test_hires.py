"""Hires from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

TUESDAYS = ("--first", "2046-05-01", "--last", "2046-05-29")
HOURS = ("--from", "18:00", "--to", "19:30")


def test_booked_moved_made_longer_and_ended(small: Store) -> None:
    """A series by commands: looked at first, each date told; faults with exit code 2."""

    def run(*arguments: str, code: int = 0) -> str:
        command = ["--database", str(small.engine.url), "hires", *arguments]
        result = CliRunner().invoke(main, command)
        assert result.exit_code == code, result.output
        return result.output

    assert run("list") == "No hire is known yet.\n"
    ask = ("add", "Walking club", "Hall", *TUESDAYS, *HOURS, "--leave-out", "2046-05-08")
    looked = run(*ask, "--look").splitlines()
    assert [line.partition(": ")[2] for line in looked] == [
        "booked.",
        "left out.",
        *["booked."] * 3,
    ]
    assert run(*ask).startswith("Walking club: 4 dates booked; left out: Tue 8 May.")
    assert not any(one["is_booked"] for one in json.loads(run(*ask, "--look", "--json")))
    assert "No date is left" in run(*ask, code=2)
    move = ("--on", "2046-05-15", "--pitch", "Hall", "--from", "19:00", "--to", "20:00")
    assert run("move", "1", *move, "--weekday", "wednesday", "--look") == "3 can go there.\n"
    assert "3 dates moved" in run("move", "1", *move, "--weekday", "wednesday")
    assert "2 dates booked" in run("extend", "1", "--until", "2046-06-06", "--json")
    shown = run("show", "1")
    assert "Wednesday 19:00–20:00, every week" in shown
    assert "Wed 6 Jun 2046, 19:00–20:00" in shown
    assert json.loads(run("list", "--json"))[0]["coming"] == 6
    assert "No date of this hire is left out" in run("extend", "1", code=2)
    assert "5 dates given back" in run("withdraw", "1", "--after", "2046-05-01")
    assert "There is no pitch" in run("add", "X", "Moon", *TUESDAYS, *HOURS, code=2)
    late = ("--from", "late", "--to", "19:00")
    assert "not a time of day" in run("add", "X", "Hall", *TUESDAYS, *late, code=2)
    assert "not in the records" in run("show", "9", code=2)
