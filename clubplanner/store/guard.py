"""The guard: rules in the database that refuse overlapping bookings whatever the code does.

Guards live in one list per kind of database (`store/postgres_guard.py`). A migration takes them
down and ends by standing them up again; the app checks them at start and refuses to serve without
them.

They hold for every program that writes to the file by SQL, also for one that looks at no foreign
keys, lets no trigger see what REPLACE removes, and asks for conflicts to be replaced or ignored:

- no two live bookings of a pitch share a cell and a moment, and none is longer than a day;
- a booking has the pitch and the cells of its area. What was over when the ground was redrawn
  (`area.redrawn_at`) keeps the cells it had, and a withdrawn one does until it is put back;
- a booked area keeps its number and its pitch and is not taken away; its cells change only while
  its bookings to come are withdrawn, so each is looked at when it is put back;
- no booking and no area takes the place of one with the same number, calendar's name or key;
- every column has its kind (`store.kinds`), so nothing slips through a comparison.

What is not held: a program that changes the schema, switches checks or triggers off, or dates a
redrawing into the future gets past it. A booking that is deleted frees its ground; whether anything
refers to it is a matter of foreign keys, which our own connections look at.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import text

from clubplanner.errors import StoreError
from clubplanner.store import postgres
from clubplanner.store.postgres_guard import Marks, faulty_parts, make_anew, make_parts
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING_HOURS

if TYPE_CHECKING:
    from sqlalchemy import Connection

CLASH_MARK = "booking_guard: ground is held"
"""Text of the database's refusal; `is_clash` looks for it."""
LENGTH_MARK = "booking_guard: too long"
GROUND_MARK = "booking_guard: not the ground of its area"
TWICE_MARK = "booking_guard: there already"
AREA_MARK = "booking_guard: ground is booked"

_LONGEST_S = LONGEST_BOOKING_HOURS * 3600

_TOO_LONG = f"NEW.ends_at - NEW.starts_at > {_LONGEST_S}"
_OTHER_GROUND = """NOT EXISTS (
        SELECT 1 FROM area
        WHERE area.id = NEW.area_id AND area.pitch_id = NEW.pitch_id
          AND (area.cells = NEW.cells OR {kept})
    )"""
_KEPT = """NEW.cells = OLD.cells AND NEW.area_id = OLD.area_id
              AND (NEW.is_withdrawn = 1 OR NEW.ends_at <= area.redrawn_at)"""
_HELD = f"""NEW.is_withdrawn = 0 AND EXISTS (
        SELECT 1 FROM booking AS held
        WHERE held.pitch_id = NEW.pitch_id
          AND held.starts_at < NEW.ends_at
          AND held.starts_at > NEW.starts_at - {_LONGEST_S}
          AND held.ends_at > NEW.starts_at
          AND held.is_withdrawn = 0
          AND (held.cells & NEW.cells) <> 0
          AND held.id IS NOT {{itself}}.id
    )"""  # noqa: S608 - made of this module's own constants
_BOOKED_TWICE = """EXISTS (SELECT 1 FROM booking WHERE id = NEW.id AND {others})
        OR EXISTS (SELECT 1 FROM booking WHERE uid = NEW.uid AND {others})"""
_DRAWN_TWICE = """EXISTS (SELECT 1 FROM area WHERE id = NEW.id AND {others})
        OR EXISTS (
            SELECT 1 FROM area WHERE pitch_id = NEW.pitch_id AND "key" = NEW."key" AND {others}
        )"""
_CHANGED_UNDER = """EXISTS (
        SELECT 1 FROM booking WHERE area_id = OLD.id AND (
            NEW.id <> OLD.id OR NEW.pitch_id <> OLD.pitch_id
            OR is_withdrawn = 0 AND cells IS NOT NEW.cells
               AND (NEW.redrawn_at IS NULL OR ends_at > NEW.redrawn_at)
        )
    )"""
_ANY, _NOT_ITSELF = "1", "id <> OLD.id"


