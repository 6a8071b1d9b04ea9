"""A program that does a piece of work and is killed at every step of it; for the tests of that.

Run with the name of the work, the path of a database in which it waits, and the present instant.
For each step it copies the database, lets a child work that kills itself there (SIGKILL), lets
another child do what is left later, and prints one line of JSON; it ends with the first child that
came through alive. A step is before a transaction begins, and before its commit.
"""

from __future__ import annotations

import gc
import json
import os
import sys
from datetime import UTC, date, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.told.notices import FIRST_PAUSE
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.calendars.busy_calendars import (
    TAKEN_FOR,
    refresh_calendar,
    take_due_calendar,
)
from clubplanner.services.calendars.fetching import Fetched, Marks
from clubplanner.services.evening.bookings import add_booking
from clubplanner.services.people.sent_forms import (
    LOST_SECONDS,
    Sent,
    claim_form,
    note_answer,
)
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.proposals.proposals import Draft, Sort, keep_proposal
from clubplanner.services.proposals.said import in_words
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.services.rows.snapshot import load_stretches
from clubplanner.services.share_out.runs import share_worker
from clubplanner.services.share_out.runs.kept import LONGEST_SILENCE, take_up_run
from clubplanner.services.webhooks.delivering import deliver_webhooks
from clubplanner.services.webhooks.sending import Answer
from clubplanner.services.webhooks.sending import Fate as WebhookFate
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.run_tables import ShareRunRow
from tests.compiled_once import compiled_once
from tests.records import copy_records, open_records, place_of
from tests.services.mails.deliver_process import MOST_STEPS, Killer
from tests.small_club import TOP, find_area_id

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.services.webhooks.sending import Message
    from clubplanner.store.engine import Store

CALENDAR = """\
BEGIN:VCALENDAR\r
VERSION:2.0\r
PRODID:-//Choir//EN\r
BEGIN:VEVENT\r
UID:rehearsal@choir.example\r
DTSTAMP:20261101T000000Z\r
DTSTART:20261125T200000Z\r
DTEND:20261125T210000Z\r
SUMMARY:Rehearsal\r
END:VEVENT\r
END:VCALENDAR\r
"""
A_SECOND = timedelta(seconds=1)


def send_form(store: Store, now: datetime) -> None:
    """Do what a form asks for, as a server does: claim it, work, note the answer."""
    claim = claim_form(store, "a form", now)
    if isinstance(claim, Sent):
        return
    start = datetime(2026, 11, 25, 20, tzinfo=UTC)
    during = TimeRange(start, start + timedelta(hours=1))
    area = find_area_id(store, TOP, "third-1")
    wish = BookingWish(area, during, Purpose.HIRE, None, "Choir", "", is_fixed=True)
    add_booking(store.claimed(claim), wish, now, Overruling("A test.", None))
    note_answer(store, claim, "/there")


def work_on_run(store: Store, now: datetime) -> None:
    """Work on the run that is queued, or was left lying, its search left out."""
    number = take_up_run(store, now) or 1
    share_worker.BEAT_S = 3600.0  # a sign of life in between would be a step at random
    setattr(share_worker, "_share_out", _keep_some_proposal)  # noqa: B010 - it takes fewer names
    share_worker.work(store, number, clock=lambda: now)


def _keep_some_proposal(store: Store, *_unused: object, **_named: object) -> int:
    day = date(2026, 11, 25)
    draft = Draft(Sort.EVENING, day, day, None, (), (), "optimal", in_words("All placed."), {})
    with store.write() as session:
        return keep_proposal(session, load_stretches(session)[0], draft, datetime.now(UTC))


def read_calendar(store: Store, now: datetime) -> None:
    """Read the calendar that is due, if one is."""
    number = take_due_calendar(store, now)
    if number is not None:
        fetched = Fetched(CALENDAR.encode(), Marks("", ""))
        refresh_calendar(store, number, now, lambda _url, _marks: fetched)


def deliver_messages(store: Store, now: datetime) -> None:
    """Hand over what has happened; the other program writes down what it takes, and for good."""
    taken = _taken_at(place_of(store))

    def post(message: Message) -> Answer:
        told = json.loads(message.body)["data"]["happenings"]
        line = [message.headers["webhook-id"], [one["mark"] for one in told]]
        with taken.open("a") as file:
            print(json.dumps(line), file=file)
        return Answer(WebhookFate.TAKEN, "", 200)

    deliver_webhooks(store, Config("", "", 0), lambda: now, post=post)


def _taken_at(path: Path) -> Path:
    return path.with_suffix(".taken")


WORK: dict[str, tuple[Callable[[Store, datetime], None], timedelta]] = {
    "form": (send_form, timedelta(seconds=LOST_SECONDS) + A_SECOND),
    "run": (work_on_run, LONGEST_SILENCE + A_SECOND),
    "calendar": (read_calendar, TAKEN_FOR + A_SECOND),
    "webhook": (deliver_messages, FIRST_PAUSE + A_SECOND),
}
"""Each kind of work, and after how long another one takes it up."""


def run_child(path: Path, work: Callable[[Store, datetime], None], now: datetime, at: int) -> bool:
    """Work in a child that is killed at a step; return whether it came through alive."""
    child = os.fork()
    if child == 0:
        store = open_records(path)
        Killer(at).watch(store)
        work(store, now)
        os._exit(0)
    _, status = os.waitpid(child, 0)
    return not os.WIFSIGNALED(status)


def look(path: Path) -> dict[str, Any]:
    """Return what is there."""
    store = open_records(path)
    with store.read() as session:
        bookings = select(BookingRow.id).where(BookingRow.is_withdrawn.is_(False))
        runs = session.execute(select(ShareRunRow.state, ShareRunRow.share_out_id)).all()
        found = {
            "bookings": len(session.scalars(bookings).all()),
            "proposals": list(session.scalars(select(ShareOutRow.id))),
            "runs": [list(run) for run in runs],
            "taken": _lines(_taken_at(path)),
        }
    store.close()
    return found


def _lines(file: Path) -> list[Any]:
    return [json.loads(line) for line in file.read_text().splitlines()] if file.exists() else []


def main(name: str, path: Path, now: datetime) -> None:
    """Kill at every step, then let another one do what is left, and tell."""
    work, later = WORK[name]
    rehearsal = path.with_name("rehearsal.sqlite")
    copy_records(path, rehearsal)
    store = open_records(rehearsal)
    work(store, now)
    store.close()
    gc.freeze()
    for step in count(1):
        copy = path.with_name(f"step-{step}.sqlite")
        copy_records(path, copy)
        is_alive = run_child(copy, work, now, step)
        run_child(copy, work, now + later, 0)
        print(json.dumps({"step": step, "alive": is_alive, **look(copy)}), flush=True)
        if is_alive or step > MOST_STEPS:
            break


if __name__ == "__main__":
    with compiled_once():
        main(sys.argv[1], Path(sys.argv[2]), datetime.fromisoformat(sys.argv[3]))
