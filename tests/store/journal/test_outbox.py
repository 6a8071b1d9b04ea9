"""The outbox: notes for squads stand or fall with the change itself."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select
from sqlalchemy.exc import IntegrityError

from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.rows.snapshot import WITH_NAMES
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.notice_tables import NoticeRow
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.small_club import HARRIERS, TOP, book, find_area_id, find_squad_id

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


def notices(store: Store) -> list[NoticeRow]:
    """Return what is in the outbox, oldest first."""
    with store.read() as session:
        rows = list(session.scalars(select(NoticeRow).order_by(NoticeRow.id)))
        for row in rows:
            _ = row.entry.after
        return rows


def test_every_change_of_a_squads_booking_is_noted(store: Store) -> None:
    """Added, moved and withdrawn: one note each, with its count, of the squad concerned."""
    number = book(store)
    area = find_area_id(store, TOP, "third-2")
    move_booking(store, number, 0, area, make_range(A_WEDNESDAY), NOW)
    withdraw_booking(store, number, 1, NOW)
    found = notices(store)
    assert [row.sequence for row in found] == [0, 1, 2]
    assert {row.squad_id for row in found} == {find_squad_id(store, "u12-kestrels")}
    assert [row.entry.before is None for row in found] == [True, False, False]
    assert [row.told_at for row in found] == [None] * 3


def test_nobody_is_told_of_hires(store: Store) -> None:
    """What is no squad's is nobody's note."""
    book(store, "Hill Runners")
    assert notices(store) == []


@pytest.mark.parametrize(("days", "wanted"), [(0, True), (5, False)])
def test_only_what_is_soon_goes_by_mail_unasked(store: Store, days: int, wanted: bool) -> None:
    """Within a day by mail, else by the calendar alone."""
    at = make_range(A_WEDNESDAY).starts_at - timedelta(days=days, hours=2)
    book(store, now=at)
    assert [row.is_wanted for row in notices(store)] == [wanted]


def test_a_change_that_fails_leaves_no_note(store: Store) -> None:
    """Note and change are one transaction: when the last booking clashes, none is noted."""
    number = book(store)
    with store.read() as session:
        held = session.get_one(BookingRow, number, options=WITH_NAMES)
    with pytest.raises(IntegrityError):
        _add_two(store, held)
    assert len(notices(store)) == 1


def _add_two(store: Store, held: BookingRow) -> None:
    with store.write() as session:
        for days in (7, 0):
            values = {c.key: getattr(held, c.key) for c in BookingRow.__table__.columns}
            row = BookingRow(**{**values, "id": None, "uid": f"in-{days}-days@clubplanner"})
            row.starts_at += timedelta(days=days)
            row.ends_at += timedelta(days=days)
            session.add(row)


def test_what_a_squad_would_not_notice_is_neither_noted_nor_counted(store: Store) -> None:
    """Setting a booking free for the share-out and taking that back changes no calendar."""
    number = book(store)
    with store.write() as session:
        session.get_one(BookingRow, number).is_fixed = False
    latest = list_changes(store, NOW)[0]
    undo_change(store, latest.number, NOW)
    with store.read() as session:
        assert session.get_one(BookingRow, number).sequence == 0
        assert session.get_one(BookingRow, number).is_fixed
    assert len(notices(store)) == 1


def test_code_that_forgets_to_count_is_counted_for(store: Store) -> None:
    """A change of a squad's time raises count and stamp whatever the code that makes it does."""
    number = book(store)
    with store.write() as session:
        row = session.get_one(BookingRow, number)
        row.ends_at -= timedelta(minutes=5)
    with store.read() as session:
        row = session.get_one(BookingRow, number)
        assert row.sequence == 1
        assert row.changed_at > NOW or row.changed_at != row.created_at
    assert [note.sequence for note in notices(store)] == [0, 1]


def test_a_booking_that_passes_on_is_told_to_both(store: Store) -> None:
    """The squad that had it hears of it as well."""
    number = book(store)
    with store.write() as session:
        row = session.get_one(BookingRow, number)
        row.squad_id, row.holder = find_squad_id(store, HARRIERS), "U14 Harriers"
    assert len({row.squad_id for row in notices(store)[1:]}) == 2
