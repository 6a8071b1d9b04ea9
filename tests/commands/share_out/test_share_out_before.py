"""What will go wrong, from the command line."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from sqlalchemy import update

from clubplanner.store.tables.ground_tables import VenueRow
from tests.commands.journal.test_changes import run
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_it_is_told_in_words_and_for_a_program(empty_store: Store, tmp_path: Path) -> None:
    """Who finds no ground, why, and what would change it; a stretch that is not there is told."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    shown = run(path, "share-out", "foresee", "winter").output
    assert "By itself, every squad that asks finds ground." in shown
    with empty_store.write() as session:
        session.execute(update(VenueRow).values(opening=[]))
    shown = run(path, "share-out", "foresee", "winter").output
    assert "U12 Kestrels, 1 of 1 sessions:" in shown
    assert "Would change it: Open Marsh Lane on Wednesday 18:00–19:15" in shown
    found = json.loads(run(path, "share-out", "foresee", "Winter", "--json").output)
    assert [one["squad"] for one in found["troubles"]] == ["u12-kestrels", "u14-harriers"]
    assert found["troubles"][0]["remedies"][0]["at"]["kind"] == "venue"
    assert found["asked_hours"] == 3.25
    assert found["room_hours"] == 0
    missing = run(path, "share-out", "foresee", "autumn")
    assert missing.exit_code == 2
    assert "There is no stretch" in missing.output