def _trigger(
    name: str, event: str, *refused: tuple[str, str], changed: tuple[str, ...] = ()
) -> str:
    """Return the statement that makes a trigger.

    Args:
        name: Its own.
        event: Such as "INSERT ON booking"; it fires before.
        refused: Words and the condition under which they are said, in the order of looking.
        changed: Columns of which one has to differ. They are told by value: a list of columns
            after OF does not see that `rowid` is another name of `id`.
    """
    differs = " OR ".join(f"NEW.{column} IS NOT OLD.{column}" for column in changed)
    when = f"WHEN {differs}" if changed else ""
    steps = "\n".join(
        f"    SELECT RAISE(ABORT, '{words}') WHERE {condition};" for words, condition in refused
    )
    return f"CREATE TRIGGER {name} BEFORE {event} FOR EACH ROW {when}\nBEGIN\n{steps}\nEND"


SQLITE_GUARDS = {
    "booking_guard_insert": _trigger(
        "booking_guard_insert",
        "INSERT ON booking",
        (TWICE_MARK, _BOOKED_TWICE.format(others=_ANY)),
        (LENGTH_MARK, _TOO_LONG),
        (GROUND_MARK, _OTHER_GROUND.format(kept="0")),
        (CLASH_MARK, _HELD.format(itself="NEW")),
    ),
    "booking_guard_update": _trigger(
        "booking_guard_update",
        "UPDATE ON booking",
        (TWICE_MARK, _BOOKED_TWICE.format(others=_NOT_ITSELF)),
        (LENGTH_MARK, _TOO_LONG),
        (GROUND_MARK, _OTHER_GROUND.format(kept=_KEPT)),
        (CLASH_MARK, _HELD.format(itself="OLD")),
        changed=(
            *("id", "uid", "area_id", "pitch_id", "cells"),
            *("starts_at", "ends_at", "is_withdrawn"),
        ),
    ),
    "area_guard_insert": _trigger(
        "area_guard_insert", "INSERT ON area", (TWICE_MARK, _DRAWN_TWICE.format(others=_ANY))
    ),
    "area_guard_update": _trigger(
        "area_guard_update",
        "UPDATE ON area",
        (TWICE_MARK, _DRAWN_TWICE.format(others=_NOT_ITSELF)),
        (AREA_MARK, _CHANGED_UNDER),
        changed=("id", "pitch_id", '"key"', "cells", "redrawn_at"),
    ),
    "area_guard_delete": _trigger(
        "area_guard_delete",
        "DELETE ON area",
        (AREA_MARK, "EXISTS (SELECT 1 FROM booking WHERE area_id = OLD.id)"),
    ),
}
"""Name → statement."""

POSTGRES_GUARDS = make_parts(Marks(CLASH_MARK, LENGTH_MARK, GROUND_MARK, AREA_MARK), _LONGEST_S)

GUARDS = {
    "sqlite": frozenset(SQLITE_GUARDS),
    postgres.NAME: frozenset(part.name for part in POSTGRES_GUARDS),
}
"""Names of the parts of each guard."""


def stand_up_guards(connection: Connection) -> None:
    """Create the guard anew on a connection, or see that it stands; part of its transaction."""
    if connection.dialect.name == postgres.NAME:
        make_anew(connection, POSTGRES_GUARDS)
        return
    take_down_guards(connection)
    for statement in SQLITE_GUARDS.values():
        connection.exec_driver_sql(statement)


def take_down_guards(connection: Connection) -> None:
    """Drop SQLite's guard, so that tables can be made anew; `stand_up_guards` has to follow.

    PostgreSQL alters tables in place, and its constraint would have to look at all bookings again.
    """
    if connection.dialect.name == postgres.NAME:
        return
    for name in SQLITE_GUARDS:
        connection.execute(text(f"DROP TRIGGER IF EXISTS {name}"))


def check_guards(connection: Connection) -> None:
    """Make sure that every guard stands as written.

    Raises:
        StoreError: If one is missing or differs.
    """
    for name in _faulty(connection):
        raise StoreError(
            f"The database's guard against double booking ({name}) is missing or changed. "
            "Run “clubplanner init” to put it back; nothing is served without it."
        )


def is_clash(error: BaseException) -> bool:
    """Tell whether a database error is the guard's refusal of held ground."""
    return CLASH_MARK in str(error)


def _faulty(connection: Connection) -> list[str]:
    if connection.dialect.name == postgres.NAME:
        return faulty_parts(connection, POSTGRES_GUARDS)
    rows = connection.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
    found = {name: _plain(sql) for name, sql in rows}
    return [name for name, sql in SQLITE_GUARDS.items() if found.get(name) != _plain(sql)]


def _plain(statement: str) -> str:
    return " ".join(statement.split())
