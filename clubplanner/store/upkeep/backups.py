"""A backup: all records of a club in one file, as they were at one moment.

The file is an SQLite database wherever the records are, so that a club that was on a server can be
looked at and brought back anywhere. Of a file it is made by SQLite's own copying, which sees one
state while others go on writing (https://sqlite.org/backup.html); of a server, row by row within
one reading transaction. It is made under another name, checked, brought to the disk, and then gets
its own: whoever is killed meanwhile leaves no file that looks like a backup and is none.

A backup is refused as records: what has happened since has to be settled first, and `restore` does
(`services/restoring`).
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import tempfile
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import inspect, text
from sqlalchemy.exc import DatabaseError

from clubplanner.errors import MissingError, RefusedError, StoreError
from clubplanner.store import postgres
from clubplanner.store.engine import open_file
from clubplanner.store.shape import VERSION_TABLE
from clubplanner.store.tables.base import Base
from clubplanner.store.upkeep.copies import BACKUP_NOTE
from clubplanner.store.upkeep.migrate import check_store, known_version, migrate, newest_version
from clubplanner.store.upkeep.moving import copy_rows, hold_to_guard, is_same

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection

    from clubplanner.store.engine import Store

UNFINISHED = ".unfinished"
"""What a backup is called by before it is one."""


@dataclass(frozen=True, slots=True)
class Backup:
    """What is in a backup.

    Attributes:
        taken_at: When it was made; None for a mere copy of a database, which does not say.
        version: Of which shape the records are: the number of a step.
        rows: Table → how many rows it has.
    """

    taken_at: datetime | None
    version: str
    rows: dict[str, int]


def make_backup(store: Store, path: Path, now: datetime) -> Backup:
    """Write all records into a new file that its owner alone can read, while others go on working.

    A file of an earlier version is backed up as it is; of a server the records have to be of this
    version, as there is no other way to read them.

    Args:
        store: The records.
        path: Where; nothing is written over.
        now: The present instant.

    Raises:
        RefusedError: If there is a file of that name.
        StoreError: If the records cannot be used, or no sound file comes of it.
    """
    if path.exists():
        raise RefusedError(f"There is a file {path} already; name a new one.")
    part = _begin(path)
    try:
        if store.engine.dialect.name == postgres.NAME:
            _copy_from_server(store, part)
        else:
            _copy_file(store, part)
        made = _check(part)
        with closing(sqlite3.connect(part)) as connection:
            connection.execute("PRAGMA journal_mode = DELETE")  # one file, and none beside it
            _note(connection, made, now)
        _bring_to_disk(part)
        part.rename(path)
        _bring_to_disk(path.parent)
    except (OSError, sqlite3.Error, DatabaseError) as fault:
        raise StoreError(
            f"No backup could be written to {path} ({fault}). Make room there, or name another "
            "place; the records themselves are as they were."
        ) from fault
    finally:
        take_away(part)
    return Backup(now, made.version, made.rows)


@contextmanager
def opened_backup(path: Path) -> Iterator[tuple[Store, Backup]]:
    """Open a backup to be brought back: a copy of it, checked and brought to the newest shape.

    The file itself stays as it is. A copy of a database that was made by other means will do, too:
    one that was kept before an upgrade, or put aside while nothing was served.

    Yields:
        The records, which are gone after the block, and what the file says of itself.

    Raises:
        MissingError: If there is no such file.
        StoreError: If it is no backup of this program's, damaged, or of a newer version.
    """
    if not path.is_file():
        raise MissingError(f"There is no file {path}; look at the name of the backup.")
    with tempfile.TemporaryDirectory(prefix="clubplanner-") as folder:
        work = Path(folder) / "backup.sqlite"
        try:
            for suffix in ("", "-wal"):  # a copy of a file in use has its log beside it
                if Path(f"{path}{suffix}").is_file():
                    shutil.copyfile(f"{path}{suffix}", f"{work}{suffix}")
            noted = _take_note_out(work)
            found = _check(work)
        except (OSError, sqlite3.Error, DatabaseError) as fault:
            raise StoreError(f"{path} cannot be read as a backup ({fault}).") from fault
        except StoreError as fault:
            raise StoreError(f"{path} cannot be used as a backup. {fault}") from fault
        if noted is not None and noted.rows != found.rows:
            raise StoreError(
                f"{path} is damaged: it does not hold as many records as were put into it. Take an "
                "earlier backup."
            )
        with closing(open_file(work)) as store:
            migrate(store)
            check_store(store)
            with store.read() as session:
                hold_to_guard(session.connection())
            yield store, found if noted is None else noted


def _begin(path: Path) -> Path:
    try:
        number, name = tempfile.mkstemp(UNFINISHED, f"{path.name}.", path.parent)  # its owner's
    except OSError as fault:
        raise StoreError(
            f"No file can be begun at {path} ({fault.strerror}); name another place."
        ) from fault
    os.close(number)
    return Path(name)


def _copy_file(store: Store, part: Path) -> None:
    with store.read() as session:
        if known_version(session.connection()) == newest_version():
            check_store(store)
    raw = store.engine.raw_connection()
    try:
        source = raw.driver_connection
        if not isinstance(source, sqlite3.Connection):
            raise TypeError("Only SQLite's files are copied so.")
        with closing(sqlite3.connect(part)) as target:
            source.backup(target, pages=-1)  # in one step, so of one state
    finally:
        raw.close()


def _copy_from_server(store: Store, part: Path) -> None:
    check_store(store)
    with closing(open_file(part)) as target, store.read() as session:
        here = session.connection()  # sees one state until the end
        migrate(target)
        tables = Base.metadata.sorted_tables
        with target.rebuild() as there:
            copy_rows(here, there, tables)
            for table in tables:
                if not is_same(here, there, table):
                    raise StoreError(f"The backup is not whole: table “{table.name}” differs.")


def _check(part: Path) -> Backup:
    """Open a file and look at all of it."""
    with closing(open_file(part)) as store:
        with store.read() as session:
            connection = session.connection()
            faults = connection.execute(text("PRAGMA integrity_check(1)")).scalar()
            if faults != "ok":
                raise StoreError(f"The file is damaged: {faults}.")
            if connection.execute(text("PRAGMA foreign_key_check")).first() is not None:
                raise StoreError("The file is damaged: a row refers to one that is not there.")
            version = known_version(connection)
            if version is None:
                raise StoreError("There is no club in it.")
            rows = _rows(connection)
            if version == newest_version():
                hold_to_guard(connection)
        if version == newest_version():
            check_store(store)
    return Backup(None, version, rows)


def _rows(connection: Connection) -> dict[str, int]:
    names = sorted(set(inspect(connection).get_table_names()) - {VERSION_TABLE, BACKUP_NOTE})
    counted = {}
    for name in names:
        quoted = connection.dialect.identifier_preparer.quote(name)
        counted[name] = connection.execute(text(f"SELECT count(*) FROM {quoted}")).scalar_one()  # noqa: S608
    return counted


def _note(connection: sqlite3.Connection, made: Backup, now: datetime) -> None:
    with connection:
        connection.execute(
            f"CREATE TABLE {BACKUP_NOTE} (taken_at INTEGER, version TEXT, rows TEXT)"
        )
        connection.execute(
            f"INSERT INTO {BACKUP_NOTE} VALUES (?, ?, ?)",  # noqa: S608
            (int(now.timestamp()), made.version, json.dumps(made.rows)),
        )


def _take_note_out(work: Path) -> Backup | None:
    with closing(sqlite3.connect(work)) as connection:
        known = "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?"
        if connection.execute(known, (BACKUP_NOTE,)).fetchone() is None:
            return None
        words = f"SELECT taken_at, version, rows FROM {BACKUP_NOTE}"  # noqa: S608
        taken_at, version, rows = connection.execute(words).fetchone()
        with connection:
            connection.execute(f"DROP TABLE {BACKUP_NOTE}")
    return Backup(datetime.fromtimestamp(taken_at, UTC), version, json.loads(rows))


def _bring_to_disk(path: Path) -> None:
    number = os.open(path, os.O_RDONLY)
    try:
        os.fsync(number)
    finally:
        os.close(number)


def take_away(part: Path) -> None:
    """Remove a file of SQLite with what stands beside it; one that is not there is no fault."""
    for suffix in ("", "-wal", "-shm", "-journal"):
        Path(f"{part}{suffix}").unlink(missing_ok=True)
