"""Bookings from the command line, by the rules of the pages."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_ground_is_booked_moved_and_given_back(empty_store: Store, tmp_path: Path) -> None:
    """Listed by squad and pitch; whoever has looked at an earlier state is told."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    day = str(NOW.date() + timedelta(days=3))
    wish = ("Hall", day, "18:00", "19:00", "--for", "Walkers", "--json")
    made = json.loads(run(path, "bookings", "add", *wish).stdout)
    number = str(made["number"])
    assert made["booking"]["purpose"] == "hire"
    clash = run(path, "bookings", "add", *wish)
    assert clash.exit_code == 2
    assert "Walkers" in json.loads(clash.stderr)["error"]
    moved = run(path, "bookings", "move", number, "--from", "18:30", "--to", "19:30", "--seen", "0")
    assert "18:30–19:30" in moved.stdout
    late = run(path, "bookings", "withdraw", number, "--seen", "0")
    assert (late.exit_code, "in the meantime" in late.stderr) == (2, True)
    (line,) = json.loads(run(path, "bookings", "list", "--pitch", "Hall", "--json").stdout)
    assert (line["holder"], line["sequence"], line["is_fixed"]) == ("Walkers", 1, True)
    assert run(path, "bookings", "list", "--squad", "u12-kestrels").stdout == "Nothing is booked.\n"
    assert "Withdrawn: Walkers" in run(path, "bookings", "withdraw", number).stdout
    assert run(path, "bookings", "list").stdout == "Nothing is booked.\n"
    both = run(path, "bookings", "add", "Hall", day, "18:00", "19:00")
    assert (both.exit_code, "Say who has it" in both.stderr) == (2, True)
    odd = run(path, "bookings", "list", "--first", day, "--last", "2020-01-01")
    assert (odd.exit_code, "Choose a last date" in odd.stderr) == (2, True)
