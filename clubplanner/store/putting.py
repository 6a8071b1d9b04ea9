"""Rows put into tables, and asked of them, past the session: what comes with every change.

Making objects, and finding out which of them changed, takes longer than the database does.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import insert, text
from sqlalchemy.dialects.sqlite.pysqlite import SQLiteDialect_pysqlite

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from sqlalchemy import Connection, CursorResult, Insert, Select, Table
    from sqlalchemy.orm import Session
    from sqlalchemy.sql.dml import ReturningInsert

    from clubplanner.store.tables.base import Base

    _Way = Callable[[Any], Any]

_LAST_NUMBER = text("SELECT last_insert_rowid()")
FEW = 3
"""From so many rows on one statement for all of them is quicker."""


def put_row(connection: Connection, row: type[Base], values: Mapping[str, Any]) -> int:
    """Insert a row that gets its number by it.

    Args:
        connection: In a transaction.
        row: The class of rows.
        values: By column, all of them but the number.

    Returns:
        The number.
    """
    if connection.dialect.name == "sqlite":
        statement, ways = _plainly_into(row)
        stored = tuple([values[name] if way is None else way(values[name]) for name, way in ways])
        return int(connection.exec_driver_sql(statement, stored).lastrowid)
    number: int = connection.execute(_into(row), dict(values)).inserted_primary_key[0]  # type: ignore[index]
    return number


def put_rows(
    connection: Connection, row: type[Base], values: Sequence[Mapping[str, Any]]
) -> list[int]:
    """Insert rows that get their numbers by it; none at all does nothing.

    Returns:
        The numbers, in the order of the values.
    """
    if len(values) < FEW:
        return [put_row(connection, row, one) for one in values]
    if connection.dialect.name == "sqlite":
        # one writer alone gives numbers, each one more than the highest (https://sqlite.org/autoinc.html)
        connection.execute(_into(row), [dict(one) for one in values])
        last = connection.execute(_LAST_NUMBER).scalar_one()
        return list(range(last - len(values) + 1, last + 1))
    found = connection.execute(_into_numbered(row), [dict(one) for one in values])
    return [number for (number,) in found]


def ask(session: Session, statement: Select[Any], values: Mapping[str, Any]) -> CursorResult[Any]:
    """Ask for columns, as the session would, of what it has changed so far, too.

    Args:
        session: An open session.
        statement: Selects columns, no objects.
        values: Of its parameters.
    """
    if session.autoflush:
        session.flush()
    return session.connection().execute(statement, dict(values))


@cache
def _into_numbered(row: type[Base]) -> ReturningInsert[int]:
    table = cast("Table", row.__table__)
    return insert(table).returning(table.c.id, sort_by_parameter_order=True)


@cache
def _plainly_into(row: type[Base]) -> tuple[str, tuple[tuple[str, _Way | None], ...]]:
    """Return SQLite's own statement, and how each value of it is stored, in their order.

    What SQLAlchemy does around a statement takes three times as long as SQLite does with a row.
    """
    dialect = SQLiteDialect_pysqlite()
    table = cast("Table", row.__table__)
    names = [one.name for one in table.c if one.name != "id"]
    compiled = insert(table).compile(dialect=dialect, column_keys=names)
    ways = [
        (name, table.c[name].type.dialect_impl(dialect).bind_processor(dialect))
        for name in compiled.positiontup or ()
    ]
    return compiled.string, tuple(ways)


@cache
def _into(row: type[Base]) -> Insert:
    """Return the statement; made once, as making it takes longer than sending it."""
    return insert(cast("Table", row.__table__))
