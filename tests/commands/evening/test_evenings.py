"""An evening from the command line: who was moved, and who is off."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import TYPE_CHECKING

from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import HARRIERS, KESTRELS, TOP, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_what_is_not_as_it_was_to_be_is_told(empty_store: Store, tmp_path: Path) -> None:
    """As on the page: from where a session was moved, and which one is off."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    day = date(NOW.year + 1, 6, 16)
    made = NOW - timedelta(hours=1)
    moved = book(empty_store, KESTRELS, day=day, now=made)
    off = book(empty_store, HARRIERS, "third-3", day=day, now=made)
    to = "--pitch", TOP, "--area", "third-2", "--because", "A test"
    done = run(path, "bookings", "move", str(moved), *to)
    assert done.exit_code == 0, done.output
    assert run(path, "bookings", "withdraw", str(off), "--why", "ill").exit_code == 0
    told = run(path, "evenings", "show", str(day)).stdout
    assert "Middle third, Top pitch  training  Moved: was Clubhouse third, Top pitch" in told
    assert "Off or elsewhere:\n18:00–19:15  U14 Harriers  Road third, Top pitch  Off: Ill" in told
    value = json.loads(run(path, "evenings", "show", str(day), "--json").stdout)
    assert [one["moved"] for one in value["bookings"]] == ["Moved: was Clubhouse third, Top pitch"]
    assert [one["state"] for one in value["missed"]] == ["Off: Ill"]
