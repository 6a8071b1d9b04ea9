"""The guard: rules in the database that refuse overlapping bookings whatever the code does.

Guards live in one list per kind of database. A migration ends by standing them up again, because
rebuilding a table drops its triggers without a word; the app checks them at start and refuses to
serve without them.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import text

from clubplanner.errors import StoreError
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING_HOURS

if TYPE_CHECKING:
    from sqlalchemy import Connection

CLASH_MARK = "booking_guard: ground is held"
"""Text of the database's refusal; `is_clash` looks for it."""
LENGTH_MARK = "booking_guard: too long"

_LONGEST_S = LONGEST_BOOKING_HOURS * 3600

_REFUSE = f"""
BEGIN
    SELECT RAISE(ABORT, '{LENGTH_MARK}') WHERE NEW.ends_at - NEW.starts_at > {_LONGEST_S};
    SELECT RAISE(ABORT, '{CLASH_MARK}') WHERE NEW.is_withdrawn = 0 AND EXISTS (
        SELECT 1 FROM booking AS held
        WHERE held.pitch_id = NEW.pitch_id
          AND held.starts_at < NEW.ends_at
          AND held.starts_at > NEW.starts_at - {_LONGEST_S}
          AND held.ends_at > NEW.starts_at
          AND held.is_withdrawn = 0
          AND (held.cells & NEW.cells) <> 0
          AND held.id IS NOT NEW.id
    );
END
"""  # noqa: S608 - made of this module's own constants

SQLITE_GUARDS = {
    "booking_guard_insert": (
        f"CREATE TRIGGER booking_guard_insert BEFORE INSERT ON booking FOR EACH ROW {_REFUSE}"
    ),
    "booking_guard_update": (
        "CREATE TRIGGER booking_guard_update BEFORE UPDATE OF "
        "pitch_id, cells, starts_at, ends_at, is_withdrawn ON booking FOR EACH ROW " + _REFUSE
    ),
}
"""Name → statement. PostgreSQL gets its exclusion constraint in a list of its own beside this."""

GUARDS = {"sqlite": SQLITE_GUARDS}


def stand_up_guards(connection: Connection) -> None:
    """Create every guard anew on a connection; part of its transaction."""
    for name, statement in _guards_of(connection).items():
        connection.execute(text(f"DROP TRIGGER IF EXISTS {name}"))
        connection.exec_driver_sql(statement)


def check_guards(connection: Connection) -> None:
    """Make sure that every guard stands as written.

    Raises:
        StoreError: If one is missing or differs.
    """
    rows = connection.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
    found = {name: _plain(sql) for name, sql in rows}
    for name, statement in _guards_of(connection).items():
        if found.get(name) != _plain(statement):
            raise StoreError(
                f"The database's guard against double booking ({name}) is missing or changed. "
                "Run “clubplanner init” to put it back; nothing is served without it."
            )


def is_clash(error: BaseException) -> bool:
    """Tell whether a database error is the guard's refusal of held ground."""
    return CLASH_MARK in str(error)


def _guards_of(connection: Connection) -> dict[str, str]:
    guards = GUARDS.get(connection.dialect.name)
    if guards is None:
        raise StoreError(
            f"This version keeps its records in SQLite, not {connection.dialect.name}; "
            "use an address that starts with sqlite:///"
        )
    return guards


def _plain(statement: str) -> str:
    return " ".join(statement.split())
