"""Work that only one may do, whose process is killed between any two steps: done once, in the end.

The same holds for mails and notices to phones: `mails/test_delivering.py`, `pushes/`.
"""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from clubplanner.config import Config
from clubplanner.services.calendars.busy_calendars import (
    EVERY,
    TAKEN_FOR,
    BusyWish,
    add_busy_calendar,
    take_due_calendar,
)
from clubplanner.services.calendars.fetching import Fetched, Marks
from clubplanner.services.share_out.runs.kept import ask_for_run
from clubplanner.services.share_out.runs.requests import RunRequest, Work
from clubplanner.services.webhooks.webhooks import add_webhook
from clubplanner.sharing.values.problem import Effort
from tests.builders import NOW
from tests.records import open_records, place_of
from tests.small_club import TOP, book, find_area_id

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

EMPTY = Fetched(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n", Marks("", ""))


def kill_at_every_step(store: Store, name: str) -> list[dict[str, Any]]:
    """Run the program that does it, and return its lines."""
    store.close()
    job = [sys.executable, "-m", "tests.services.killed_process"]
    arguments = [name, str(place_of(store)), NOW.isoformat()]
    done = subprocess.run([*job, *arguments], capture_output=True, timeout=300, check=False)
    assert done.returncode == 0, done.stderr.decode()
    lines = [json.loads(line) for line in done.stdout.splitlines()]
    assert [line["alive"] for line in lines] == [False] * (len(lines) - 1) + [True]
    return lines


def add_calendar(store: Store) -> int:
    """Take a calendar in that is due now, with nothing in it yet."""
    area = find_area_id(store, TOP, "third-1")
    wish = BusyWish("Choir", area, url="https://choir.example/x.ics")
    return add_busy_calendar(store, wish, NOW - EVERY, lambda *_unused: EMPTY).number


def ask_for_a_run(store: Store) -> None:
    """Write a run down that nobody has begun."""
    ask_for_run(store, RunRequest(Work.STRETCH, Effort(seconds=3), stretch="winter"), NOW, NOW)


def test_a_form_is_done_once(small: Store) -> None:
    """Its server is killed at each step; pressed again later, it is booked, and once."""
    lines = kill_at_every_step(small, "form")
    assert len(lines) > 6, "every step was killed at"
    assert [line["bookings"] for line in lines] == [1] * len(lines)


def test_a_share_out_is_worked_on_once(small: Store) -> None:
    """Its process is killed at each step; taken up later, it is done and has one proposal.

    So has one that nobody began, as the server died between writing it down and beginning it.
    """
    ask_for_a_run(small)
    lines = kill_at_every_step(small, "run")
    assert len(lines) > 7, "every step was killed at"
    for line in lines:
        assert line["runs"] == [["done", line["proposals"][0]]]
        assert len(line["proposals"]) == 1


def test_a_calendar_of_others_is_read_once(small: Store) -> None:
    """Its worker is killed at each step; another one reads it after a while, and books once."""
    add_calendar(small)
    lines = kill_at_every_step(small, "calendar")
    assert len(lines) > 5, "every step was killed at"
    assert [line["bookings"] for line in lines] == [1] * len(lines)


def test_each_message_to_another_program_comes(small: Store) -> None:
    """Its worker is killed at each step; the next one goes on, in order, with the same number.

    What comes twice has the number that it had, and says the same.
    """
    add_webhook(small, "our website", "https://site.example/hook", Config("", "", 0), NOW)
    for area in ("third-1", "third-2", "third-3"):
        book(small, "Choir", area)
    lines = kill_at_every_step(small, "webhook")
    assert len(lines) > 8, "every step was killed at"
    for line in lines:
        told = dict(line["taken"])
        assert all(told[number] == marks for number, marks in line["taken"])
        marks = [mark for marks in told.values() for mark in marks]
        assert len(marks) == len(set(marks)) == 4
        assert len(told) == 1


def test_of_two_workers_one_reads_a_calendar(small: Store) -> None:
    """Whoever takes it has it for a while; then another may, for the first has died with it."""
    number = add_calendar(small)
    other = open_records(place_of(small))
    assert take_due_calendar(small, NOW) == number
    assert take_due_calendar(other, NOW) is None
    assert take_due_calendar(other, NOW + TAKEN_FOR - timedelta(seconds=1)) is None
    assert take_due_calendar(other, NOW + TAKEN_FOR) == number
    other.close()
