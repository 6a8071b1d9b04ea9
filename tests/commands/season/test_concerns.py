"""The problem list from the command line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import KESTRELS, LOW, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_problems_are_listed(empty_store: Store, tmp_path: Path) -> None:
    """In words and as JSON, each with its kind and remedy."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    day = NOW.date() + timedelta(days=1)
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
    shown = run(path, "concerns", "list", "--weeks", "2")
    assert "in the dark: U12 Kestrels" in shown.output
    found = json.loads(run(path, "concerns", "list", "--weeks", "2", "--json").output)
    assert "dark" in {concern["kind"] for concern in found}
