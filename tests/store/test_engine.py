"""Engines, sessions, and many writers at once."""

from __future__ import annotations

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import event, select, text
from sqlalchemy.exc import IntegrityError

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import ClashError, StoreError
from clubplanner.services.evening.bookings import add_booking
from clubplanner.store.engine import BUSY_SECONDS, Store, open_store
from clubplanner.store.sqlite import LOG_BYTES
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.turns import FairLock
from clubplanner.store.upkeep.migrate import check_store, migrate
from tests.builders import NOW
from tests.records import open_records
from tests.stores import booking_row, make_wish, put_booking

WRITER = Path(__file__).with_name("writer_process.py")
ROOT = Path(__file__).parents[2]


@pytest.mark.files
def test_a_connection_is_set_up_for_safety(empty_file: Path, tmp_path: Path) -> None:
    """Foreign keys are looked at, and none folds the log in by itself; `disk.py` waits for it."""
    path = shutil.copy(empty_file, tmp_path)
    store = open_store(f"sqlite:///{path}")
    expected = {
        "foreign_keys": 1,
        "synchronous": 1,
        "journal_mode": "wal",
        "wal_autocheckpoint": 0,
        "busy_timeout": 15_000,
    }
    for session_of in (store.read, store.write):
        with session_of() as session:
            pragma = {name: session.scalar(text(f"PRAGMA {name}")) for name in expected}
        assert pragma == expected
    store.close()


@pytest.mark.parametrize(
    ("url", "advice"),
    [
        ("club.sqlite", "write one like sqlite:///club.sqlite"),
        ("", "write one like sqlite:///club.sqlite"),
        ("oddbase:///x", "use an address that starts with sqlite:///"),
    ],
)
def test_an_address_that_cannot_be_used_is_refused(url: str, advice: str) -> None:
    """What is no address, and other kinds of database, are told with what to write."""
    with pytest.raises(StoreError, match=advice):
        open_store(url)


def test_a_failed_write_leaves_nothing(club_store: Store) -> None:
    """An exception inside a write session takes back all of it."""

    def write_twice() -> None:
        with club_store.write() as session:
            session.execute(text("UPDATE club SET name = 'Changed'"))
            session.execute(text("UPDATE club SET id = 2"))

    with pytest.raises(IntegrityError, match="one_club"):
        write_twice()
    with club_store.read() as session:
        assert session.get_one(ClubRow, 1).name == "Tarnholt Wanderers"


def test_a_read_session_changes_nothing(club_store: Store) -> None:
    """What is changed in a read session is gone after it, and what is read can be used after."""
    with club_store.read() as session:
        club = session.get_one(ClubRow, 1)
        session.execute(text("UPDATE club SET name = 'Changed'"))
    with club_store.read() as session:
        assert session.scalar(select(ClubRow.name)) == "Tarnholt Wanderers"
    assert club.zone == "Europe/London"


@pytest.mark.files
def test_a_writer_takes_the_lock_at_once(club_store: Store, store_path: Path) -> None:
    """From its first moment a write session keeps other writers out, before it has written."""
    with closing(sqlite3.connect(store_path, timeout=0)) as other:
        with (
            club_store.write(),
            pytest.raises(sqlite3.OperationalError, match="database is locked"),
        ):
            other.execute("BEGIN IMMEDIATE")
        other.execute("BEGIN IMMEDIATE")
        other.rollback()


def test_a_reader_does_not_keep_others_from_reading(club_store: Store, store_path: Path) -> None:
    """Two people can look at once."""
    other = open_records(store_path)
    with club_store.read() as one, other.read() as two:
        assert one.scalar(select(ClubRow.name)) == two.scalar(select(ClubRow.name))
    other.close()


