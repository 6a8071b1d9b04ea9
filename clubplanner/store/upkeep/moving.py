"""Moving a club's records from one database to another, of either kind.

Every row goes as it is, numbers and all, so that addresses, calendars and the journal stay right.
The guard looks at what is put in, one booking after another, and at no history: a booking that was
over when its ground was redrawn keeps cells that its area no longer has. So its triggers are set
aside while rows are copied, and what they hold is asked of all rows together at the end.
"""

from __future__ import annotations

from contextlib import closing
from dataclasses import dataclass
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select, text

from clubplanner.errors import RefusedError, StoreError
from clubplanner.store import postgres
from clubplanner.store.guard import check_guards, stand_up_guards, take_down_guards
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import LONGEST_BOOKING_HOURS
from clubplanner.store.upkeep.migrate import check_store, migrate

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Connection, Result, Table

    from clubplanner.store.engine import Store

CHUNK = 1000
OVERLAPS = """
    SELECT one.id FROM booking AS one JOIN booking AS other
        ON other.pitch_id = one.pitch_id AND other.id > one.id
        AND other.starts_at < one.ends_at AND other.ends_at > one.starts_at
        AND other.starts_at > one.starts_at - :longest AND (other.cells & one.cells) <> 0
    WHERE NOT one.is_withdrawn AND NOT other.is_withdrawn"""
OTHER_GROUND = """
    SELECT booking.id FROM booking LEFT JOIN area
        ON area.id = booking.area_id AND area.pitch_id = booking.pitch_id
    WHERE area.id IS NULL OR area.cells <> booking.cells AND NOT booking.is_withdrawn
        AND (area.redrawn_at IS NULL OR booking.ends_at > area.redrawn_at)"""


@dataclass(frozen=True, slots=True)
class Moved:
    """What was moved.

    Attributes:
        rows: Table → how many rows it has, in either database.
        was_there: Whether all of them were there before.
    """

    rows: dict[str, int]
    was_there: bool


def move_records(source: Store, target: Store) -> Moved:
    """Copy all records, compare them row by row, and hold the copy to the guard.

    Nobody writes to the source meanwhile. The target begins empty, or has these very records from
    an earlier try; all of it is one transaction there.

    Raises:
        RefusedError: If the target holds other records.
        StoreError: If either cannot be used, or a copy does not come out as its original.
    """
    check_store(source)
    migrate(target)
    with source.write() as session, target.rebuild() as there:
        here = session.connection()
        tables = Base.metadata.sorted_tables
        counts = {table.name: count_rows(there, table) for table in tables}
        was_there = any(counts.values())
        if not was_there:
            copy_rows(here, there, tables)
        for table in tables:
            if not is_same(here, there, table):
                words = f"table “{table.name}” differs from the one that is moved"
                if was_there:
                    raise RefusedError(
                        f"The database to move to holds other records ({words}); name an empty "
                        "one. Nothing was changed."
                    )
                raise StoreError(f"The copy is not whole: {words}. Nothing was changed.")
        hold_to_guard(there)
        rows = {table.name: count_rows(here, table) for table in tables}
    check_store(target)
    return Moved(rows, was_there)


def copy_rows(here: Connection, there: Connection, tables: Sequence[Table]) -> None:
    """Copy rows as they are, the guard set aside meanwhile; `hold_to_guard` has to follow.

    Args:
        here: Where they are.
        there: Where these tables are empty; part of its transaction.
        tables: Which, in an order in which none refers to a later one.
    """
    is_server = there.dialect.name == postgres.NAME
    if is_server:
        _set_triggers(there, "DISABLE")
    take_down_guards(there)
    for table in tables:
        for rows in _rows(here, table).partitions(CHUNK):
            there.execute(insert(table), [row._asdict() for row in rows])
    if is_server:
        _set_triggers(there, "ENABLE")
        number_on(there, tables)
    stand_up_guards(there)


def _set_triggers(there: Connection, how: str) -> None:
    """Set our own triggers aside or to work again; references are looked at in any case."""
    for table in ("booking", "area"):
        there.execute(text(f"ALTER TABLE {table} {how} TRIGGER USER"))


def number_on(there: Connection, tables: Sequence[Table]) -> None:
    """Let new rows of a server's tables be numbered after all that ever were there."""
    if there.dialect.name != postgres.NAME:
        return
    for table in tables:
        column = table.autoincrement_column
        if column is None:
            continue
        sequence = there.scalar(
            text("SELECT pg_get_serial_sequence(:table, :column)"),
            {"table": table.name, "column": column.name},
        )
        last = there.scalar(select(func.max(column)))
        if sequence is not None and last is not None:
            given = there.scalar(text(f"SELECT last_value FROM {sequence}"))  # noqa: S608 - the server's
            there.execute(
                text("SELECT setval(:sequence, :last)"),
                {"sequence": sequence, "last": max(last, given)},
            )


def _rows(connection: Connection, table: Table) -> Result[Any]:
    """Return a table's rows, few at a time, in the order of their keys."""
    query = select(table).order_by(*table.primary_key.columns)
    return connection.execute(query, execution_options={"yield_per": CHUNK})


def is_same(here: Connection, there: Connection, table: Table) -> bool:
    """Tell whether a table has the same rows in both."""
    with closing(_rows(here, table)) as ours, closing(_rows(there, table)) as theirs:
        pairs = zip_longest(ours, theirs)
        return all(one is not None and other is not None and one == other for one, other in pairs)


def count_rows(connection: Connection, table: Table) -> int:
    """Return how many rows a table has."""
    return connection.scalar(select(func.count()).select_from(table)) or 0


def hold_to_guard(there: Connection) -> None:
    """Hold all rows to what the guard asks of each, and see that it stands.

    Raises:
        StoreError: With the booking that is not sound.
    """
    check_guards(there)
    for query, words in ((OVERLAPS, "overlaps another"), (OTHER_GROUND, "is not on its ground")):
        longest = {"longest": LONGEST_BOOKING_HOURS * 3600} if ":longest" in query else {}
        found = there.execute(text(query), longest).first()
        if found is not None:
            raise StoreError(
                f"Booking {found[0]} {words}, so the records are not sound. Nothing was changed."
            )
