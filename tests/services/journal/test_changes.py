"""The journal: every change noted, any of the last taken back, any past evening shown."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import event, select, update

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import MINUTES_A_DAY, range_from_wall
from clubplanner.errors import ClashError, MissingError, RefusedError
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.evening import see_evening
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangeRow
from tests.builders import A_WEDNESDAY, LONDON, NOW, NOW_KEPT, make_range
from tests.services.proposals.test_publishing import BEFORE, place, propose
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    TOP,
    book,
    find_area_id,
    kept_bookings,
    load_small_club,
)
from tests.stores import ALL_THE_SAME, booking_row

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.store.engine import Store


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club's database, acting for a person."""
    return load_small_club(empty_store).acting_for("Kim, secretary")


def pattern(area_key: str, weekday: int = 2) -> dict[str, object]:
    """Return a weekly session of the Kestrels on the top pitch, as a proposal keeps it."""
    return place(KESTRELS, area_key, weekday, 1080, 1155) | {"ground": f"{TOP}/{area_key}"}


def move(store: Store, number: int, area_key: str, now: datetime = NOW) -> None:
    """Move a booking to another area at the same time."""
    row = booking_row(store, number)
    area = find_area_id(store, TOP, area_key)
    move_booking(store, number, row.sequence, area, make_range(), now)


def withdraw(store: Store, number: int, now: datetime = NOW) -> None:
    """Withdraw a booking as it stands."""
    withdraw_booking(store, number, booking_row(store, number).sequence, now)


def test_the_list_reads_the_ground_of_all_lines_at_once(small: Store) -> None:
    """However many there are: a session forgets each area once its line is written."""
    asked: list[str] = []

    def note(_connection: object, _cursor: object, statement: str, *_unused: object) -> None:
        asked.append(statement)

    for minutes, area in enumerate(("third-2", "third-3")):
        number = book(
            small, KESTRELS, area, start_min=600 + 90 * minutes, end_min=645 + 90 * minutes
        )
        withdraw(small, number)
    event.listen(small.engine, "before_cursor_execute", note)
    assert len(list_changes(small, NOW, count=4)) == 4
    assert sum("FROM area" in statement for statement in asked) == 1


def test_every_change_says_who_when_what_was_and_what_is(small: Store) -> None:
    """Adding, moving and withdrawing each leave one change, newest first."""
    number = book(small, KESTRELS)
    move(small, number, "third-2", NOW + timedelta(minutes=5))
    withdraw(small, number, NOW + timedelta(minutes=9))
    lines = list_changes(small, NOW)
    assert [line.words for line in lines[:3]] == [
        "1 booking withdrawn",
        "1 booking moved",
        "1 booking added",
    ]
    assert {line.by for line in lines[:3]} == {"Kim, secretary"}
    assert [line.at for line in lines[:3]] == [NOW_KEPT + timedelta(minutes=m) for m in (9, 5, 0)]
    (words,) = lines[1].lines
    assert words == (
        "U12 Kestrels moved from Clubhouse third, Top pitch, Wed 25 Nov 18:00–19:15 to "
        "Middle third, Top pitch, Wed 25 Nov 18:00–19:15"
    )


def test_what_is_known_to_be_over_is_told_the_same(small: Store) -> None:
    """A change of which all is over is over at every later look, and not for an earlier clock."""
    book(small, KESTRELS)
    ahead = list_changes(small, NOW)[0]
    assert ahead.obstacles == ()
    for days in (30, 31):
        over = list_changes(small, NOW + timedelta(days=days))[0]
        assert over.obstacles == ("All of it is over.",)
        assert over.lines == ahead.lines
    assert list_changes(small, NOW)[0] == ahead


def test_a_failed_transaction_leaves_no_change(small: Store) -> None:
    """What is given up is not noted."""
    book(small, KESTRELS)
    with pytest.raises(ClashError):
        book(small, HARRIERS)
    assert len(list_changes(small, NOW)) == 2, "loading and the first booking"


