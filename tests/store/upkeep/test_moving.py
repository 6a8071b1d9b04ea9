"""Records moved between databases come out the same, guard and numbers and all."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner
from sqlalchemy import text

from clubplanner.commands import main
from clubplanner.errors import ClashError, RefusedError, StoreError
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.store.engine import Store, open_store
from clubplanner.store.upkeep.migrate import check_store
from clubplanner.store.upkeep.moving import move_records
from tests.builders import NOW, make_range
from tests.records import address_of, drop_records, make_place, open_records
from tests.stores import booking_row, count_rows, make_wish, put_booking

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


@pytest.fixture
def new_path(tmp_path: Path) -> Iterator[Path]:
    """Give the place of records that are not there yet, of the kind of this run."""
    path = tmp_path / "new.sqlite"
    make_place(path)
    yield path
    drop_records(path)


@pytest.fixture
def target(new_path: Path) -> Iterator[Store]:
    """Give the store at that place."""
    store = open_records(new_path)
    yield store
    store.close()


@pytest.fixture
def lived(club_store: Store) -> Store:
    """Give a club with bookings, one of them withdrawn, an address and a journal."""
    first = put_booking(club_store, make_wish(club_store))
    withdraw_booking(club_store, first, booking_row(club_store, first).sequence, NOW)
    put_booking(club_store, make_wish(club_store))
    create_squad_link(club_store, "u13-kestrels", "a test", NOW)
    return club_store


def test_everything_is_moved_and_goes_on(lived: Store, target: Store) -> None:
    """Rows are the same, the guard stands, new rows are numbered on."""
    moved = move_records(lived, target)
    assert not moved.was_there
    assert moved.rows == count_rows(lived) == count_rows(target)
    assert moved.rows["booking"] >= 2
    check_store(target)
    with pytest.raises(ClashError):
        put_booking(target, make_wish(target))
    later = make_range(date(2028, 2, 2))
    number = put_booking(target, make_wish(target, during=later))
    with lived.read() as session:
        assert number > (session.scalar(text("SELECT max(id) FROM booking")) or 0)


def test_moving_again_finds_them_the_same(lived: Store, target: Store) -> None:
    """A try that was broken off after the copy, or repeated for fear of it, does no harm."""
    first = move_records(lived, target)
    again = move_records(lived, target)
    assert again.was_there
    assert again.rows == first.rows


def test_other_records_are_never_written_over(lived: Store, target: Store) -> None:
    """A database in which somebody has worked since is refused, and stays as it was."""
    move_records(lived, target)
    with target.write() as session:
        session.execute(text("UPDATE club SET name = 'Another'"))
    before = count_rows(target)
    with pytest.raises(RefusedError, match=r"holds other records .table “club” differs"):
        move_records(lived, target)
    assert count_rows(target) == before


def test_records_that_are_not_sound_are_not_moved(lived: Store, target: Store) -> None:
    """Whatever got past the guard at the source is told, and nothing arrives."""
    with lived.rebuild() as connection:
        _set_guard_aside(lived, connection.exec_driver_sql)
        connection.execute(
            text("UPDATE booking SET cells = cells + 1 WHERE id = (SELECT max(id) FROM booking)")
        )
    monkey = pytest.MonkeyPatch()
    monkey.setattr("clubplanner.store.upkeep.moving.check_store", lambda _store: None)
    with monkey.context(), pytest.raises(StoreError, match=r"Booking .* is not on its ground"):
        move_records(lived, target)
    monkey.undo()
    assert sum(count_rows(target).values()) == 0


def _set_guard_aside(store: Store, run: object) -> None:
    assert callable(run)
    if store.engine.dialect.name == "sqlite":
        run("DROP TRIGGER booking_guard_update")
    else:
        run("ALTER TABLE booking DISABLE TRIGGER booking_guard")


def test_the_command_tells_what_it_did(lived: Store, store_path: Path, new_path: Path) -> None:
    """Whoever moves the records reads how many rows are the same in both."""
    command = ["records", "move", address_of(store_path), address_of(new_path)]
    done = CliRunner().invoke(main, command)
    assert done.exit_code == 0, done.output
    assert "were copied and are the same in both." in done.stdout
    assert "were there already" in CliRunner().invoke(main, command).stdout
    same = CliRunner().invoke(main, ["records", "move", command[2], command[2]])
    assert same.exit_code == 2


@pytest.mark.server
def test_a_file_is_moved_to_a_server_and_back(lived: Store, tmp_path: Path) -> None:
    """A club that outgrows one machine, and one that comes home, lose nothing either way."""
    file = open_store(f"sqlite:///{tmp_path / 'home.sqlite'}")
    move_records(lived, file)
    path = tmp_path / "back.sqlite"
    make_place(path)
    back = open_records(path)
    assert move_records(file, back).rows == count_rows(lived)
    assert move_records(lived, back).was_there
    back.close()
    file.close()
    drop_records(path)
