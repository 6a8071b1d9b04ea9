"""Calendars of others from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main
from tests.services.calendars.test_busy_calendars import LATE, calendar
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_taken_in_read_listed_and_ended(empty_store: Store, tmp_path: Path) -> None:
    """By file; faults with exit code 2."""
    store = load_small_club(empty_store)
    file = tmp_path / "council.ics"
    file.write_bytes(calendar(LATE.replace("2026", "2046")))

    def run(*arguments: str, code: int = 0) -> str:
        command = ["--database", str(store.engine.url), "calendars", *arguments]
        result = CliRunner().invoke(main, command)
        assert result.exit_code == code, result.output
        return result.output

    assert run("list") == "None yet.\n"
    assert "0 times booked" in run("add", "Town council", "Top pitch", str(file))
    assert "0 times booked" in run("read", "1")
    assert json.loads(run("list", "--json"))[0]["source"] == "a file"
    assert "0 bookings given back." in run("withdraw", "1")
    assert "no such calendar" in run("read", "1", code=2)
    assert "There is no pitch" in run("add", "X", "Moon", str(file), code=2)
    assert "cannot be read" in run("add", "X", "Top pitch", str(tmp_path / "none.ics"), code=2)
    inside = run("add", "X", "Top pitch", "http://localhost/x.ics", code=2)
    assert "inside a network" in inside
