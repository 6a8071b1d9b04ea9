"""A database of an earlier version, for tests of what becomes of it."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import create_engine, text

from clubplanner.store.engine import open_store
from clubplanner.store.guard import stand_up_guards
from clubplanner.store.tables.base import Base
from tests.records import copy_records, drop_records, is_file, open_records

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from contextlib import AbstractContextManager
    from pathlib import Path

    from sqlalchemy import Connection

    from clubplanner.store.engine import Store

    Guarded = Callable[[], AbstractContextManager[Connection]]


@pytest.fixture
def earlier_path(tmp_path: Path) -> Path:
    """Give a place for a database of an earlier version."""
    return tmp_path / "club.sqlite"


@pytest.fixture
def earlier(earlier_path: Path) -> Iterator[Store]:
    """Give a store at that place; put a database there first."""
    store = open_store(f"sqlite:///{earlier_path}")
    yield store
    store.close()


@pytest.fixture
def guarded(empty_file: Path, tmp_path: Path) -> Iterator[Guarded]:
    """Give a function that opens a guarded database of its own, empty at each call.

    What it is given is taken back at the end. References to other rows are not looked at, so that
    a booking can be put there without a club around it.
    """
    if is_file():
        yield _in_memory
        return
    path = tmp_path / "guarded.sqlite"
    copy_records(empty_file, path)
    store = open_records(path)
    with store.rebuild() as connection:
        for table, name in connection.execute(text(_REFERENCES)).all():
            connection.execute(text(f'ALTER TABLE {table} DROP CONSTRAINT "{name}"'))

    @contextmanager
    def on_server() -> Iterator[Connection]:
        with store.engine.connect() as connection, connection.begin() as transaction:
            connection.execute(text("ALTER SEQUENCE area_id_seq RESTART"))
            yield connection
            transaction.rollback()

    yield on_server
    store.close()
    drop_records(path)


_REFERENCES = """
    SELECT conrelid::regclass, conname FROM pg_constraint
    WHERE contype = 'f' AND connamespace = current_schema()::regnamespace"""


@contextmanager
def _in_memory() -> Iterator[Connection]:
    engine = create_engine("sqlite://")
    with engine.connect() as connection:
        Base.metadata.create_all(connection)
        stand_up_guards(connection)
        yield connection
    engine.dispose()
