"""Closing and opening ground from the command line."""

from __future__ import annotations

import json
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from tests.builders import NOW
from tests.commands.journal.test_changes import run
from tests.small_club import TOP, book, kept_bookings, load_small_club

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store


def test_ground_is_looked_at_closed_listed_and_opened(empty_store: Store, tmp_path: Path) -> None:
    """Each step in words or JSON; a look changes nothing; faults exit with 2."""
    path = tmp_path / "empty.sqlite"
    day = (NOW + timedelta(days=30)).date()
    load_small_club(empty_store)
    book(empty_store, "Choir", day=day, purpose=Purpose.HIRE, now=NOW)
    close = ["closures", "add", "top pitch", "waterlogged", "--on", str(day), "--from", "17:40"]
    look = json.loads(run(path, *close, "--look", "--json").output)
    assert [one["holder"] for one in look["displaced"]] == ["Choir"]
    assert [kept.area for kept in kept_bookings(empty_store)] == [f"{TOP}/third-1"]
    done = run(path, *close, "--withdraw")
    assert "is closed. 1 session withdrawn." in done.output
    assert "Clubhouse third, Top pitch: withdraw" in done.output
    assert "waterlogged" in run(path, "closures", "list").output
    assert "is open again" in run(path, "closures", "open", "1").output
    assert run(path, "closures", "list").output == "All ground is open.\n"
    wrong = run(path, *close[:2], "moon", "dust")
    assert wrong.exit_code == 2
    assert "There is no pitch “moon”" in wrong.output
    late = run(path, *close, "--until", "later")
    assert late.exit_code == 2
    assert "is not a time of day" in late.output


def test_who_had_to_go_is_brought_back_and_a_closure_changed(
    empty_store: Store, tmp_path: Path
) -> None:
    """Changed, shortened, opened and brought back by number; each can be looked at first."""
    path = tmp_path / "empty.sqlite"
    day = (NOW + timedelta(days=30)).date()
    load_small_club(empty_store)
    first = book(empty_store, "Choir", day=day, purpose=Purpose.HIRE, now=NOW)
    second = book(
        empty_store, "Band", day=day, start_min=1200, end_min=1260, purpose=Purpose.HIRE, now=NOW
    )
    times = ["--on", str(day), "--from", "17:40"]
    run(path, "closures", "add", "top pitch", "waterlogged", *times, "--withdraw")
    look = json.loads(run(path, "closures", "open", "1", "--look", "--json").output)
    assert [(one["number"], one["can"]) for one in look["returns"]] == [
        (first, True),
        (second, True),
    ]
    change = ["closures", "change", "1", "--until", "20:00", "--reason", "frost"]
    seen = json.loads(run(path, *change, "--look", "--json").output)
    assert [one["holder"] for one in seen["returns"]] == ["Band"]
    assert "17:40–20:00" in run(path, *change).output
    assert {kept.holder for kept in kept_bookings(empty_store)} == {"frost", "Band"}
    opened = run(path, "closures", "open", "1").output
    assert "Choir" in opened
    assert "clubplanner closures bring-back 1" in opened
    assert run(path, "closures", "bring-back", "1", "--only", str(second)).exit_code != 0
    assert "1 session is back" in run(path, "closures", "bring-back", "1").output
    assert {kept.holder for kept in kept_bookings(empty_store)} == {"Choir", "Band"}
    assert "Tick who" in run(path, "closures", "bring-back", "1").output
    late = run(path, "closures", "change", "1", "--until", "later")
    assert "is not a time of day" in late.output


def test_a_time_that_does_not_come_is_told(empty_store: Store, tmp_path: Path) -> None:
    """On the night the clocks go forward, to whoever closes or books by command."""
    path = tmp_path / "empty.sqlite"
    load_small_club(empty_store)
    night = ("--on", "2027-03-28")
    said = "01:30 does not come on Sunday 28 March 2027"
    close = run(path, "closures", "add", "hall", "floor", *night, "--from", "01:30")
    assert (close.exit_code, said in close.stderr) == (2, True)
    book_it = run(path, "bookings", "add", "Hall", night[1], "01:30", "03:30", "--for", "Choir")
    assert (book_it.exit_code, said in book_it.stderr) == (2, True)
    run(path, "closures", "add", "hall", "floor", *night, "--from", "00:00", "--until", "08:00")
    change = run(path, "closures", "change", "1", "--until", "01:30")
    assert (change.exit_code, said in change.stderr) == (2, True)
