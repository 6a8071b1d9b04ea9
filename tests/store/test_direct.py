"""What is sent to the driver itself means, and fails, as what goes SQLAlchemy's way."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import bindparam, event, insert, select, text
from sqlalchemy.exc import IntegrityError

from clubplanner.errors import AwayError, BusyError
from clubplanner.store.direct import prepare, rows_of, run
from clubplanner.store.engine import Store
from clubplanner.store.putting import put_row
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.season_tables import ChangeRow
from tests.builders import NOW
from tests.records import is_file

if TYPE_CHECKING:
    from sqlalchemy import Connection

CHANGE = {
    "at": NOW.replace(microsecond=0),
    "by": "the planner",
    "words": "Said “100 %”",
    "undoes_id": None,
}
INSERTION = insert(ChangeRow)
BOOKINGS = (
    select(BookingRow.id, BookingRow.starts_at, BookingRow.purpose, BookingRow.is_fixed)
    .where(BookingRow.starts_at >= bindparam("since", type_=BookingRow.starts_at.type))
    .order_by(BookingRow.id)
)


def test_columns_are_read_as_sqlalchemy_reads_them(club_store: Store) -> None:
    """Instants, words of a list and truths come as they are in Python."""
    with club_store.read() as session:
        connection = session.connection()
        prepared = prepare(connection.dialect, BOOKINGS)
        since = session.scalars(select(BookingRow.starts_at).order_by(BookingRow.starts_at)).all()
        value = {"since": since[len(since) // 2]}
        asked = rows_of(run(connection, prepared, value), prepared)
        assert asked == [tuple(row) for row in connection.execute(BOOKINGS, value)]
        assert 0 < len(asked) < len(since)


def test_values_are_stored_as_sqlalchemy_stores_them(club_store: Store) -> None:
    """What is put reads back the same; a sign of percent is one."""
    with club_store.write() as session:
        connection = session.connection()
        number = put_row(connection, ChangeRow, CHANGE)
        session.execute(insert(ChangeRow).values(**CHANGE))
        own, other = session.scalars(select(ChangeRow).where(ChangeRow.id >= number)).all()
        for name, value in CHANGE.items():
            assert getattr(own, name) == getattr(other, name) == value


def test_what_is_prepared_is_that_of_the_statement_alone(club_store: Store) -> None:
    """A statement made later, where one was that nobody has any more, is another."""
    with club_store.read() as session:
        connection = session.connection()
        texts = set()
        for count in range(50):
            statement = select(ClubRow.id).where(ClubRow.id != bindparam(f"number_{count}"))
            texts.add(prepare(connection.dialect, statement).text)
        assert len(texts) == (1 if is_file() else 50)
        prepared = prepare(connection.dialect, statement)
        assert rows_of(run(connection, prepared, {"number_49": 0}), prepared) == [(1,)]


@pytest.mark.parametrize("when", ["before_cursor_execute", "after_cursor_execute"])
def test_who_listens_to_statements_hears_of_it(club_store: Store, when: str) -> None:
    """Once, with its words."""
    heard: list[str] = []

    def note(_connection: Any, _cursor: Any, statement: str, *_unused: Any) -> None:
        heard.append(statement)

    event.listen(club_store.engine, when, note)
    with club_store.write() as session:
        put_row(session.connection(), ChangeRow, CHANGE)
    assert sum("booking_change" in words for words in heard) == 1


def test_what_the_database_refuses_is_told_as_ever(club_store: Store) -> None:
    """By the error of SQLAlchemy, so that callers tell a clash from a fault."""
    with club_store.write() as session, pytest.raises(IntegrityError) as raised:
        put_row(session.connection(), ChangeRow, {**CHANGE, "by": None})
    assert raised.value.orig is not None


@pytest.mark.files
def test_a_database_that_another_program_holds_is_busy(club_store: Store) -> None:
    """Whoever waited for it in vain is told in plain words."""
    other = Store(club_store.engine)
    with club_store.write(), other.read() as session:
        connection = session.connection()
        connection.exec_driver_sql("PRAGMA busy_timeout = 0")
        with pytest.raises(BusyError):
            put_row(connection, ChangeRow, CHANGE)


@pytest.mark.server
def test_a_connection_that_was_cut_off_is_used_no_more(club_store: Store) -> None:
    """The server ended it: the change is told to be away, the connection is given up."""
    with club_store.engine.connect() as connection:
        number = connection.scalar(text("SELECT pg_backend_pid()"))
        with club_store.engine.connect() as other:
            other.execute(text("SELECT pg_terminate_backend(:number, 5000)"), {"number": number})
        with pytest.raises(AwayError):
            put_change_row(connection)
        assert connection.invalidated
    with club_store.read() as session:
        assert session.get_one(ClubRow, 1).id == 1


def put_change_row(connection: Connection) -> None:
    """Put a change by the driver itself, whatever the kind of database."""
    names = [one.name for one in ChangeRow.__table__.c if one.name != "id"]
    run(connection, prepare(connection.dialect, INSERTION, names), CHANGE)
