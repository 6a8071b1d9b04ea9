"""Fairness from the command line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import KESTRELS, SETTINGS, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_what_each_squad_had_is_listed(empty_store: Store, tmp_path: Path) -> None:
    """In words and as JSON."""
    path = tmp_path / "empty.sqlite"
    start, end = (NOW - timedelta(days=20)).date(), (NOW + timedelta(days=20)).date()
    settings = SETTINGS.replace("2026-10-12", str(start)).replace("2027-04-09", str(end))
    load_small_club(empty_store, settings=settings)
    assert run(path, "fairness", "show").output.startswith("No training has begun yet.")
    assert json.loads(run(path, "fairness", "show", "--json").output)["jain"] is None
    day = (NOW - timedelta(days=2)).date()
    book(empty_store, KESTRELS, day=day, now=NOW - timedelta(days=3))
    shown = run(path, "fairness", "show").output
    assert "Jain's index" in shown
    assert "U12 Kestrels: " in shown
    value = json.loads(run(path, "fairness", "show", "--json").output)
    hours = {squad["name"]: squad["hours"] for squad in value["squads"]}
    assert hours == {"U12 Kestrels": 1.25, "U14 Harriers": 0.0}
    served = {squad["name"]: squad["served"] for squad in value["squads"]}
    assert served["U14 Harriers"] == 0.0
    assert served["U12 Kestrels"] > 0
