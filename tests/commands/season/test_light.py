"""Light from the command line."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import TYPE_CHECKING

from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import KESTRELS, LOW, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_days_and_dark_endings_are_listed(empty_store: Store, tmp_path: Path) -> None:
    """Each in words and as JSON."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    assert run(path, "light", "list-dark").output == "Nothing is in the dark.\n"
    day = NOW.date() + timedelta(days=2)
    book(
        empty_store,
        KESTRELS,
        "half-1",
        pitch_key=LOW,
        day=day,
        start_min=1380,
        end_min=1430,
        now=NOW,
    )
    assert "U12 Kestrels" in run(path, "light", "list-dark").output
    (ending,) = json.loads(run(path, "light", "list-dark", "--json").output)
    assert ending["days"] == [day.isoformat()]
    shown = run(path, "light", "show", "2026-11-25", "--days", "2").output
    assert "Marsh Lane: unlit ground is used from 10 minutes before sunrise until 10" in shown
    told = json.loads(run(path, "light", "show", "2026-11-25", "--days", "2", "--json").output)
    rows, margin = told["days"], told["margin"]
    assert margin == "from 10 minutes before sunrise until 10 minutes after sunset"
    assert [row["day"] for row in rows] == [str(date(2026, 11, 25)), str(date(2026, 11, 26))]


def test_what_floodlights_cost_is_told(empty_store: Store, tmp_path: Path) -> None:
    """Set once, it stands below the days."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    assert "costs 12.40." in run(path, "light", "set-cost", "marsh-lane", "12.4").output
    shown = run(path, "light", "show", "2026-11-25", "--days", "1").output
    assert "Floodlights: 0.0 h, 0.00\n" in shown
