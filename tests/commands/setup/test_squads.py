"""Squads that end or begin, from the command line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.store.tables.club_tables import BreakRow, StretchRow
from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import KESTRELS, book, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_a_squad_ends_by_command(empty_store: Store, tmp_path: Path) -> None:
    """Looked at, done, and refused the second time with 2."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    day = NOW.date() + timedelta(days=9)
    book(empty_store, day=day)
    look = "squads", "withdraw", KESTRELS, str(day), "--look"
    looked = json.loads(run(path, *look, "--json").output)
    assert (looked["sessions"], looked["matches"]) == (1, [])
    assert "Top pitch: 1" in run(path, *look).output
    done = run(path, "squads", "withdraw", KESTRELS, str(day), "--why", "too few")
    assert "1 session withdrawn." in done.output
    again = run(path, "squads", "withdraw", KESTRELS, str(day))
    assert again.exit_code == 2
    assert "end already" in again.output


def test_a_squad_begins_by_command(empty_store: Store, tmp_path: Path) -> None:
    """What is free is listed; the best is booked, and its address printed once."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    today = NOW.date()
    with empty_store.write() as session:
        row = session.scalars(select(StretchRow)).one()
        row.starts_on, row.ends_on = today, today + timedelta(days=30)
        session.delete(session.scalars(select(BreakRow)).one())
    day = str(today + timedelta(days=2))
    looked = run(path, "squads", "begin", KESTRELS, day, "--look")
    assert "Wednesday 18:00–19:15" in looked.output
    done = json.loads(run(path, "squads", "begin", KESTRELS, day, "--json").stdout)
    assert "sessions booked." in done["done"]
    assert "/ground/" in done["address"]
    again = run(path, "squads", "begin", KESTRELS, day, "--look")
    assert "It has all that it asks for." in again.output
