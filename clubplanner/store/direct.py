"""Statements that come with every change, sent to the driver itself.

What SQLAlchemy does around a statement (a context, a cursor, a result, each an object) takes three
times as long as SQLite does with a row. So the text of a statement, how its values are stored and
how its columns are read, are found out once for each kind of database. Whoever listens to
statements hears of these as of all others, and errors are told as those of others are.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy.exc import DBAPIError

from clubplanner.store import postgres_faults, sqlite
from clubplanner.store.riding import send_with_waiting

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from sqlalchemy import Connection, Insert, Select, Update
    from sqlalchemy.engine import Dialect
    from sqlalchemy.sql.dml import ReturningInsert
    from sqlalchemy.sql.type_api import TypeEngine

    Statement = Insert | Select[*tuple[Any, ...]] | Update | ReturningInsert[Any]
    Way = Callable[[Any], Any] | None


@dataclass(frozen=True, slots=True)
class Prepared:
    """A statement as one kind of database gets it.

    Attributes:
        text: What is sent.
        stored: How each value is stored, in the order of the text; None as it is.
        given: Values that the statement holds itself.
        read: How each column of what it selects is read; none where it selects nothing.
        is_in_order: Whether values go by their order, not by their names.
        execution_options: Those of the statement, for whoever listens to statements.
    """

    text: str
    stored: tuple[tuple[str, Way], ...]
    given: Mapping[str, Any]
    read: tuple[Way, ...]
    is_in_order: bool
    execution_options: Mapping[str, Any]

    def values(self, values: Mapping[str, Any]) -> Sequence[Any] | dict[str, Any]:
        """Return what goes with the text."""
        held = {**self.given, **values} if self.given else values
        if self.is_in_order:
            return tuple([held[n] if way is None else way(held[n]) for n, way in self.stored])
        return {n: held[n] if way is None else way(held[n]) for n, way in self.stored}


_PREPARED: dict[tuple[str, int], tuple[Statement, Prepared]] = {}
"""By kind of database and statement; that is held with it, as another may be where it was."""


def prepare(dialect: Dialect, statement: Statement, names: Sequence[str] | None = None) -> Prepared:
    """Find out how a statement is sent; once for each that is made once.

    Args:
        dialect: Of the connection; all of our engines of a kind are made alike.
        statement: Made once, as it is remembered for good; without lists of values.
        names: Columns that an insertion without values of its own fills; None for others.
    """
    key = dialect.name, id(statement)
    if key not in _PREPARED:
        compiled = statement.compile(
            dialect=dialect, column_keys=None if names is None else list(names)
        )
        order = getattr(compiled, "positiontup", None)
        params, binds = compiled.params, compiled.binds
        stored = tuple((n, _way_in(dialect, binds[n].type)) for n in order or params)
        chosen = getattr(statement, "selected_columns", ())
        read = tuple(_way_out(dialect, column.type) for column in chosen)
        given = {name: value for name, value in params.items() if value is not None}
        _PREPARED[key] = (
            statement,
            Prepared(
                str(compiled),
                stored,
                given,
                read,
                order is not None,
                statement.get_execution_options(),
            ),
        )
    return _PREPARED[key][1]


def run(connection: Connection, prepared: Prepared, values: Mapping[str, Any]) -> Any:
    """Send a statement.

    Args:
        connection: In a transaction.
        prepared: The statement, for a database of this kind.
        values: Of its parameters, all of them.

    Returns:
        The driver's cursor, at its rows.

    Raises:
        DBAPIError: As SQLAlchemy raises it: IntegrityError where the guard refuses it.
        StoreError: As `postgres_faults.raise_plain` and `sqlite.raise_plain` tell it.
    """
    return _send(connection, prepared, prepared.values(values))


def run_for_all(
    connection: Connection, prepared: Prepared, values: Sequence[Mapping[str, Any]]
) -> None:
    """Send a statement that selects nothing with many rows' values, to SQLite.

    Raises:
        DBAPIError, StoreError: As `run`.
    """
    _send(connection, prepared, [prepared.values(one) for one in values], is_for_all=True)


def _send(
    connection: Connection, prepared: Prepared, sent: Any, *, is_for_all: bool = False
) -> Any:
    cursor = connection.connection.cursor()
    for hear in connection.dispatch.before_cursor_execute:
        hear(connection, cursor, prepared.text, sent, prepared, is_for_all)
    try:
        if is_for_all:
            cursor.executemany(prepared.text, sent)
        elif prepared.is_in_order:
            cursor.execute(prepared.text, sent)
        else:
            send_with_waiting(cursor, prepared.text, sent)
    except connection.dialect.loaded_dbapi.Error as fault:
        _tell(connection, prepared.text, sent, fault)
    for hear in connection.dispatch.after_cursor_execute:
        hear(connection, cursor, prepared.text, sent, prepared, is_for_all)
    return cursor


def rows_of(cursor: Any, prepared: Prepared) -> list[tuple[Any, ...]]:
    """Return the rows that a statement selects, each value as it is in Python."""
    return [
        tuple([value if way is None else way(value) for value, way in zip(row, prepared.read)])  # noqa: B905 - as many as were asked for
        for row in cursor.fetchall()
    ]


def _tell(connection: Connection, text: str, sent: Any, fault: Exception) -> None:
    dialect = connection.dialect
    driver = connection.connection
    if dialect.is_disconnect(fault, driver, None):  # type: ignore[arg-type]
        connection.invalidate(fault)
    (sqlite if dialect.name == "sqlite" else postgres_faults).raise_plain(fault)
    raise DBAPIError.instance(
        text, sent, fault, dialect.loaded_dbapi.Error, dialect=dialect
    ) from fault


def _way_in(dialect: Dialect, of: TypeEngine[Any]) -> Way:
    return of.dialect_impl(dialect).bind_processor(dialect)


def _way_out(dialect: Dialect, of: TypeEngine[Any]) -> Way:
    return of.dialect_impl(dialect).result_processor(dialect, None)