def test_code_that_forgets_the_journal_is_noted_all_the_same(small: Store) -> None:
    """Whoever sets a column of a booking row is noted; a bulk statement is refused."""
    number = book(small, KESTRELS)
    with small.write() as session:
        session.get_one(BookingRow, number).note = "Bring cones"
    assert list_changes(small, NOW)[0].words == "1 booking reworded"
    with pytest.raises(RuntimeError, match="one by one"), small.write() as session:
        session.execute(update(BookingRow).values(note="x"))


def test_why_a_rule_was_overruled_is_noted_and_taken_back(small: Store) -> None:
    """The reason is kept with a booking; no calendar hears of it alone."""
    number = book(small, KESTRELS)
    before = booking_row(small, number)
    with small.write() as session:
        session.get_one(BookingRow, number).overruled = "The final comes first"
    (change, *_) = list_changes(small, NOW)
    assert change.words == "1 booking reworded"
    assert booking_row(small, number).sequence == before.sequence
    undo_change(small, change.number, NOW)
    assert booking_row(small, number).overruled == ""
    undo_change(small, change.number + 1, NOW)
    assert booking_row(small, number).overruled == "The final comes first"


def test_a_booking_noted_before_rules_could_be_overruled_is_put_back(small: Store) -> None:
    """What an older version kept of a booking is read as nothing overruled."""
    number = book(small, KESTRELS)
    withdraw(small, number)
    with small.write() as session:
        for entry in session.scalars(select(ChangedBookingRow)):
            for name in ("before", "after"):
                state = dict(getattr(entry, name) or {})
                state.pop("overruled", None)
                setattr(entry, name, state or None)
    undo_change(small, list_changes(small, NOW)[0].number, NOW)
    assert not booking_row(small, number).is_withdrawn


def test_a_swap_is_one_change_without_its_states_between(small: Store) -> None:
    """Bookings lifted and put down again in one transaction show only where they ended."""
    publish_share_out(small, propose(small, pattern("third-1")), BEFORE)
    again = propose(small, pattern("third-2"))
    publish_share_out(small, again, BEFORE)
    line = list_changes(small, BEFORE)[0]
    assert line.words == f"published share-out {again}, Test"
    assert all("moved from Clubhouse third" in words for words in line.lines)


def test_each_kind_of_change_can_be_taken_back_and_done_again(small: Store) -> None:
    """Undo restores time and ground with a new sequence; undoing the undo does it again."""
    number = book(small, KESTRELS)
    move(small, number, "third-2")
    moved = list_changes(small, NOW)[0]
    assert moved.obstacles == ()
    undone = undo_change(small, moved.number, NOW)
    assert kept_bookings(small)[0].area == f"{TOP}/third-1"
    assert booking_row(small, number).sequence == 2
    lines = list_changes(small, NOW)
    assert lines[0].words == "Taken back: 1 booking moved"
    assert (lines[1].undone_by, lines[1].obstacles) == (
        undone.number,
        (f"It was taken back by change {undone.number}.",),
    )
    undo_change(small, undone.number, NOW)
    assert kept_bookings(small)[0].area == f"{TOP}/third-2"
    assert list_changes(small, NOW)[2].undone_by is None
    added = list_changes(small, NOW)[-2]
    assert added.obstacles[0].startswith("U12 Kestrels, Middle third")


def test_a_withdrawn_booking_comes_back_only_to_free_ground(small: Store) -> None:
    """Who holds the ground meanwhile is named, and nothing is changed."""
    number = book(small, KESTRELS)
    withdraw(small, number)
    change = list_changes(small, NOW)[0].number
    book(small, HARRIERS)
    (obstacle,) = list_changes(small, NOW)[1].obstacles
    assert obstacle == (
        "Clubhouse third is held by U14 Harriers 18:00–19:15 on Wed 25 Nov, where U12 Kestrels "
        "would go back to."
    )
    with pytest.raises(RefusedError, match="held by U14 Harriers"):
        undo_change(small, change, NOW)
    assert [kept.holder for kept in kept_bookings(small)] == ["U14 Harriers"]


