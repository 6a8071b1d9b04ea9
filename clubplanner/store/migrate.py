"""Bringing a database to the newest shape, configured in code."""

from __future__ import annotations

from importlib.resources import files
from typing import TYPE_CHECKING

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.exc import DatabaseError

from clubplanner.errors import StoreError
from clubplanner.store.engine import REMEDY
from clubplanner.store.guard import check_guards, stand_up_guards

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from clubplanner.store.engine import Store


def migrate(store: Store) -> None:
    """Create or update the tables and stand up the guards, in one transaction.

    Raises:
        StoreError: If the file is no database, or another program's or a newer version's.
    """
    try:
        with store.write() as session:
            connection = session.connection()
            _check_origin(connection)
            command.upgrade(_config(connection), "head")
            stand_up_guards(connection)
    except DatabaseError as fault:
        raise StoreError(f"The database cannot be used: {fault.orig}. {REMEDY}") from fault


def check_store(store: Store) -> None:
    """Make sure the database is there, of this version, and guarded.

    Raises:
        StoreError: With what to do about it.
    """
    try:
        with store.read() as session:
            connection = session.connection()
            current = MigrationContext.configure(connection).get_current_revision()
            if current is None:
                raise StoreError("There is no club in this database yet; run “clubplanner init”.")
            if current != _newest(connection):
                raise StoreError(
                    "The database is of another version; run “clubplanner init” to update it."
                )
            check_guards(connection)
    except DatabaseError as fault:
        raise StoreError(f"The database cannot be used: {fault.orig}. {REMEDY}") from fault


def _check_origin(connection: Connection) -> None:
    current = MigrationContext.configure(connection).get_current_revision()
    known = {step.revision for step in _scripts(connection).walk_revisions()}
    if current is not None and current not in known:
        raise StoreError(
            "The database was made by a newer version of this program; install that version."
        )
    if current is None and connection.dialect.get_table_names(connection):
        raise StoreError("The file holds another program's database; choose another place.")


def _config(connection: Connection) -> Config:
    config = Config()
    config.set_main_option("script_location", str(files("clubplanner.store") / "migrations"))
    config.set_main_option("path_separator", "os")
    config.attributes["connection"] = connection
    return config


def _scripts(connection: Connection) -> ScriptDirectory:
    return ScriptDirectory.from_config(_config(connection))


def _newest(connection: Connection) -> str | None:
    return _scripts(connection).get_current_head()
