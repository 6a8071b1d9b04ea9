"""SQLite: how its connections are made ready, and what is done with its file and log.

It writes ahead into a log (WAL), so that readers and a writer never wait for each other.

Versions of SQLite before 3.51.3 can damage a file when a connection folds the log into it (a
checkpoint) while another one commits and so begins the log anew
(https://sqlite.org/wal.html#walresetbug). Therefore no connection folds it in by itself; a write
session does before it begins its own changes, and keeps every writer of every process out
meanwhile. The last connection that closes folds in what is left; it is alone then.
"""

from __future__ import annotations

import os
import sqlite3
import time
from contextlib import contextmanager
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import create_engine, event

from clubplanner.errors import BusyError, NoRoomError, StoreError
from clubplanner.language import _
from clubplanner.store.pools import PlainPool

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy.engine import URL, Connection, Engine, ExceptionContext

LOCKED = "database is locked"
REMEDY = (
    "Look at the address: its folder must be there, the file ours or not there yet, and both such "
    "that you may write to them."
)
UNWRITABLE = ("SQLITE_READONLY", "SQLITE_IOERR", "SQLITE_CANTOPEN")
WIPE_TRIES, WIPE_PAUSE_S = 20, 0.1
BEGUN_ANEW = "UPDATE stand SET number = number + 1"
"""The first change after a log was folded in takes its place; one of nothing is not written."""
MOST_FILES = 1_000
LOG_BEGUN_BYTES = 100_000
LOG_BYTES = 4_000_000
"""From this size on SQLite's log of changes is folded into the file."""


def make_engine(address: URL, busy_seconds: float) -> Engine:
    """Return an engine whose connections are ready for us; nothing is connected yet.

    Args:
        address: Of a file, or of a database in memory.
        busy_seconds: How long a statement waits for a lock.
    """
    in_memory = address.database in (None, "", ":memory:")
    engine = create_engine(
        address, poolclass=None if in_memory else PlainPool, connect_args={"timeout": busy_seconds}
    )
    event.listen(engine, "do_connect", _refuse_missing)
    event.listen(engine, "connect", _prepare_connection)
    event.listen(engine, "begin", _begin)
    event.listen(engine, "handle_error", _tell_plainly)
    engine.dialect.do_savepoint = partial(_send_savepoint, "SAVEPOINT")  # type: ignore[method-assign]
    engine.dialect.do_release_savepoint = partial(_send_savepoint, "RELEASE")  # type: ignore[method-assign]
    return engine


@contextmanager
def rebuilding(engine: Engine) -> Iterator[Connection]:
    """Open a connection that may rebuild tables, as `Store.rebuild` says."""
    with engine.connect() as connection:
        driver = connection.connection.driver_connection
        if driver is None:
            raise BusyError
        driver.execute("PRAGMA foreign_keys = OFF")  # has no effect once a transaction began
        try:
            with connection.execution_options(clubplanner_write=True).begin():
                yield connection
                _refuse_loose_ends(connection)
        finally:
            driver.execute("PRAGMA foreign_keys = ON")


def file_of(engine: Engine) -> Path | None:
    """Return the file that a database is in; None for one in memory, elsewhere, or on a server."""
    if engine.dialect.name != "sqlite":
        return None
    return _file_named(engine.url.database or ":memory:", os.getcwd())  # noqa: PTH109 - quicker


@lru_cache(MOST_FILES)
def _file_named(name: str, folder: str) -> Path | None:
    """Return the file of a database's name, as seen from a folder: each change asks many times."""
    return None if name == ":memory:" or name.startswith("file:") else Path(folder, name)


def fold_log_in(engine: Engine) -> None:
    """Fold SQLite's log into the file once it is long, as far as no reader still needs it.

    One connection holds the write lock of all processes meanwhile, so that nobody commits. Whoever
    writes next begins the log anew; the one with the lock could not, as it began before.
    """
    file = file_of(engine)
    if file is None or _log_bytes(file) < LOG_BYTES:
        return
    with engine.connect() as holder:
        holder.execution_options(clubplanner_write=True).begin()
        folding = engine.raw_connection()
        try:
            folding.cursor().execute("PRAGMA wal_checkpoint(PASSIVE)").fetchall()
        finally:
            folding.close()


@lru_cache(MOST_FILES)
def log_of(file: Path) -> Path:
    """Return where SQLite's log of changes to a file is."""
    return Path(f"{file}-wal")


