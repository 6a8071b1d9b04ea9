"""Matches from the command line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.services.evening.matches.test_booking import GROUND
from tests.small_club import KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_fixtures_are_loaded_listed_placed_and_called_off(
    empty_store: Store, tmp_path: Path
) -> None:
    """Each step in words or JSON; faults exit with 2."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store, pitches=GROUND)
    day = NOW.date() + timedelta(days=14)
    saturday = day + timedelta(days=(5 - day.weekday()) % 7)
    file = tmp_path / "fixtures.csv"
    file.write_text(
        "date,kick-off,squad,opponent\n"
        f"{saturday},10:00-11:00,U12 Kestrels,Brook End\n{saturday},12:30,U12 Kestrels,Hill Town\n"
    )
    assert "2 fixtures added." in run(path, "matches", "load", str(file)).output
    listed = json.loads(run(path, "matches", "list", "--json").output)
    assert [line["opponent"] for line in listed] == ["Brook End", "Hill Town"]
    shown = run(path, "matches", "place", "1").output
    assert "1  Whole of Top pitch, kick-off 10:00: displaces nobody" in shown
    assert "anchor them" in shown
    too_many = run(path, "matches", "place", "1", "--choose", "12")
    assert too_many.exit_code == 2
    assert "choose one of them" in too_many.output
    assert "kick-off 10:15" in run(path, "matches", "place", "1", "--choose", "2").output
    assert "Hill Town" in run(path, "matches", "place-free").output
    assert "None can be placed so." in run(path, "matches", "place-free").output
    moved = run(path, "matches", "change", "1", "--kick-off", "11:30", "--note", "Cup")
    assert "kick-off 11:30: its ground was given back" in moved.output, "Hill Town warm up by then"
    later = run(path, "matches", "change", "1", "--kick-off", "09:45", "--minutes", "60", "--json")
    assert json.loads(later.output)["done"].endswith("kick-off 09:45: changed.")
    assert (
        "must not come before"
        in run(path, "matches", "change", "1", "--latest-kick-off", "09:00").output
    )
    assert "not a time of day" in run(path, "matches", "change", "1", "--kick-off", "9").output
    assert "no form of the game" in run(path, "matches", "change", "1", "--format", "13v13").output
    assert "Tick who" in run(path, "matches", "bring-back", "1").output
    assert "kick-off 09:45" in run(path, "matches", "place", "1", "--choose", "1").output
    assert "called off" in run(path, "matches", "call-off", "2").output
    assert "Whole of Top pitch" in run(path, "matches", "list").output
    missing = run(path, "matches", "load", str(tmp_path / "none.csv"))
    assert missing.exit_code == 2
    assert "cannot be read" in missing.output


def test_who_made_way_is_brought_back(empty_store: Store, tmp_path: Path) -> None:
    """Calling off says how; one by its number, or all that can."""
    path = tmp_path / "empty.sqlite"
    store = load_small_club(empty_store, pitches=GROUND)
    day = NOW.date() + timedelta(days=14)
    number = book(store, KESTRELS, "third-1", day=day, start_min=1080, end_min=1140)
    file = tmp_path / "fixtures.csv"
    file.write_text(
        "date,kick-off,squad,opponent,format,minutes\n"
        f"{day},18:30,U14 Harriers,Brook End,11v11-u16,80\n"
    )
    run(path, "matches", "load", str(file))
    run(path, "matches", "place", "1", "--choose", "1")
    off = run(path, "matches", "call-off", "1").output
    assert "clubplanner matches bring-back 1" in off
    assert "look again" in run(path, "matches", "bring-back", "1", "--only", "999").output
    back = run(path, "matches", "bring-back", "1", "--only", str(number))
    assert "1 session is back where it was." in back.output