def test_two_bookings_of_one_change_may_swap_back(small: Store) -> None:
    """Ground needed by one is still held by the other of the same change: they swap."""
    first, second = book(small, KESTRELS, "third-1"), book(small, HARRIERS, "third-2")
    with small.write() as session:
        rows = [session.get_one(BookingRow, number) for number in (first, second)]
        places = [(row.area_id, row.cells) for row in rows]
        for row in rows:
            row.is_withdrawn = True
        session.flush()
        for row, (area, cells) in zip(rows, reversed(places), strict=True):
            row.area_id, row.cells, row.is_withdrawn = area, cells, False
    assert kept_bookings(small)[0].area == f"{TOP}/third-2"
    undo_change(small, list_changes(small, NOW)[0].number, NOW)
    assert [kept.area for kept in kept_bookings(small)] == [f"{TOP}/third-1", f"{TOP}/third-2"]


def test_what_is_over_cannot_be_taken_back(small: Store) -> None:
    """After the evening nothing of it is changed any more; an unknown change is told."""
    number = book(small, KESTRELS)
    withdraw(small, number)
    later = NOW + timedelta(days=30)
    line = list_changes(small, later)[0]
    assert line.obstacles == ("All of it is over.",)
    with pytest.raises(RefusedError, match="All of it is over"):
        undo_change(small, line.number, later)
    with pytest.raises(MissingError, match="no change 99"):
        undo_change(small, 99, later)


def test_any_past_evening_is_shown_as_it_stood(small: Store) -> None:
    """The evening page unwinds later changes: added ones vanish, moved and withdrawn return."""
    number = book(small, KESTRELS, now=NOW)
    move(small, number, "third-3", NOW + timedelta(hours=1))
    book(small, "Choir", "third-1", purpose=Purpose.HIRE, now=NOW + timedelta(hours=2))
    withdraw(small, number, NOW + timedelta(hours=3))

    def shown(hours: float) -> list[tuple[str, str]]:
        known = NOW + timedelta(hours=hours)
        page = see_evening(small, None, A_WEDNESDAY, None, known)
        return [(row.holder, row.place) for row in page.rows]

    assert shown(-1) == []
    assert shown(0.5) == [("U12 Kestrels", "Clubhouse third, Top pitch")]
    assert shown(1.5) == [("U12 Kestrels", "Road third, Top pitch")]
    assert sorted(shown(2.5)) == [
        ("Choir", "Clubhouse third, Top pitch"),
        ("U12 Kestrels", "Road third, Top pitch"),
    ]
    assert shown(3.5) == [("Choir", "Clubhouse third, Top pitch")]


def test_a_session_moved_to_another_day_is_found_on_its_old_one(small: Store) -> None:
    """What has left a day since is shown on it when asked for the past."""
    number = book(small, KESTRELS)
    row = booking_row(small, number)
    thursday = range_from_wall(A_WEDNESDAY + timedelta(days=1), 18 * 60, 19 * 60, LONDON)
    move_booking(
        small, number, row.sequence, row.area_id, thursday, NOW + timedelta(hours=1), ALL_THE_SAME
    )
    page = see_evening(small, None, A_WEDNESDAY, None, NOW)
    assert [(r.holder, r.times) for r in page.rows] == [("U12 Kestrels", "18:00–19:15")]
    assert see_evening(small, None, A_WEDNESDAY, MINUTES_A_DAY - 1).rows == ()


def test_the_list_goes_on_with_earlier_changes(small: Store) -> None:
    """Changes are listed in pages."""
    for area in ("third-1", "third-2", "third-3"):
        book(small, "Choir", area, purpose=Purpose.HIRE)
    newest = list_changes(small, NOW, count=2)
    assert [line.number for line in newest] == [4, 3]
    assert [line.number for line in list_changes(small, NOW, before=3)] == [2, 1]


def test_a_large_change_is_counted_not_written_out(small: Store) -> None:
    """A published stretch shows a few bookings and how many more there are."""
    sessions = [pattern(f"third-{n + 1}", weekday=n) for n in range(3)]
    published = publish_share_out(small, propose(small, *sessions), BEFORE)
    line = list_changes(small, BEFORE)[0]
    assert len(line.lines) + line.more == published.added
    assert line.more > 0
    with small.read() as session:
        words = session.scalars(select(ChangeRow.words)).all()
    assert sum("published" in entry for entry in words) == 1
    undo_change(small, line.number, BEFORE)
    assert kept_bookings(small) == []
