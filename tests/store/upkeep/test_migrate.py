"""Bringing a database to the newest shape, and refusing what is none of ours."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from sqlalchemy import inspect, text

from clubplanner.errors import StoreError
from clubplanner.store.engine import open_store
from clubplanner.store.guard import SQLITE_GUARDS
from clubplanner.store.tables.base import Base
from clubplanner.store.upkeep.migrate import check_store, migrate

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files

OVER_EXPRESSIONS = pytest.mark.filterwarnings("ignore:.*expression-based index")
"""Tools leave these indexes out and say so; `tests/store/test_shape.py` looks at them."""


def schema_of(path: Path) -> list[tuple[str, str]]:
    """Return every statement that makes up a database, read past our own code."""
    with closing(sqlite3.connect(path)) as connection:
        return sorted(connection.execute("SELECT name, sql FROM sqlite_master WHERE sql <> ''"))


def run_sql(path: Path, *statements: str) -> None:
    """Change a database file past our own code."""
    with closing(sqlite3.connect(path)) as connection, connection:
        for statement in statements:
            connection.execute(statement)


def test_a_new_file_becomes_a_guarded_database(store_path: Path) -> None:
    """Migrating an empty place makes every table and stands up every guard."""
    store = open_store(f"sqlite:///{store_path}")
    migrate(store)
    check_store(store)
    store.close()
    names = {name for name, _ in schema_of(store_path)}
    assert set(Base.metadata.tables) | set(SQLITE_GUARDS) <= names


@OVER_EXPRESSIONS
def test_the_migrated_tables_equal_the_models(empty_store: Store) -> None:
    """The steps of the history lead exactly to the tables the code expects."""
    with empty_store.read() as session:
        context = MigrationContext.configure(
            session.connection(), opts={"compare_type": True, "compare_server_default": True}
        )
        assert compare_metadata(context, Base.metadata) == []


def test_check_constraints_equal_the_models(empty_store: Store) -> None:
    """Checks, which the comparison of tables does not look at, are the same by name and text."""
    fresh = open_store("sqlite://")
    try:
        Base.metadata.create_all(fresh.engine)
        for table in Base.metadata.tables:
            expected = inspect(fresh.engine).get_check_constraints(table)
            found = inspect(empty_store.engine).get_check_constraints(table)
            assert sorted(map(str, found)) == sorted(map(str, expected))
    finally:
        fresh.close()


@OVER_EXPRESSIONS
def test_every_constraint_has_a_name(empty_store: Store) -> None:
    """A later step can find each key, check and index again."""
    looked = inspect(empty_store.engine)
    for table in Base.metadata.tables:
        constraints = [
            looked.get_pk_constraint(table),
            *looked.get_foreign_keys(table),
            *looked.get_unique_constraints(table),
            *looked.get_check_constraints(table),
            *looked.get_indexes(table),
        ]
        assert all(constraint["name"] for constraint in constraints), table


def test_migrating_again_changes_nothing(club_store: Store, store_path: Path) -> None:
    """A second run leaves tables, guards and rows as they are."""
    before = schema_of(store_path)
    with club_store.read() as session:
        bookings = session.execute(text("SELECT * FROM booking ORDER BY id")).all()
    migrate(club_store)
    check_store(club_store)
    assert schema_of(store_path) == before
    with club_store.read() as session:
        assert session.execute(text("SELECT * FROM booking ORDER BY id")).all() == bookings


def test_another_programs_database_is_refused_and_left_alone(store_path: Path) -> None:
    """A file with tables of its own keeps them and gets none of ours."""
    run_sql(store_path, "CREATE TABLE recipe (name TEXT)", "INSERT INTO recipe VALUES ('soup')")
    before = store_path.read_bytes()
    store = open_store(f"sqlite:///{store_path}")
    with pytest.raises(StoreError, match="another program's database; choose another place"):
        migrate(store)
    with pytest.raises(StoreError, match="another program's database; choose another place"):
        check_store(store)
    store.close()
    assert [name for name, _ in schema_of(store_path)] == ["recipe"]
    assert before[100:] == store_path.read_bytes()[100:]


def test_a_newer_versions_database_is_refused(club_store: Store, store_path: Path) -> None:
    """A step this program does not know means that it is too old, not that the file is bad."""
    run_sql(store_path, "UPDATE alembic_version SET version_num = '9999'")
    for use in (migrate, check_store):
        with pytest.raises(StoreError, match="made by a newer version of this program"):
            use(club_store)


def test_a_place_without_a_file_says_how_to_begin(store_path: Path) -> None:
    """Looking at a place where nothing is makes nothing there."""
    store = open_store(f"sqlite:///{store_path}")
    with pytest.raises(StoreError, match=r"no database at .*club\.sqlite.* run “clubplanner init”"):
        check_store(store)
    store.close()
    assert not store_path.exists()


def test_an_empty_file_says_how_to_begin(store_path: Path) -> None:
    """An empty file is a database without anything in it, and can become a club's."""
    store_path.touch()
    store = open_store(f"sqlite:///{store_path}")
    with pytest.raises(StoreError, match="no club in this database yet; run “clubplanner init”"):
        check_store(store)
    migrate(store)
    check_store(store)
    store.close()


