"""What bookings are held against is read once, and again when anybody changed it."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import delete, event, select, text

from clubplanner.services.rows.bookings.held_against import load_held_against
from clubplanner.store.stand import HELD_AGAINST, read_setup_mark
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.club_tables import BreakRow, ClubRow
from clubplanner.store.tables.squad_tables import AskRow
from tests.records import open_records, place_of
from tests.small_club import book, load_small_club

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.services.rows.bookings.held_against import HeldAgainst
    from clubplanner.store.engine import Store
    from tests.stores import Filled


def held(store: Store) -> HeldAgainst:
    """Return what bookings are held against now."""
    with store.read() as session:
        return load_held_against(session)


@pytest.fixture
def other(small: Store) -> Iterator[Store]:
    """Give the same records as another process opens them."""
    store = open_records(place_of(small))
    yield store
    store.close()


def test_it_is_read_once_however_much_is_booked(small: Store) -> None:
    """Bookings change nothing of it."""
    before = held(small)
    book(small)
    assert held(small) is before


@pytest.mark.parametrize(
    "change",
    [
        lambda session: setattr(session.get(ClubRow, 1), "changeover_minutes", 25),
        lambda session: session.execute(delete(BreakRow)),
        lambda session: session.connection().execute(delete(AskRow)),
        lambda session: session.execute(text("UPDATE venue SET lights_off_min = 1200")),
        lambda session: session.execute(text("WITH gone AS (SELECT 1) DELETE FROM obstacle")),
    ],
)
def test_whoever_changes_it_is_noticed_by_others(
    small: Store, other: Store, change: object
) -> None:
    """By objects, statements or plain SQL: the next look reads it again, there as here."""
    assert callable(change)
    mine, theirs = held(small), held(other)
    with small.write() as session:
        change(session)
    assert held(small) is not mine
    assert held(other) is not theirs


def test_who_changes_it_sees_it_changed_and_nobody_else_before_the_end(small: Store) -> None:
    """What a session has changed and not kept is its own, and forgotten with it."""
    before = held(small)

    def change_and_fail() -> None:
        with small.write() as session:
            session.get_one(ClubRow, 1).changeover_minutes = 25
            assert load_held_against(session).club.changeover_minutes == 25
            assert read_setup_mark(session) is None
            assert held(small) is before
            raise RuntimeError

    with pytest.raises(RuntimeError):
        change_and_fail()
    assert held(small) is before


def test_records_put_back_are_not_taken_for_later_ones(small: Store) -> None:
    """The mark is drawn, not counted: after the same number of changes it is another one."""
    marks = set()
    for _ in range(3):
        with small.write() as session:
            session.get_one(ClubRow, 1).changeover_minutes += 1
        with small.read() as session:
            marks.add(read_setup_mark(session))
    assert len(marks) == 3


def test_every_table_that_is_read_is_watched(filled: Filled) -> None:
    """Reading it asks no table whose changes would go unnoticed."""
    store = filled(load_small_club)
    read: set[str] = set()

    def note(_connection: object, _cursor: object, statement: str, *_rest: object) -> None:
        read.update(re.findall(r'(?:FROM|JOIN) "?(\w+)', statement))

    event.listen(store.engine, "before_cursor_execute", note)
    held(store)
    assert read - {"stand"} <= HELD_AGAINST
    assert "booking" not in read
    with store.read() as session:
        assert session.scalars(select(BookingRow)).all() == []
