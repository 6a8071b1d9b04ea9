"""Files loaded into databases that are the same, read and written once."""

from __future__ import annotations

import sqlite3
from contextlib import closing, contextmanager
from dataclasses import dataclass
from hashlib import blake2b
from typing import TYPE_CHECKING, Any

from clubplanner.services.setup.loading import load_files
from clubplanner.store.tables.base import Base

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from clubplanner.inputs.club_files.club_file import ClubFile
    from clubplanner.store.engine import Store

MOST_KEPT = 40
_loaded: dict[tuple[object, ...], bytes] = {}
"""What loading left, by the database as it was, the files, the instant and who loaded them."""


@dataclass(frozen=True, slots=True)
class _Left:
    """What loading left in a blank database of a server: rows by table, and what was numbered."""

    rows: dict[str, bytes]
    numbered: dict[str, int]


_left: dict[tuple[object, ...], _Left] = {}
"""The same by the files, the instant and who loaded them."""


def load_once(store: Store, files: Sequence[ClubFile], now: datetime) -> None:
    """Load files, or copy what loading them left in a file of the same bytes or a blank database.

    Raises:
        FaultyInputError: If they have faults; that is found anew each time.
    """
    if store.engine.dialect.name != "sqlite":
        _load_on_server(store, files, now)
        return
    with _driver(store) as connection:
        what = (*files, now, store.by, blake2b(connection.serialize()).digest())
        if what in _loaded:
            with closing(sqlite3.connect(":memory:")) as source:
                source.deserialize(_loaded[what])
                source.backup(connection)
            return
    load_files(store, files, now)
    if len(_loaded) == MOST_KEPT:  # tests of one file, which follow each other, load the same
        _loaded.clear()
    with _driver(store) as connection:
        _loaded[what] = _without_log(connection.serialize())


def _without_log(database: bytes) -> bytes:
    """Return a database that needs no log beside it, so that it can be opened in memory.

    Bytes 18 and 19 say how it is written (https://sqlite.org/fileformat.html, section 1.3).
    """
    return database[:18] + bytes([1, 1]) + database[20:]


@contextmanager
def _driver(store: Store) -> Iterator[Any]:
    with store.engine.connect() as connection:
        yield connection.connection.driver_connection


def _load_on_server(store: Store, files: Sequence[ClubFile], now: datetime) -> None:
    what = (*files, now, store.by)
    with _driver(store) as connection:
        is_blank = _is_blank(connection)
        if is_blank and what in _left:
            _put(connection, _left[what])
            return
    load_files(store, files, now)
    if is_blank:
        if len(_left) == MOST_KEPT:
            _left.clear()
        with _driver(store) as connection:
            _left[what] = _take(connection)


def _is_blank(connection: Any) -> bool:
    """Tell whether no table has a row."""
    filled = (f"EXISTS (SELECT FROM {name})" for name in Base.metadata.tables)
    with connection.cursor() as cursor:
        found = cursor.execute(f"SELECT {' OR '.join(filled)}").fetchone()
    return not found[0]


def _take(connection: Any) -> _Left:
    rows = {}
    with connection.cursor() as cursor:
        for name in Base.metadata.tables:
            with cursor.copy(f"COPY {name} TO STDOUT") as copied:
                rows[name] = b"".join(copied)
        cursor.execute("SELECT sequencename, last_value FROM pg_sequences")
        numbered = {name: last for name, last in cursor.fetchall() if last is not None}
    return _Left({name: found for name, found in rows.items() if found}, numbered)


def _put(connection: Any, left: _Left) -> None:
    """Write rows as they were found, without what the server does when rows are written."""
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL session_replication_role = replica")
        for name, rows in left.rows.items():
            with cursor.copy(f"COPY {name} FROM STDIN") as copied:
                copied.write(rows)
        for name, last in left.numbered.items():
            cursor.execute("SELECT setval(%s::text::regclass, %s)", (name, last))
    connection.commit()
