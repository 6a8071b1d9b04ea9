"""Bringing a database to the newest shape, configured in code."""

from __future__ import annotations

from contextlib import contextmanager
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import inspect
from sqlalchemy.exc import DatabaseError

from clubplanner.errors import StoreError
from clubplanner.store import postgres
from clubplanner.store.guard import GUARDS, check_guards, stand_up_guards, take_down_guards
from clubplanner.store.shape import VERSION_TABLE, shape_faults, told_faults
from clubplanner.store.sqlite import REMEDY, file_of
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.upkeep.copies import BACKUP_NOTE, keep_copy

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from sqlalchemy import Connection

    from clubplanner.store.engine import Store

OURS = BookingRow.__tablename__
"""A table that every version of this program has had."""


def migrate(store: Store) -> Path | None:
    """Create or update the tables and stand up the guards, in one transaction.

    A database file of an earlier version is copied before anything is changed; whoever runs a
    server keeps copies of it by its own means. What does not come out in the shape that this
    version expects is left as it was. On PostgreSQL a club begins in the newest shape: there was
    none before, so the steps up to then speak SQLite's words alone.

    Returns:
        Where the copy of the database as it was is; None if there was nothing to upgrade.

    Raises:
        StoreError: If the file is no database, another program's, a newer version's, or cannot be
            brought up to date.
    """
    copy = None
    with _told(), _begun_file(store), store.rebuild() as connection:
        current = known_version(connection)
        newest = newest_version()
        file = file_of(store.engine)
        if current is not None and current != newest and file is not None:
            copy = keep_copy(file, _step_after(current))
        try:
            take_down_guards(connection)  # SQLite renames no table that a trigger speaks of
            if current is None and connection.dialect.name == postgres.NAME:
                Base.metadata.create_all(connection)
                command.stamp(_config(connection), "head")
            else:
                command.upgrade(_config(connection), "head")
            stand_up_guards(connection)
            _check_shape(connection, store)
        except BaseException:
            if copy is not None:  # nothing is changed, so there is nothing to go back to
                copy.unlink(missing_ok=True)
            raise
    return copy


def check_store(store: Store) -> None:
    """Make sure the database is there, of this version and shape, and guarded.

    Raises:
        StoreError: With what to do about it.
    """
    file = file_of(store.engine)
    if file is not None and not file.exists():
        raise StoreError(
            f"There is no database at {file}. Look at the address, or run “clubplanner init” to "
            "begin a club there."
        )
    with _told(), store.read() as session:
        connection = session.connection()
        current = known_version(connection)
        if current is None:
            raise StoreError("There is no club in this database yet; run “clubplanner init”.")
        if current != newest_version():
            raise StoreError(
                "The database is of an earlier version; run “clubplanner init” to bring it up to "
                "date. A copy of it as it is will be kept beside it."
            )
        check_guards(connection)
        _check_shape(connection, store)


def _check_shape(connection: Connection, store: Store) -> None:
    faults = shape_faults(connection, GUARDS[connection.dialect.name])
    if faults:
        raise StoreError(
            f"The database is not as this version expects it: {told_faults(faults)}. It was "
            "changed by another program, or made before versions were kept apart; nothing was "
            f"changed now. Keep a copy of {file_of(store.engine) or 'the file'}, name a new file "
            "with --database, run “clubplanner init”, and load the club's files into it with "
            "“clubplanner club load”."
        )


def known_version(connection: Connection) -> str | None:
    """Return of which version a database is; None for an empty one.

    Raises:
        StoreError: If it is another program's, or of a version that is not known here.
    """
    versions = MigrationContext.configure(connection).get_current_heads()
    tables = set(inspect(connection).get_table_names()) - {VERSION_TABLE}
    if not versions and not tables:
        return None
    if BACKUP_NOTE in tables:
        raise StoreError(
            "This is a backup of a club, not its records; bring it back with “clubplanner records "
            "restore”."
        )
    if OURS not in tables and not (versions and not tables):
        raise StoreError("The file holds another program's database; choose another place.")
    if len(versions) != 1:
        raise StoreError(
            "The database does not say of which version it is, so it cannot be used; put back the "
            "copy that you kept of it."
        )
    if versions[0] not in {step.revision for step in _scripts().walk_revisions()}:
        raise StoreError(
            "The database was made by a newer version of this program; install that version."
        )
    return versions[0]


@contextmanager
def _told() -> Iterator[None]:
    """Tell what the database itself has to say against its use."""
    try:
        yield
    except DatabaseError as fault:
        raise StoreError(f"The database cannot be used: {fault.orig}. {REMEDY}") from fault


@contextmanager
def _begun_file(store: Store) -> Iterator[None]:
    """Begin the file if there is none; take it away again if nothing comes of it."""
    file = file_of(store.engine)
    if file is None or file.exists():
        yield
        return
    try:
        file.touch(mode=0o600)  # names, telephone numbers and addresses are in it
    except OSError as fault:
        raise StoreError(
            f"The database cannot be used: no file can be begun at {file} ({fault.strerror}). "
            f"{REMEDY}"
        ) from fault
    try:
        yield
    except BaseException:
        store.close()
        file.unlink(missing_ok=True)
        raise


def _step_after(current: str) -> str:
    steps = _scripts().iterate_revisions("head", current)
    return [step.revision for step in steps][-1]


def _config(connection: Connection | None = None) -> Config:
    config = Config()
    config.set_main_option("script_location", str(files("clubplanner.store") / "migrations"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


@cache
def _scripts() -> ScriptDirectory:
    """Return the steps from shape to shape; reading them takes a while, so once for all."""
    return ScriptDirectory.from_config(_config())


def newest_version() -> str | None:
    """Return the version that this program makes."""
    return _scripts().get_current_head()
