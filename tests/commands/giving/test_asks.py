"""Give and take from the command line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import HARRIERS, KESTRELS, TOP, book, kept_bookings, load_small_club
from tests.stores import booking_row

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_asks_swaps_and_handing_back(empty_store: Store, tmp_path: Path) -> None:
    """Each step in words or JSON; faults exit with 2."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    day = NOW.date() + timedelta(days=7 + (2 - NOW.weekday()) % 7)
    first = book(empty_store, KESTRELS, day=day, now=NOW)
    second = book(empty_store, HARRIERS, "third-2", day=day, end_min=19 * 60, now=NOW)
    assert run(path, "asks", "list").output == "Nobody waits.\n"
    swapped = run(path, "bookings", "swap", str(first), str(second))
    assert "have changed places" in swapped.output
    areas = {kept.holder: kept.area for kept in kept_bookings(empty_store)}
    assert areas["U12 Kestrels"] == f"{TOP}/third-2"
    asked = run(path, "asks", "add", KESTRELS, str(day), "20:00", "21:00")
    assert "U12 Kestrels have" in asked.output
    whole = ["asks", "add", HARRIERS, str(day), "18:00", "19:00", "--part", "1"]
    assert "U14 Harriers also have" in run(path, *whole).output, "they train then already"
    assert "Handed back" in run(path, "bookings", "hand-back", str(first), "--seen", "1").output
    assert "more" in run(path, "asks", "add-ground", "--help").output
    assert run(path, "asks", "serve").exit_code == 0
    value = json.loads(run(path, "asks", "list", "--json").output)
    assert value["asks"][0]["squad_key"] in (KESTRELS, HARRIERS)
    wrong = run(path, "bookings", "hand-back", str(first))
    assert wrong.exit_code == 2
    assert "no such session" in wrong.output
    late = run(path, "asks", "add", KESTRELS, str(day), "soon", "21:00")
    assert late.exit_code == 2
    assert "is not a time of day" in late.output
    assert run(path, "asks", "refuse", "99").exit_code == 2


def test_a_swap_that_a_rule_forbids_needs_a_reason(empty_store: Store, tmp_path: Path) -> None:
    """It exits with 3 and the rule's words, and is done with --because, which is kept."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    day = NOW.date() + timedelta(days=7 + (2 - NOW.weekday()) % 7)
    first = book(empty_store, KESTRELS, day=day)
    second = book(empty_store, HARRIERS, "third-2", day=day, start_min=19 * 60, end_min=20 * 60)
    swap = ["bookings", "swap", str(first), str(second)]
    refused = run(path, *swap)
    assert refused.exit_code == 3
    assert "U12 Kestrels ask for Wed 18:00-19:15." in refused.output
    (problem,) = json.loads(run(path, *swap, "--json").output)["problems"]
    assert (problem["code"], problem["message"]) == (
        "times asked for",
        "U12 Kestrels ask for Wed 18:00-19:15.",
    )
    assert "have changed places" in run(path, *swap, "--because", "Both agreed").output
    assert booking_row(empty_store, first).overruled == "Both agreed"
    assert booking_row(empty_store, second).overruled == ""
