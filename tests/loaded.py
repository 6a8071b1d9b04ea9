"""Files loaded into databases that are the same, read and written once."""

from __future__ import annotations

import sqlite3
from contextlib import closing, contextmanager
from hashlib import blake2b
from typing import TYPE_CHECKING, Any

from clubplanner.services.setup.loading import load_files

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from clubplanner.inputs.club_files.club_file import ClubFile
    from clubplanner.store.engine import Store

MOST_KEPT = 40
_loaded: dict[tuple[object, ...], bytes] = {}
"""What loading left, by the database as it was, the files, the instant and who loaded them."""


def load_once(store: Store, files: Sequence[ClubFile], now: datetime) -> None:
    """Load files, or copy what loading them left in a database (SQLite) of the same bytes.

    Raises:
        FaultyInputError: If they have faults; that is found anew each time.
    """
    if store.engine.dialect.name != "sqlite":
        load_files(store, files, now)
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
