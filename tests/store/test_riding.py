"""Savepoints wait for the statement after them, and mean the same as if they had not."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from clubplanner.store.riding import _WAITING
from clubplanner.store.tables.club_tables import ClubRow

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

pytestmark = pytest.mark.server


def waiting() -> list[str]:
    """Return what waits on any connection, without the numbers of savepoints."""
    return [one.rsplit("_", 1)[0] for some in _WAITING.values() for one in some]


def test_a_savepoint_waits_for_what_follows_it(club_store: Store) -> None:
    """Alone it is not sent; nor is one that was taken back before anything followed it."""
    with club_store.write() as session:
        point = session.connection().begin_nested()
        assert waiting() == ["SAVEPOINT sa_savepoint"]
        session.execute(text("UPDATE club SET name = 'After'"))
        assert waiting() == []
        point.commit()
        assert waiting() == ["RELEASE SAVEPOINT sa_savepoint"]
        session.connection().begin_nested().rollback()
        assert waiting() == ["RELEASE SAVEPOINT sa_savepoint"]
        assert session.scalar(text("SELECT name FROM club")) == "After"
    with club_store.read() as session:
        assert session.get_one(ClubRow, 1).name == "After"
    assert waiting() == []


def test_what_is_behind_a_savepoint_is_taken_back_alone(club_store: Store) -> None:
    """Also where the statement that it went with is the one that failed."""
    with club_store.write() as session:
        session.execute(text("UPDATE club SET name = 'Before'"))
        with pytest.raises(IntegrityError), session.begin_nested():
            session.execute(text("UPDATE club SET id = 2"))
        connection = session.connection()
        outer, inner = connection.begin_nested(), connection.begin_nested()
        session.execute(text("UPDATE club SET name = 'Inner'"))
        inner.rollback()
        assert session.scalar(text("SELECT name FROM club")) == "Before"
        outer.rollback()
    with club_store.read() as session:
        assert session.get_one(ClubRow, 1).name == "Before"


def test_a_savepoint_goes_before_many_rows_too(club_store: Store) -> None:
    """Rows sent at once lie behind it: what fails is taken back, and the rest goes on."""
    rows = [{"name": name} for name in ("One", "Two", "One")]
    with club_store.write() as session:
        session.execute(text("CREATE TEMPORARY TABLE called (name text UNIQUE)"))
        with pytest.raises(IntegrityError), session.begin_nested():
            session.execute(text("INSERT INTO called VALUES (:name)"), rows)
        with session.begin_nested():
            session.execute(text("INSERT INTO called VALUES (:name)"), rows[:2])
        with session.begin_nested():
            session.connection().exec_driver_sql(
                "INSERT INTO called VALUES ('Three')", execution_options={"no_parameters": True}
            )
        found = session.execute(text("SELECT name FROM called ORDER BY name")).scalars()
        assert list(found) == ["One", "Three", "Two"]


def test_what_waits_at_the_end_is_forgotten(club_store: Store) -> None:
    """The next transaction of the connection begins with nothing."""
    for name in ("One", "Two"):
        with club_store.write() as session:
            session.execute(text("UPDATE club SET name = :name"), {"name": name})
            session.connection().begin_nested().commit()
    with club_store.read() as session:
        assert session.scalar(text("SELECT name FROM club")) == "Two"
