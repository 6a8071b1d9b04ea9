"""Rows put into tables, and asked of them, past the session: what comes with every change.

Making objects, and finding out which of them changed, takes longer than the database does.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING, Any, cast

from sqlalchemy import insert, text

from clubplanner.store.direct import prepare, rows_of, run, run_for_all

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sqlalchemy import Connection, Insert, Select, Table
    from sqlalchemy.orm import Session
    from sqlalchemy.sql.dml import ReturningInsert

    from clubplanner.store.tables.base import Base

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
        prepared = prepare(connection.dialect, _into(row), _names(row))
        return int(run(connection, prepared, values).lastrowid)
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
        run_for_all(connection, prepare(connection.dialect, _into(row), _names(row)), values)
        last = connection.execute(_LAST_NUMBER).scalar_one()
        return list(range(last - len(values) + 1, last + 1))
    found = connection.execute(_into_numbered(row), [dict(one) for one in values])
    return [number for (number,) in found]


def ask(
    session: Session, statement: Select[Any], values: Mapping[str, Any]
) -> list[tuple[Any, ...]]:
    """Ask for columns, as the session would, of what it has changed so far, too.

    Args:
        session: An open session.
        statement: Made once; selects columns, no objects, and has no lists of values.
        values: Of its parameters.
    """
    if session.autoflush:
        session.flush()
    connection = session.connection()
    prepared = prepare(connection.dialect, statement)
    return rows_of(run(connection, prepared, values), prepared)


@cache
def _into_numbered(row: type[Base]) -> ReturningInsert[int]:
    table = cast("Table", row.__table__)
    return insert(table).returning(table.c.id, sort_by_parameter_order=True)


@cache
def _names(row: type[Base]) -> tuple[str, ...]:
    """Return the columns, the number left out."""
    return tuple(one.name for one in cast("Table", row.__table__).c if one.name != "id")


@cache
def _into(row: type[Base]) -> Insert:
    """Return the statement; made once, as making it takes longer than sending it."""
    return insert(cast("Table", row.__table__))