def wipe(engine: Engine) -> bool:
    """Write the file anew and begin the log anew, as `fold_log_in` does: beside no commit."""
    with engine.connect() as connection:
        connection.connection.cursor().execute("VACUUM")
    for _unused in range(WIPE_TRIES):
        with engine.connect() as holder:
            holder.execution_options(clubplanner_write=True).begin()
            folding = engine.raw_connection()
            try:
                told = folding.cursor().execute("PRAGMA wal_checkpoint(PASSIVE)").fetchall()
            finally:
                folding.close()
        _busy, frames, folded = told[0]
        if frames == folded:
            with engine.connect() as connection:
                connection.execution_options(clubplanner_write=True).begin()
                connection.exec_driver_sql(BEGUN_ANEW)
                connection.commit()
            file = file_of(engine)
            if file is None or _log_bytes(file) < LOG_BEGUN_BYTES:
                return True
        time.sleep(WIPE_PAUSE_S)
    return False


def _log_bytes(file: Path) -> int:
    try:
        return log_of(file).stat().st_size
    except OSError:
        return 0


def _prepare_connection(connection: sqlite3.Connection, _unused: Any) -> None:
    connection.isolation_level = None  # transactions are begun by `_begin`, not by the driver
    cursor = connection.cursor()
    try:
        cursor.execute("PRAGMA foreign_keys = ON")
        (mode,) = cursor.execute("PRAGMA journal_mode = WAL").fetchone()
        cursor.execute("PRAGMA wal_autocheckpoint = 0")  # see `fold_log_in`
        cursor.execute("PRAGMA journal_size_limit = 0")  # a log begun anew is as short as it is
        cursor.execute("PRAGMA secure_delete = ON")  # what goes is written over with zeros
        # a commit to the log is waited for in `disk.py`; without a log SQLite does it
        cursor.execute(f"PRAGMA synchronous = {'NORMAL' if mode == 'wal' else 'FULL'}")
    except sqlite3.DatabaseError as fault:
        if LOCKED in str(fault):
            raise BusyError from fault
        raise StoreError(f"The database file cannot be used: {fault}. {REMEDY}") from fault
    finally:
        cursor.close()


def _send_savepoint(what: str, connection: Connection, name: str) -> None:
    """Send it to the driver itself: each change of those that share a transaction has two."""
    driver = connection.connection.driver_connection
    if driver is None:
        raise BusyError
    try:
        driver.execute(f"{what} {name}")
    except sqlite3.Error as fault:
        raise_plain(fault)
        raise


def _tell_plainly(context: ExceptionContext) -> None:
    """Say in plain words what whoever runs the club can mend; other faults go on as they are."""
    raise_plain(context.original_exception)


def raise_plain(fault: BaseException) -> None:
    """Raise what whoever runs the club can mend in plain words; other faults are the caller's.

    Raises:
        StoreError: For the former.
    """
    if LOCKED in str(fault):
        raise BusyError from fault
    name = getattr(fault, "sqlite_errorname", None) or ""  # https://sqlite.org/rescode.html
    if name == "SQLITE_FULL":
        raise NoRoomError from fault
    if name.startswith(UNWRITABLE):
        raise StoreError(unwritable_words()) from fault


def unwritable_words() -> str:
    """Say that the file cannot be written, and what to do."""
    return _(
        "The club's records cannot be written, so nothing was changed. Whoever looks after "
        "the computer has to see to it that this program may write to their file and "
        "folder and that the disk works; then send it again."
    )


def _refuse_missing(_dialect: Any, _record: Any, args: Any, _options: Any) -> None:
    """Refuse to open a file that is not there: SQLite would make an empty one of any misspelling.

    Only `store.migrate` begins a file.
    """
    name = str(args[0]) if args else ":memory:"
    if name != ":memory:" and not name.startswith("file:") and not Path(name).exists():
        raise StoreError(
            _(
                "The club's records are no longer in their place. Whoever looks after the computer "
                "has to put their file back; nothing was begun anew."
            )
        )


def _refuse_loose_ends(connection: Connection) -> None:
    loose = connection.exec_driver_sql("PRAGMA foreign_key_check").first()
    if loose is not None:
        raise StoreError(
            f"A row of table “{loose[0]}” refers to one of table “{loose[2]}” that is not there, "
            "so nothing was changed; put back a copy of the database from before that."
        )


def _begin(connection: Any) -> None:
    is_write = connection.get_execution_options().get("clubplanner_write")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if is_write else "BEGIN")
