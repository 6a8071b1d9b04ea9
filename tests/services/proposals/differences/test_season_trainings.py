"""A season's training is read once, and then what changes say alone: whoever makes them."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import event, update

from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.proposals.dated_tables import ID
from clubplanner.services.proposals.differences import season_trainings
from clubplanner.services.proposals.differences.season_trainings import load_season, read_trainings
from clubplanner.services.rows.journal.journal_eras import begin_era, newest_change
from clubplanner.store.stand import touch_stand
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.large_club import noting_statements
from tests.records import open_records, place_of
from tests.small_club import HARRIERS, book

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.store.engine import Store

_DAYS = range_from_wall(A_WEDNESDAY - timedelta(days=2), 0, 60 * 24 * 60, LONDON)
SPAN = _DAYS.starts_at, _DAYS.ends_at


@pytest.fixture
def other(small: Store) -> Iterator[Store]:
    """Give the same records as another process opens them."""
    store = open_records(place_of(small))
    yield store
    store.close()


def _kept(store: Store) -> list[list[int]]:
    """Return what is remembered or patched, held against what is read."""
    with store.read() as session:
        found: list[list[int]] = load_season(session, SPAN).tolist()
        assert found == read_trainings(session, SPAN).tolist()
    return found


def _asks_for_all(store: Store) -> bool:
    """Tell whether all the training is read for it."""
    with noting_statements(store) as sent, store.read() as session:
        load_season(session, SPAN)
    of_bookings = [one for one in sent if "FROM booking " in one or "FROM booking\n" in one]
    return any("booking.id IN" not in one for one in of_bookings)


def test_what_any_process_changes_is_seen_and_the_rest_is_not_read(
    small: Store, other: Store
) -> None:
    """Booked, moved, withdrawn, put elsewhere in time: what is known is what a reading gives."""
    first = book(small)
    assert [row[ID] for row in _kept(small)] == [first]
    second = book(other, HARRIERS, start_min=20 * 60, end_min=21 * 60)
    assert not _asks_for_all(small)
    assert [row[ID] for row in _kept(small)] == [first, second]
    assert not _asks_for_all(small)
    with other.write() as session:
        row = session.get_one(BookingRow, second)
        row.starts_at, row.ends_at = (at - timedelta(days=1) for at in (row.starts_at, row.ends_at))
        row.sequence += 1
    assert not _asks_for_all(small)
    assert [row[ID] for row in _kept(small)] == [second, first]
    withdraw_booking(small, first, 0, NOW)
    assert [row[ID] for row in _kept(small)] == [second]
    assert [row[ID] for row in _kept(other)] == [second]
    with other.write() as session:
        row = session.get_one(BookingRow, second)
        row.starts_at, row.ends_at = (
            at + timedelta(days=90) for at in (row.starts_at, row.ends_at)
        )
    assert _kept(small) == []


def test_a_writer_sees_what_it_has_changed_and_nobody_what_it_gave_up(small: Store) -> None:
    """Until it changes something it has what is known; from then on it reads by itself."""
    number = book(small)
    assert len(_kept(small)) == 1

    def change_and_fail() -> None:
        with noting_statements(small) as sent, small.write() as session:
            assert len(load_season(session, SPAN)) == 1
            assert not any("FROM booking" in one for one in sent)
            session.get_one(BookingRow, number).is_withdrawn = True
            assert len(load_season(session, SPAN)) == 0
            raise RuntimeError

    with pytest.raises(RuntimeError):
        change_and_fail()
    assert len(_kept(small)) == 1


def test_where_changes_count_anew_all_is_read_again(small: Store, other: Store) -> None:
    """Records that came back from a copy may say other things under the same numbers."""
    number = book(small)
    assert len(_kept(small)) == 1
    with other.write() as session:  # as coming back does: past the journal
        session.connection().execute(
            update(BookingRow.__table__)  # type: ignore[arg-type]
            .where(BookingRow.__table__.c.id == number)
            .values(is_withdrawn=True)
        )
        touch_stand(session)
        begin_era(session, newest_change(session), NOW)
    assert _kept(small) == []


def test_after_very_many_changes_all_is_read_again(
    small: Store, other: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Looking for each of them would take longer."""
    monkeypatch.setattr(season_trainings, "MOST_PATCHED", 2)
    book(small)
    assert len(_kept(small)) == 1
    for hour in (8, 10, 12):
        book(other, HARRIERS, start_min=hour * 60, end_min=hour * 60 + 60)
    assert _asks_for_all(small)
    assert len(_kept(small)) == 4


def test_changes_are_looked_for_by_their_numbers(small: Store) -> None:
    """Neither ten seasons of changes nor a season of bookings is read for one that changed."""
    book(small)
    _kept(small)
    book(small, HARRIERS, start_min=20 * 60, end_min=21 * 60)
    steps: list[str] = []

    def explain(
        connection: object, _cursor: object, statement: str, given: object, *_: object
    ) -> None:
        if "changed_booking" in statement or "FROM booking" in statement:
            raw = connection.connection.cursor()  # type: ignore[attr-defined]
            steps.extend(row[3] for row in raw.execute(f"EXPLAIN QUERY PLAN {statement}", given))

    if small.engine.dialect.name != "sqlite":
        pytest.skip("SQLite tells its steps in these words.")
    event.listen(small.engine, "before_cursor_execute", explain)
    with small.read() as session:
        load_season(session, SPAN)
    event.remove(small.engine, "before_cursor_execute", explain)
    assert any("ix_changed_booking_change_id (change_id>?)" in step for step in steps)
    assert any("SEARCH booking USING INTEGER PRIMARY KEY" in step for step in steps)
