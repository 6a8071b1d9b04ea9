"""The journal from the command line."""

from __future__ import annotations

import json
from datetime import date, timedelta
from typing import TYPE_CHECKING

from click.testing import CliRunner

from clubplanner.commands import main
from tests.builders import NOW
from tests.small_club import KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from click.testing import Result

    from clubplanner.store.engine import Store


def run(path: Path, *words: str) -> Result:
    """Run a command on a database file."""
    return CliRunner().invoke(main, ["--database", f"sqlite:///{path}", *words])


def test_changes_are_listed_taken_back_and_past_evenings_shown(
    empty_store: Store, tmp_path: Path
) -> None:
    """List, undo and evening work one after the other, in words and as JSON."""
    path = tmp_path / "empty.sqlite"
    day = date(NOW.year + 1, 6, 16)
    load_small_club(empty_store)
    book(empty_store, KESTRELS, day=day, now=NOW - timedelta(hours=1))
    listed = run(path, "changes", "list")
    assert "1  " in listed.output
    assert "the planner: 1 booking added" in listed.output
    undone = json.loads(run(path, "changes", "undo", "2", "--json").output)
    assert undone["bookings"] == 1
    again = run(path, "changes", "undo", "2")
    assert again.exit_code == 2
    assert "It was taken back by change 3" in again.output
    lines = json.loads(run(path, "changes", "list", "--json").output)
    assert [line["by"] for line in lines] == ["the command line", "the planner", "the planner"]
    known = f"{NOW + timedelta(hours=1) - timedelta(minutes=90):%Y-%m-%dT%H:%M}"
    shown = run(path, "evenings", "show", str(day), known)
    assert "18:00–19:15  U12 Kestrels  Clubhouse third, Top pitch" in shown.output
    rows = json.loads(run(path, "evenings", "show", str(day), str(day), "--json").output)
    assert rows["bookings"] == [], "withdrawn by then"