@pytest.mark.parametrize("versions", [(), ("0001", "0002")])
def test_a_database_that_does_not_say_its_version_is_refused(
    club_store: Store, store_path: Path, versions: tuple[str, ...]
) -> None:
    """No version, or two, is told in words; what to do is to go back to a copy."""
    run_sql(
        store_path,
        "DELETE FROM alembic_version",
        *(f"INSERT INTO alembic_version VALUES ('{version}')" for version in versions),  # noqa: S608
    )
    for use in (migrate, check_store):
        with pytest.raises(StoreError, match="does not say of which version it is"):
            use(club_store)


def test_a_version_without_tables_is_refused(empty_file: Path, store_path: Path) -> None:
    """A number alone makes no club."""
    run_sql(
        store_path,
        "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL PRIMARY KEY)",
        f"ATTACH '{empty_file}' AS other",
        "INSERT INTO alembic_version SELECT version_num FROM other.alembic_version",
    )
    store = open_store(f"sqlite:///{store_path}")
    with pytest.raises(StoreError, match="guard against double booking"):
        check_store(store)
    with pytest.raises(StoreError, match="no such table"):
        migrate(store)
    store.close()


def test_another_programs_versions_are_not_ours(store_path: Path) -> None:
    """A database that another program keeps in the same way is not taken for a newer one."""
    run_sql(
        store_path,
        "CREATE TABLE alembic_version (version_num VARCHAR(32) NOT NULL PRIMARY KEY)",
        "INSERT INTO alembic_version VALUES ('ab12cd34')",
        "CREATE TABLE recipe (name TEXT)",
    )
    store = open_store(f"sqlite:///{store_path}")
    for use in (migrate, check_store):
        with pytest.raises(StoreError, match="another program's database"):
            use(store)
    store.close()


@pytest.mark.parametrize("content", [b"This is a letter, not a database.\n" * 99, b"\0" * 5000])
def test_a_file_that_is_no_database_is_refused_and_left_alone(
    store_path: Path, content: bytes
) -> None:
    """Any other file is told as what it is not, and not a byte of it is changed."""
    store_path.write_bytes(content)
    store = open_store(f"sqlite:///{store_path}")
    for use in (migrate, check_store):
        with pytest.raises(StoreError, match=r"file is not a database\. Look at the address"):
            use(store)
    store.close()
    assert store_path.read_bytes() == content


def test_a_place_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    """A folder that does not exist is no reason for a stack trace."""
    store = open_store(f"sqlite:///{tmp_path / 'nowhere' / 'club.sqlite'}")
    with pytest.raises(
        StoreError, match=r"no file can be begun at .*No such file .* Look at the address"
    ):
        migrate(store)
    with pytest.raises(StoreError, match=r"There is no database at .* Look at the address"):
        check_store(store)
    store.close()


def test_a_migration_that_fails_leaves_nothing_behind(
    store_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Tables and guards come in one transaction: all of them or none."""
    monkeypatch.setitem(SQLITE_GUARDS, "booking_guard_third", "CREATE TRIGGER nonsense")
    store = open_store(f"sqlite:///{store_path}")
    with pytest.raises(StoreError, match="cannot be used"):
        migrate(store)
    store.close()
    assert not store_path.exists()
