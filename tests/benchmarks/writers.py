"""Eight writers at once, beside the same rows in bare SQL.

    python -m tests.benchmarks.writers [--records postgresql] [--seconds S]

The reference is a program that puts the same rows (a booking, a change, its entry, the count) into
the same tables, under the same guard, with the same waiting for the disk and the same upkeep of
SQLite's log, in as many transactions: once as it comes, where each writer asks the database by
itself, and once with the writers taking turns as ours do. Both in the same run, on the same
machine; ours by `add_booking`, with its rules, journal and outbox, without pages, passwords and
tokens of forms. Fair is what the writer with the fewest got, beside the one with the most.
"""

from __future__ import annotations

import argparse
import json
import re
import sqlite3
import statistics
import tempfile
import threading
import time
import uuid
from collections.abc import Callable
from contextlib import AbstractContextManager, ExitStack, closing, nullcontext
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import psycopg
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.evening.bookings import add_booking
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.store.engine import open_store
from clubplanner.store.sqlite import LOG_BYTES, fold_log_in
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.turns import FairLock
from tests.records import address_of
from tests.torture.club import make_club
from tests.torture.processes import postgresql

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

WRITERS = 8
AIM = 0.7
THOUGH = Overruling("A measurement.", None)
A_BOOKING_MIN = 15
BOOK = """
    INSERT INTO booking (uid, pitch_id, area_id, cells, starts_at, ends_at, purpose, holder, note,
        is_withdrawn, is_fixed, sequence, created_at, changed_at, overruled)
    SELECT :uid, pitch_id, id, cells, :starts, :ends, 'hire', 'Choir', '',
        false, true, 0, :now, :now, '' FROM area WHERE id = :area RETURNING id"""
CHANGE = "INSERT INTO booking_change (at, by, words) VALUES (:now, 'the planner', '') RETURNING id"
ENTRY = """
    INSERT INTO changed_booking (change_id, booking_id, before, after)
    VALUES (:change, :booking, NULL, :after)"""
COUNT = "UPDATE stand SET number = number + 1 WHERE id = 1"

PRAGMAS = {
    "foreign_keys": "ON",
    "journal_mode": "WAL",
    "wal_autocheckpoint": LOG_BYTES // 4096,
    "secure_delete": "ON",
    "synchronous": "FULL",
}
STATE = {
    "pitch_id": 1,
    "purpose": "hire",
    "squad_id": None,
    "holder": "Choir",
    "note": "",
    "is_withdrawn": False,
    "is_fixed": True,
    "overruled": "",
}
Write = Callable[[int, datetime], None]
"""Books an area from an instant on."""


@dataclass(frozen=True, slots=True)
class Rate:
    """What writers did.

    Attributes:
        a_second: Changes of all of them together.
        fairness: What the one with the fewest did, by what the one with the most did.
        longest_s: What one waited for a change at most.
        processor_ms: What a change takes of this process's processor, a server's own apart.
    """

    a_second: float
    fairness: float
    longest_s: float
    processor_ms: float


def ours(store: Store) -> Write:
    """Return how the program books."""

    def write(area: int, start: datetime) -> None:
        during = TimeRange(start, start + timedelta(minutes=A_BOOKING_MIN))
        wish = BookingWish(area, during, Purpose.HIRE, None, "Choir", "", is_fixed=True)
        add_booking(store, wish, datetime.now(UTC), THOUGH)

    return write


class Bare:
    """Puts the same rows by bare SQL, each thread by a connection of its own.

    Args:
        store: Where.
        turns: Taken before each change; None to let the database decide who is next.
    """

    def __init__(self, store: Store, turns: FairLock | None) -> None:
        self._url = store.engine.url
        self._is_server = store.engine.dialect.name != "sqlite"
        self._turns: AbstractContextManager[object] = turns or nullcontext()
        self._own = threading.local()

    def __call__(self, area: int, start: datetime) -> None:
        """Book."""
        if not hasattr(self._own, "cursor"):
            self._own.cursor = self._connect()
        with self._turns:
            self._put(area, int(start.timestamp()))

    def _connect(self) -> Any:
        if self._is_server:
            address = self._url.set(drivername="postgresql").render_as_string(hide_password=False)
            return psycopg.connect(address, autocommit=True).cursor()
        connection = sqlite3.connect(str(self._url.database), timeout=60, isolation_level=None)
        for name, value in PRAGMAS.items():
            connection.execute(f"PRAGMA {name} = {value}")
        return connection.cursor()

    def _put(self, area: int, starts: int) -> None:
        now = int(time.time())
        times = {"starts": starts, "ends": starts + 60 * A_BOOKING_MIN, "now": now}
        self._send("BEGIN" if self._is_server else "BEGIN IMMEDIATE")
        booking = self._send(BOOK, uid=str(uuid.uuid4()), area=area, **times).fetchone()[0]
        change = self._send(CHANGE, now=now).fetchone()[0]
        kept = json.dumps({**STATE, "area_id": area, **times})
        self._send(ENTRY, change=change, booking=booking, after=kept)
        self._send(COUNT)
        self._send("COMMIT")

    def _send(self, statement: str, **values: object) -> Any:
        if self._is_server:
            statement = re.sub(r"(?<!:):(\w+)", r"%(\1)s", statement)
        return self._own.cursor.execute(statement, values)


