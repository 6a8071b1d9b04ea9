"""Whether anybody else has a club's records open."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

from sqlalchemy import text

from clubplanner.store.sqlite import LOCKED, file_of

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

_OTHERS = """
    SELECT count(*) FROM pg_stat_activity
    WHERE datname = current_database() AND pid <> pg_backend_pid()
        AND backend_type = 'client backend'"""


def is_in_use(store: Store) -> bool:
    """Tell whether another program, such as a server or a worker, has the records open now.

    The store's own connections are given back first. Whoever serves or works keeps one open. With
    SQLite's log of changes every connection holds the file shared as long as it lives, so a
    connection that asks for it alone is refused (https://sqlite.org/pragma.html#pragma_locking_mode).
    """
    store.close()
    if store.engine.dialect.name != "sqlite":
        with store.engine.connect() as connection:
            others = connection.execute(text(_OTHERS)).scalar_one()
        store.close()
        return bool(others)
    file = file_of(store.engine)
    if file is None or not file.exists():
        return False
    with closing(sqlite3.connect(file, timeout=0, isolation_level=None)) as alone:
        try:
            alone.execute("PRAGMA locking_mode = EXCLUSIVE")
            alone.execute("BEGIN IMMEDIATE")
            alone.execute("ROLLBACK")
        except sqlite3.DatabaseError as fault:  # what is no database at all is nobody's
            return LOCKED in str(fault)
    return False
