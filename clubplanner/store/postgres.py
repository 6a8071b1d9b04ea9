"""Records in PostgreSQL (15 or newer), for several processes and machines.

Readers see one state (REPEATABLE READ). Writers queue up as on SQLite: the first thing that a
write session does is to lock a table that only writers lock, so everything that it looks at is as
the one before it left it, and every rule that holds on SQLite holds here. LOCK TABLE takes no
snapshot; what follows it sees the present. Readers never wait for it.

Instants are whole seconds since 1970 on both, so that one expression adds hours on either, and rows
are moved as they are.
"""

from __future__ import annotations

import time
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from sqlalchemy import create_engine, event, text

from clubplanner.errors import StoreError
from clubplanner.store.pools import PlainPool
from clubplanner.store.postgres_faults import raise_plain
from clubplanner.store.riding import let_savepoints_ride
from clubplanner.store.stand import SETUP, WRITTEN

if TYPE_CHECKING:
    from collections.abc import Iterator

    import psycopg
    from sqlalchemy import URL, Connection, Engine
    from sqlalchemy.engine import ExceptionContext
    from sqlalchemy.orm import Session
    from sqlalchemy.pool import ConnectionPoolEntry

NAME = "postgresql"
OLDEST = 150_000
"""Server version 15, as the server counts them."""
WRITERS = "stand"
"""The table that writers lock."""
MARK = "clubplanner"
"""What stands before an empty message in the server's log that brings the log to the disk."""
AT_ONCE = 3
"""How many writers of a process the server knows of: one has its turn, and when that ends the next
one has it at once, while another comes. More would keep connections that readers need."""
_TURN = f"""
    SET LOCAL synchronous_commit = off;
    LOCK TABLE {WRITERS} IN EXCLUSIVE MODE;
    SELECT coalesce(max(number), 0) FROM {WRITERS} WHERE id = {SETUP}"""  # noqa: S608
"""Waits for one's turn, and reads a mark (`store/stand.py`), in one message to the server. The lock
is given back before the disk is waited for (`reach_disk`)."""
_ALL_ON_DISK = """
    SELECT CASE WHEN pg_is_in_recovery() THEN true
        WHEN current_setting('synchronous_standby_names') <> '' THEN false
        ELSE pg_current_wal_flush_lsn() >= pg_current_wal_insert_lsn() END"""
_OPEN_SINCE = "clubplanner_open_since"
REBUILDING = 7_266_473_517
"""The lock of whoever makes tables anew; any number will do that nobody else here uses."""


def make_engine(address: URL, busy_seconds: float) -> Engine:
    """Return an engine for an address; nothing is connected yet.

    Args:
        address: Such as "postgresql://club@db.example.org/pitches"; options that libpq knows may
            follow it.
        busy_seconds: How long a writer waits for its turn.
    """
    own = address.query.get("options", "")
    given = own if isinstance(own, str) else " ".join(own)
    settings = {"lock_timeout": f"{round(busy_seconds * 1000)}ms", "timezone": "UTC"}
    options = " ".join([given, *(f"-c {name}={value}" for name, value in settings.items())]).strip()
    try:
        engine = create_engine(
            address.set(drivername="postgresql+psycopg"),
            isolation_level="REPEATABLE READ",
            poolclass=PlainPool,
            pool_pre_ping=True,
            connect_args={
                "options": options,
                "connect_timeout": round(busy_seconds),
                "application_name": "clubplanner",
            },
        )
    except ModuleNotFoundError as fault:
        raise StoreError(
            "PostgreSQL needs one package more: install this program as clubplanner[postgresql]."
        ) from fault
    event.listen(engine, "connect", _refuse_old)
    event.listen(engine, "connect", _note_opening)
    event.listen(engine, "begin", _take_turn)
    event.listen(engine, "handle_error", _tell_plainly)
    let_savepoints_ride(engine)
    return engine


@contextmanager
def rebuilding(engine: Engine) -> Iterator[Connection]:
    """Open a connection that may rebuild tables, in one transaction, one such at a time.

    The table of writers may not be there yet, so this waits for its like by a lock without one, and
    for writers where there are any.
    """
    with engine.connect() as plain:
        connection = plain.execution_options(isolation_level="READ COMMITTED")
        with connection.begin():
            connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": REBUILDING})
            if connection.scalar(text("SELECT to_regclass(:name)"), {"name": WRITERS}):
                connection.exec_driver_sql(f"LOCK TABLE {WRITERS} IN EXCLUSIVE MODE")
            yield connection


def has_written(session: Session) -> bool:
    """Tell whether the session's transaction has changed a row so far."""
    number = session.scalar(text("SELECT pg_current_xact_id_if_assigned()::text"))
    return number is not None


def reach_disk(connection: Connection) -> None:
    """Return once all that was committed before is on the server's disk.

    A commit that waits for the disk takes all before it there, as the log is one; this one holds
    nobody up. What the server's own settings ask for (another server that has it, too) is asked for
    here.

    Args:
        connection: The one that committed, or one that was open by then, and does no more after
            this. Over a new one a server that broke down meanwhile would say yes, though it lost
            the end of its log.
    """
    connection.execution_options(clubplanner_write=False, isolation_level="AUTOCOMMIT")
    connection.exec_driver_sql(f"SELECT pg_logical_emit_message(true, '{MARK}', '')")


def is_all_on_disk(connection: Connection) -> bool:
    """Tell whether the server's log has reached the disk so far, with all that a reader could see.

    Where another server has to have it, too, nobody knows without asking for it. One that only
    follows another one has in its records what came from there.

    Args:
        connection: The reader's own: it ends with a server that breaks down.
    """
    return bool(connection.scalar(text(_ALL_ON_DISK)))


def open_since(connection: Connection) -> float:
    """Return since when a connection has been open, by `time.monotonic`."""
    since: float = connection.info[_OPEN_SINCE]
    return since


def _note_opening(_connection: Any, record: ConnectionPoolEntry) -> None:
    record.info[_OPEN_SINCE] = time.monotonic()


def _refuse_old(connection: psycopg.Connection[Any], _unused: Any) -> None:
    version = connection.info.server_version
    if version < OLDEST:
        raise StoreError(
            f"The database server is PostgreSQL {version // 10_000}; use version 15 or newer."
        )


def _take_turn(connection: Connection) -> None:
    options = connection.get_execution_options()
    if not options.get("clubplanner_write"):
        return
    cursor = connection.connection.cursor()
    try:
        cursor.execute(_TURN)
        while cursor.nextset():
            pass
        (mark,) = cursor.fetchone() or (0,)
    except Exception as fault:
        raise_plain(fault)
        raise
    finally:
        cursor.close()
    if WRITTEN in options:
        options[WRITTEN].mark = mark


def _tell_plainly(context: ExceptionContext) -> None:
    """Say in plain words what whoever runs the club can mend; other faults go on as they are.

    A connection that was cut off while it lay in the pool is not told: another one is opened.
    """
    if context.is_pre_ping:
        return
    raise_plain(context.original_exception)