@pytest.mark.files
def test_a_lock_that_is_never_freed_is_reported(
    club_store: Store, store_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When another program holds the file for good, writing ends with words, not a hang."""
    monkeypatch.setattr("clubplanner.store.engine.BUSY_SECONDS", 0.05)
    store = open_store(f"sqlite:///{store_path}")
    check_store(store)
    with closing(sqlite3.connect(store_path)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with (
            pytest.raises(StoreError, match="busy with another change; try"),
            store.write(),
        ):
            pass
    with store.write() as session:  # and the lock in front of it is free again
        session.get_one(ClubRow, 1).name = "After"
    store.close()


def test_the_lock_is_first_in_first_out() -> None:
    """Whoever asks first is served first, also when new ones ask all the time."""
    lock = FairLock()
    served: list[int] = []

    def take(number: int) -> None:
        with lock:
            served.append(number)
            time.sleep(0.001)

    threads = [threading.Thread(target=take, args=(number,)) for number in range(20)]
    with lock:
        for waiting, thread in enumerate(threads, 1):
            thread.start()
            while len(lock._waiting) < waiting:  # the test must know who asked before whom
                time.sleep(0.0005)
        assert served == []
    for thread in threads:
        thread.join(120)
    assert served == list(range(20))


def test_the_lock_lets_one_in_at_a_time() -> None:
    """Under a crowd no two are inside together, and all get in."""
    lock = FairLock()
    inside, most, done = [0], [0], [0]

    def work() -> None:
        for _ in range(200):
            with lock:
                inside[0] += 1
                most[0] = max(most[0], inside[0])
                done[0] += 1
                inside[0] -= 1

    threads = [threading.Thread(target=work) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(120)
    assert (most[0], done[0]) == (1, 800)


def test_the_lock_is_freed_by_an_error() -> None:
    """A failure inside does not shut out everybody after it."""
    lock = FairLock()
    for _ in range(2):
        with pytest.raises(RuntimeError, match="inside"), lock:
            raise RuntimeError("inside")


def live_bookings(store: Store, note: str = "") -> int:
    """Count the bookings on the top pitch that hold ground, other than those of the files."""
    with store.read() as session:
        rows = session.scalars(select(BookingRow).where(BookingRow.is_withdrawn.is_(False)))
        return sum(1 for row in rows if row.purpose is Purpose.TRAINING and note in row.holder)


def test_of_many_threads_one_gets_the_ground(club_store: Store) -> None:
    """Eight people press the button at once: one has it, seven are told who."""
    wishes = [
        make_wish(club_store, area, squad_key=None, holder=f"Person {n}")
        for n, area in enumerate(["third-2", "half-1", "whole", "third-2"] * 2)
    ]
    start = threading.Barrier(len(wishes))

    def book(number: int) -> str:
        start.wait(120)
        try:
            add_booking(club_store, wishes[number], NOW)
        except ClashError as clash:
            return clash.clashes[0].holder
        return "booked"

    with ThreadPoolExecutor(len(wishes)) as pool:
        results = list(pool.map(book, range(len(wishes))))
    assert results.count("booked") == 1
    assert live_bookings(club_store) == 1
    winner = f"Person {results.index('booked')}"
    assert {result for result in results if result != "booked"} == {winner}


def start_writer(store_path: Path, *arguments: str) -> subprocess.Popen[str]:
    """Start another process that books; it writes a line for each booking it was promised."""
    return subprocess.Popen(
        [sys.executable, str(WRITER), str(store_path), *arguments],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )


def test_of_two_processes_one_gets_each_ground(club_store: Store, store_path: Path) -> None:
    """Two programs that book the same forty evenings share them; none is given twice."""
    writers = [start_writer(store_path, f"Process {n}", "40") for n in range(2)]
    for writer in writers:
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
    promised: list[int] = []
    for writer in writers:
        assert writer.stdin is not None
        writer.stdin.write("go\n")
        writer.stdin.flush()
    for writer in writers:
        out, _ = writer.communicate(timeout=120)
        assert writer.returncode == 0
        promised.extend(int(line.split()[1]) for line in out.splitlines())
    assert len(promised) == len(set(promised)) == 40
    assert live_bookings(club_store, "Process") == 40
    check_store(club_store)


def test_a_killed_writer_loses_no_promise(club_store: Store, store_path: Path) -> None:
    """After kill -9 in the middle of writing the file is sound and every promised booking there."""
    promised: set[int] = set()
    for attempt in range(2):
        writer = start_writer(store_path, f"Round {attempt}", "100000")
        assert writer.stdin is not None
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
        writer.stdin.write("go\n")
        writer.stdin.flush()
        for _ in range(12 + 5 * attempt):
            promised.add(int(writer.stdout.readline().split()[1]))
        os.kill(writer.pid, signal.SIGKILL)
        with writer:  # read to its end as before: some lines may have come with those above
            rest = writer.stdout.read()
        promised |= {int(line.split()[1]) for line in rest.splitlines() if line.endswith("!")}
        assert writer.returncode == -signal.SIGKILL
    club_store.engine.dispose()
    with closing(sqlite3.connect(store_path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    check_store(club_store)
    assert len(promised) >= 29
    for number in promised:
        assert not booking_row(club_store, number).is_withdrawn
    assert live_bookings(club_store, "Round") - len(promised) in (0, 1, 2)


@pytest.mark.files
def test_a_database_that_another_program_holds_is_told_in_plain_words(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Reading and writing alike, with a connection at hand or a new one."""
    monkeypatch.setattr("clubplanner.store.engine.BUSY_SECONDS", 0.1)
    path = tmp_path / "held.sqlite"
    store = open_store(f"sqlite:///{path}")
    migrate(store)
    with closing(sqlite3.connect(path, isolation_level=None)) as other:
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(StoreError, match="records are busy with another change"), store.write():
            pass
        with store.read() as session:
            assert session.get(ClubRow, 1) is None, "readers go on"
        other.execute("ROLLBACK")
    with store.read() as session:
        assert session.get(ClubRow, 1) is None
    store.close()


def test_a_page_that_reads_for_long_holds_up_no_writer(club_store: Store, store_path: Path) -> None:
    """While one page still reads, another program books, and the page goes on seeing one state."""
    count = text("SELECT count(*) FROM booking")
    with club_store.read() as page:
        before = page.scalar(count)
        assert before is not None
        writer = start_writer(store_path, "Choir", "3")
        assert writer.stdout is not None
        assert writer.stdout.readline() == "ready\n"
        started = time.monotonic()
        said, _ = writer.communicate("go\n", timeout=60)
        assert said.count("booked") == 3
        put_booking(club_store, make_wish(club_store, squad_key=None, holder="Band"))
        assert time.monotonic() - started < BUSY_SECONDS
        assert page.scalar(count) == before
    with club_store.read() as page:
        assert page.scalar(count) == before + 4


def test_a_writer_holds_up_no_page(club_store: Store) -> None:
    """While a change is being written, pages see what was there before it."""
    with club_store.write() as session:
        session.get_one(ClubRow, 1).name = "Another"
        session.flush()
        with club_store.read() as page:
            assert page.get_one(ClubRow, 1).name != "Another"


@pytest.mark.files
def test_the_log_is_folded_in_while_nobody_else_can_write(
    club_store: Store, store_path: Path
) -> None:
    """Whoever folds SQLite's log into the file keeps all writers out: no commit meets it."""
    could_write: list[bool] = []

    def try_to_write(statement: str) -> None:
        if "wal_checkpoint(" not in statement:
            return
        with closing(sqlite3.connect(store_path, timeout=0, isolation_level=None)) as other:
            try:
                other.execute("BEGIN IMMEDIATE")
            except sqlite3.OperationalError:
                could_write.append(False)
            else:
                could_write.append(True)

    event.listen(
        club_store.engine,
        "checkout",
        lambda connection, *_rest: connection.set_trace_callback(try_to_write),
    )
    log = Path(f"{store_path}-wal")
    longest = 0
    for _ in range(60):
        with club_store.write() as session:
            session.get_one(ClubRow, 1).name = "x" * 150_000
        with club_store.write() as session:
            session.get_one(ClubRow, 1).name = "y" * 150_000
        longest = max(longest, log.stat().st_size)
    assert len(could_write) >= 2
    assert not any(could_write)
    assert longest < 2 * LOG_BYTES
    with closing(sqlite3.connect(store_path)) as connection:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]


@pytest.mark.files
def test_a_page_that_never_ends_only_lengthens_the_log(club_store: Store, store_path: Path) -> None:
    """What a page still sees stays in the log; once it is gone, the log is folded in."""
    log = Path(f"{store_path}-wal")
    with club_store.read() as page:
        name = page.get_one(ClubRow, 1).name
        for turn in range(40):
            with club_store.write() as session:
                session.get_one(ClubRow, 1).name = f"{turn}" * 150_000
        page.expire_all()
        assert page.get_one(ClubRow, 1).name == name
    assert log.stat().st_size > LOG_BYTES
    for turn in range(2):
        with club_store.write() as session:
            session.get_one(ClubRow, 1).name = f"Club {turn}"
    assert log.stat().st_size < LOG_BYTES
    club_store.close()
    assert not log.exists()
