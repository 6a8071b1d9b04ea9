"""Savepoints that go to a PostgreSQL server with the statement after them, in one message.

Each message costs a turn of a busy processor, here and there, and a savepoint answers nothing. So
it waits for what follows it. One that is taken back before anything followed it was for nothing,
and what still waits when the transaction ends has no meaning any more.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any
from weakref import WeakKeyDictionary

from sqlalchemy import event

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

BEGUN, RELEASED, TAKEN_BACK = "SAVEPOINT ", "RELEASE SAVEPOINT ", "ROLLBACK TO SAVEPOINT "
_WAITING: WeakKeyDictionary[object, list[str]] = WeakKeyDictionary()
"""What waits on each of the driver's connections, in order."""


def let_savepoints_ride(engine: Engine) -> None:
    """Let savepoints wait for the next statement of their connection."""
    event.listen(engine, "begin", _forget)
    engine.dialect.do_savepoint = partial(_let_wait, BEGUN)  # type: ignore[method-assign]
    engine.dialect.do_release_savepoint = partial(_let_wait, RELEASED)  # type: ignore[method-assign]
    event.listen(engine, "do_execute", _send)
    event.listen(engine, "do_executemany", _send_before)
    event.listen(engine, "do_execute_no_params", _send_before_plain)


def _forget(connection: Connection) -> None:
    _WAITING.pop(connection.connection.driver_connection, None)


def send_with_waiting(cursor: Any, statement: str, parameters: Any) -> None:
    """Send a statement past SQLAlchemy, with what waits for it."""
    if not _send(cursor, statement, parameters, None):
        cursor.execute(statement, parameters)


def _let_wait(what: str, connection: Connection, name: str) -> None:
    waiting = _WAITING.setdefault(connection.connection.driver_connection, [])
    waiting.append(what + name)


def _send(cursor: Any, statement: str, parameters: Any, _context: object) -> bool:
    """Send a statement with what waits for it; tell whether that was done, or needs doing."""
    waiting = _WAITING.get(cursor.connection, [])
    if statement.startswith(TAKEN_BACK):
        begun = BEGUN + statement.removeprefix(TAKEN_BACK)
        if begun in waiting:  # nothing was done behind it
            del waiting[waiting.index(begun) :]
            return True
    if not waiting:
        return False
    with cursor.connection.pipeline():
        _send_waiting(cursor)
        cursor.execute(statement, parameters)
    return True


def _send_before(cursor: Any, _statement: str, _parameters: Any, _context: object) -> bool:
    """Send what waits before a statement with many rows; the statement itself needs doing."""
    _send_waiting(cursor)
    return False


def _send_before_plain(cursor: Any, _statement: str, _context: object) -> bool:
    """Send what waits before a statement without parameters, which needs doing itself."""
    _send_waiting(cursor)
    return False


def _send_waiting(cursor: Any) -> None:
    for one in _WAITING.pop(cursor.connection, ()):
        cursor.connection.execute(one)
