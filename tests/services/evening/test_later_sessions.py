"""The later ones of a session: moved and withdrawn along with it, each held to the rules."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.services.evening.bookings import see_booking, withdraw_booking
from clubplanner.services.evening.moves import foresee_move, move_with_others
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.places.ruling import Overruling
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import HARRIERS, LOW, TOP, book, find_area_id

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

WEEK = timedelta(days=7)


@pytest.fixture
def four_weeks(small: Store) -> Store:
    """Give the Kestrels on the first third on four Wednesdays, 18:00-19:15, and others near it."""
    for n in range(4):
        book(small, day=A_WEDNESDAY + n * WEEK)  # 1 to 4
    book(small, HARRIERS, "third-3", day=A_WEDNESDAY + 2 * WEEK)  # 5: where the third would go
    book(small, day=A_WEDNESDAY + WEEK, start_min=20 * 60, end_min=21 * 60)  # 6: other hours
    book(small, day=A_WEDNESDAY - WEEK, now=NOW - 2 * WEEK)  # 7: before
    book(small, HARRIERS, "third-2", day=A_WEDNESDAY + WEEK)  # 8: somebody else
    return small


def stand(store: Store) -> dict[int, tuple[str, date, str, bool]]:
    """Return where each booking is: area, local date, local start, and whether it is off."""
    with store.read() as session:
        return {
            row.id: (
                row.area.key,
                row.starts_at.astimezone(LONDON).date(),
                f"{row.starts_at.astimezone(LONDON):%H:%M}",
                row.is_withdrawn,
            )
            for row in session.scalars(select(BookingRow).order_by(BookingRow.id))
        }


def test_the_later_ones_go_along_where_they_may(four_weeks: Store) -> None:
    """Two go, one stays where the Harriers are in its way and is told; others are untouched."""
    area = find_area_id(four_weeks, TOP, "third-3")
    before = stand(four_weeks)
    foreseen = foresee_move(four_weeks, 1, area, None, None, NOW).later
    assert foreseen is not None
    assert (foreseen.count, foreseen.last_day) == (2, "Wed 16 Dec")
    assert [one.day for one in foreseen.stays] == ["Wed 9 Dec"]
    assert "U14 Harriers" in foreseen.stays[0].why
    assert stand(four_weeks) == before
    words = move_with_others(four_weeks, 1, 0, area, None, None, {}, NOW, and_later=True)
    assert words.startswith(
        "U12 Kestrels moved to Road third, Top pitch; 2 later sessions as well; Wed 9 Dec stays: "
    )
    after = stand(four_weeks)
    assert [after[n][0] for n in (1, 2, 3, 4)] == ["third-3", "third-3", "third-1", "third-3"]
    assert {n: after[n] for n in (5, 6, 7, 8)} == {n: before[n] for n in (5, 6, 7, 8)}


def test_all_of_it_is_one_change_and_taken_back_as_one(four_weeks: Store) -> None:
    """One line in the journal; undone, each is where it was."""
    before = stand(four_weeks)
    area = find_area_id(four_weeks, TOP, "third-3")
    move_with_others(four_weeks, 1, 0, area, None, None, {}, NOW, and_later=True)
    undo_change(four_weeks, list_changes(four_weeks, NOW)[0].number, NOW)
    assert stand(four_weeks) == before


def test_without_being_asked_only_the_one_goes(four_weeks: Store) -> None:
    """Its later ones stay."""
    area = find_area_id(four_weeks, TOP, "third-3")
    move_with_others(four_weeks, 1, 0, area, None, None, {}, NOW)
    assert [stand(four_weeks)[n][0] for n in (1, 2, 3, 4)] == ["third-3"] + 3 * ["third-1"]


def test_they_go_to_the_same_weekday_and_local_time_over_the_clock_change(small: Store) -> None:
    """From Wednesdays to Thursdays, an hour later by the wall, before and after 28 March 2027.

    The rule that is broken each week alike (their wish is Wednesday) is overruled for all.
    """
    first = date(2027, 3, 17)
    for n in range(3):
        book(small, day=first + n * WEEK)
    area = find_area_id(small, TOP, "third-1")
    day, start = first + timedelta(days=1), 19 * 60
    told = frozenset(foresee_move(small, 1, area, day, start, NOW).against)
    assert told
    move_with_others(
        small, 1, 0, area, day, start, {}, NOW, Overruling("Easter", told), and_later=True
    )
    assert stand(small) == {n: ("third-1", day + (n - 1) * WEEK, "19:00", False) for n in (1, 2, 3)}


def test_a_rule_that_only_a_later_one_breaks_is_not_overruled_for_it(small: Store) -> None:
    """What nobody has read is not overruled: the one whose ground is held by then stays."""
    first = date(2027, 4, 7)
    book(small, day=first + 0 * WEEK, start_min=17 * 60, end_min=18 * 60)
    book(small, day=date(2027, 4, 14), start_min=17 * 60, end_min=18 * 60)
    book(small, "Cup final", "whole", pitch_key=LOW, day=date(2027, 4, 14), start_min=17 * 60)
    area = find_area_id(small, LOW, "half-1")
    foreseen = foresee_move(small, 1, area, None, None, NOW)
    told = frozenset(foreseen.against)
    words = move_with_others(
        small, 1, 0, area, None, None, {}, NOW, Overruling("Mud", told), and_later=True
    )
    assert "Wed 14 Apr stays" in words
    assert stand(small)[2][0] == "third-1"


def test_a_move_to_another_week_is_a_putting_off(four_weeks: Store) -> None:
    """Nothing is offered for the later ones, and nothing is done if it is asked for."""
    area = find_area_id(four_weeks, TOP, "third-2")
    day = A_WEDNESDAY + 3 * WEEK
    assert foresee_move(four_weeks, 1, area, day, None, NOW).later is None
    told = frozenset(foresee_move(four_weeks, 1, area, day, None, NOW).against)
    move_with_others(
        four_weeks, 1, 0, area, day, None, {}, NOW, Overruling("Once", told), and_later=True
    )
    assert [stand(four_weeks)[n][0] for n in (2, 3, 4)] == 3 * ["third-1"]


def test_the_later_ones_are_withdrawn_along(four_weeks: Store) -> None:
    """Those of the same hours only; one change, told as one and taken back as one."""
    later = see_booking(four_weeks, 2).later
    assert later is not None
    assert (later.count, later.last_day) == (2, "Wed 16 Dec")
    before = stand(four_weeks)
    done = withdraw_booking(four_weeks, 2, 0, NOW, why="The squad ends", and_later=True)
    assert done is not None
    assert [n for n, place in stand(four_weeks).items() if place[3]] == [2, 3, 4]
    assert list_changes(four_weeks, NOW)[0].words.endswith("; 2 later sessions as well")
    undo_change(four_weeks, list_changes(four_weeks, NOW)[0].number, NOW)
    assert stand(four_weeks) == before


def test_the_last_one_has_none(four_weeks: Store) -> None:
    """Then nothing is offered."""
    assert see_booking(four_weeks, 4).later is None
    assert withdraw_booking(four_weeks, 4, 0, NOW, and_later=True) is None


def test_hirers_have_later_ones_by_their_name(small: Store) -> None:
    """A hirer is known by name alone; another hirer's bookings are not theirs."""
    for n in range(3):
        book(small, "Alderby Brass", day=A_WEDNESDAY + n * WEEK)
    book(small, "Alderby Band", "third-2", day=A_WEDNESDAY + WEEK)
    withdraw_booking(small, 1, 0, NOW, and_later=True)
    assert [n for n, place in stand(small).items() if place[3]] == [1, 2, 3]
