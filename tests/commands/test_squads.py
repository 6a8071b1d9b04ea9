"""Squads that end or begin, from the command line."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from tests.commands.test_changes import run
from tests.small_club import KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_a_squad_ends_by_command(empty_store: Store, tmp_path: Path) -> None:
    """Looked at, done, and refused the second time with 2."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    day = datetime.now(UTC).date() + timedelta(days=9)
    book(empty_store, day=day)
    looked = json.loads(run(path, "squads", "end", KESTRELS, str(day), "--look", "--json").output)
    assert (looked["sessions"], looked["matches"]) == (1, [])
    assert "Top pitch: 1" in run(path, "squads", "end", KESTRELS, str(day), "--look").output
    done = run(path, "squads", "end", KESTRELS, str(day), "--why", "too few")
    assert "1 session withdrawn." in done.output
    again = run(path, "squads", "end", KESTRELS, str(day))
    assert again.exit_code == 2
    assert "end already" in again.output