def measure(write: Write, areas: list[int], first: datetime, seconds: float) -> Rate:
    """Let writers write at once, each on its own ground, and count."""
    begin = threading.Barrier(WRITERS + 1)
    over = threading.Event()
    done = [0] * WRITERS
    longest = [0.0] * WRITERS

    def work(number: int) -> None:
        begin.wait()
        while not over.is_set():
            began = time.monotonic()
            write(areas[number], first + done[number] * timedelta(minutes=A_BOOKING_MIN))
            longest[number] = max(longest[number], time.monotonic() - began)
            done[number] += 1

    threads = [threading.Thread(target=work, args=(n,)) for n in range(WRITERS)]
    for thread in threads:
        thread.start()
    begin.wait()
    began, used = time.monotonic(), time.process_time()
    time.sleep(seconds)
    over.set()
    for thread in threads:
        thread.join()
    taken = time.monotonic() - began
    used_ms = 1000 * (time.process_time() - used)
    return Rate(
        sum(done) / taken, min(done) / max(1, *done), max(longest), used_ms / max(1, sum(done))
    )


def show_writers(seconds: float, stack: ExitStack) -> None:
    """Measure ours between two goes of the reference, and print the ratios."""
    folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
    path = folder / "club.sqlite"
    make_club(path, 1, datetime.now(UTC))
    store = stack.enter_context(closing(open_store(address_of(path))))
    whole = areas_apart(store)
    first = (datetime.now(UTC) + timedelta(days=1)).replace(hour=0, minute=0, second=0)
    ways: dict[str, Write] = {
        "bare SQL, as it comes": Bare(store, None),
        "bare SQL, in turns": Bare(store, FairLock()),
        "ours": ours(store),
    }
    rates: dict[str, list[Rate]] = {name: [] for name in ways}
    for go in range(4):
        for count, (name, write) in enumerate(ways.items()):
            days = timedelta(days=200 * (3 * go + count))
            fold_log_in(store.engine)  # nobody is charged for what another wrote
            rates[name].append(measure(write, whole, first + days, seconds / 4))
    middle = {name: statistics.median(r.a_second for r in found) for name, found in rates.items()}
    for name, found in rates.items():
        goes = ", ".join(f"{rate.a_second:.0f}" for rate in found)
        fair = min(rate.fairness for rate in found)
        longest = max(rate.longest_s for rate in found)
        used_ms = statistics.median(rate.processor_ms for rate in found)
        print(f"{name}: {middle[name]:.0f} a second ({goes}), {used_ms:.1f} ms of the processor "
              f"each; the fewest of a writer beside the most {fair:.2f}; longest wait "
              f"{longest:.2f} s")  # fmt: skip
    for name in list(ways)[:2]:
        ratio = middle["ours"] / middle[name]
        print(f"{'!' if ratio < AIM else ' '} ours / {name}: {ratio:.2f} (aim {AIM})")


def areas_apart(store: Store) -> list[int]:
    """Return as many areas as there are writers, no two of which share ground."""
    with store.read() as session:
        rows = session.scalars(select(AreaRow).where(AreaRow.cut != "whole").order_by(AreaRow.id))
        chosen: list[AreaRow] = []
        for row in rows:
            if not any(o.pitch_id == row.pitch_id and o.cells & row.cells for o in chosen):
                chosen.append(row)
    return [row.id for row in chosen][:WRITERS]


def main() -> None:
    """Measure as told."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--records", choices=["sqlite", "postgresql"], default="sqlite")
    parser.add_argument("--seconds", type=float, default=20, help="for each of the three")
    wanted = parser.parse_args()
    with ExitStack() as stack:
        if wanted.records == "postgresql":
            stack.enter_context(postgresql())
        show_writers(wanted.seconds, stack)


if __name__ == "__main__":
    main()
