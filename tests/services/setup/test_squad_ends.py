"""A squad ends from a date on: what goes, what stays, who is told, and taking it back."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import RefusedError
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.setup.squad_ends import end_squad_from
from clubplanner.store.tables.notice_tables import NoticeRow
from clubplanner.store.tables.season_tables import FixtureRow
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import HARRIERS, KESTRELS, book, find_squad_id, kept_bookings

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

WEEK = timedelta(days=7)


@pytest.fixture
def three_weeks(small: Store) -> Store:
    """Give the Kestrels and the Harriers on three Wednesdays each."""
    for n in range(3):
        book(small, day=A_WEDNESDAY + n * WEEK)
        book(small, HARRIERS, "third-3", day=A_WEDNESDAY + n * WEEK)
    return small


def add_match(store: Store, day: date, squad_key: str = KESTRELS) -> int:
    """Put a match with ground in the books; return the fixture's number."""
    number = book(store, squad_key, "whole", day=day, start_min=600, purpose=Purpose.MATCH)
    with store.write() as session:
        row = FixtureRow(
            squad_id=find_squad_id(store, squad_key),
            day=day,
            kick_off_from=630,
            kick_off_to=630,
            opponent="Holt",
            format_code="9v9",
            minutes=60,
            warm_up_minutes=30,
            after_minutes=15,
            pitch_name="",
            officials="",
            opponents="",
            note="",
            booking_id=number,
            withdrawn_at=None,
        )
        session.add(row)
        session.flush()
        return row.id


def days_of(store: Store, holder: str) -> list[date]:
    """Return the local dates on which a squad has something."""
    return [kept.local[0] for kept in kept_bookings(store) if kept.holder == holder]


def test_what_is_to_come_goes_and_what_was_stays(three_weeks: Store) -> None:
    """From the second Wednesday on nothing is left of one squad, all of the other."""
    words = end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY + WEEK, NOW, why="too few")
    assert words == "U12 Kestrels end on Wed 2 Dec, 2 sessions withdrawn."
    assert days_of(three_weeks, "U12 Kestrels") == [A_WEDNESDAY]
    assert len(days_of(three_weeks, "U14 Harriers")) == 3
    with three_weeks.read() as session:
        assert [row.is_wanted for row in session.scalars(select(NoticeRow))][-2:] == [True, True]


def test_matches_go_along_unless_they_are_to_stay(three_weeks: Store) -> None:
    """Called off with their ground; kept, they stay as they are."""
    saturday = A_WEDNESDAY + timedelta(days=3)
    number = add_match(three_weeks, saturday)
    words = end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW, keeps_matches=True)
    assert words == "U12 Kestrels end on Wed 25 Nov, 3 sessions withdrawn, one match stays."
    assert days_of(three_weeks, "U12 Kestrels") == [saturday]
    undo_change(three_weeks, list_changes(three_weeks, NOW)[0].number, NOW)
    words = end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW)
    assert words == "U12 Kestrels end on Wed 25 Nov, 3 sessions withdrawn, one match called off."
    assert days_of(three_weeks, "U12 Kestrels") == []
    undo_change(three_weeks, list_changes(three_weeks, NOW)[0].number, NOW)
    assert len(days_of(three_weeks, "U12 Kestrels")) == 4
    with three_weeks.read() as session:
        row = session.get_one(FixtureRow, number)
        assert (row.withdrawn_at, row.booking is not None) == (None, True)


def test_a_squad_that_ends_today_keeps_what_has_begun(three_weeks: Store) -> None:
    """At 18:30 on its day the session that runs is over in its own time; the rest goes."""
    now = datetime(2026, 11, 25, 18, 30, tzinfo=UTC)
    end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, now)
    assert days_of(three_weeks, "U12 Kestrels") == [A_WEDNESDAY]


def test_it_ends_on_the_night_the_clocks_go_forward(small: Store) -> None:
    """The Saturday evening before 28 March stays, the Sunday after it goes, by the local date."""
    sunday = date(2027, 3, 28)
    book(small, day=sunday - timedelta(days=1), start_min=22 * 60, end_min=24 * 60)
    book(small, day=sunday, start_min=0, end_min=90)
    end_squad_from(small, KESTRELS, sunday, NOW)
    assert days_of(small, "U12 Kestrels") == [sunday - timedelta(days=1)]


@pytest.mark.parametrize(
    ("day", "other", "words"),
    [
        (NOW.astimezone(LONDON).date() - timedelta(days=1), "", "has passed"),
        (A_WEDNESDAY, KESTRELS, "another squad"),
    ],
)
def test_what_cannot_be_is_refused(small: Store, day: date, other: str, words: str) -> None:
    """A date that has passed, and a squad that would go on in itself."""
    with pytest.raises(RefusedError, match=words):
        end_squad_from(small, KESTRELS, day, NOW, goes_on_in=other)


def test_the_second_of_two_secretaries_is_told(small: Store) -> None:
    """A squad without sessions can end, once."""
    assert "0 sessions" in end_squad_from(small, KESTRELS, A_WEDNESDAY, NOW)
    with pytest.raises(RefusedError, match="end on Wed 25 Nov already"):
        end_squad_from(small, KESTRELS, A_WEDNESDAY + WEEK, NOW)


def test_it_is_not_taken_back_over_somebody_elses_head(three_weeks: Store) -> None:
    """Where others have the ground by now, they are named and nothing changes."""
    end_squad_from(three_weeks, KESTRELS, A_WEDNESDAY, NOW)
    number = list_changes(three_weeks, NOW)[0].number
    book(three_weeks, HARRIERS, day=A_WEDNESDAY + WEEK)
    with pytest.raises(RefusedError, match="U14 Harriers"):
        undo_change(three_weeks, number, NOW)
    assert days_of(three_weeks, "U12 Kestrels") == []
