"""A stretch made longer goes on over its new weeks, one made shorter gives its last ones back."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.times.times import TimeRange
from clubplanner.errors import OutdatedError, RefusedError
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.rows.bookings.booking_rows import place_booking
from clubplanner.services.rows.snapshot import load_stretches
from clubplanner.services.season.stretch_dates import (
    ALL_THE_SAME,
    LEAVE_OUT,
    change_stretch_dates,
    see_stretch_dates,
)
from clubplanner.services.season.year import add_break
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, TOP, book, find_area_id, kept_bookings

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

WEEK = timedelta(days=7)
FIRST, LAST = date(2026, 10, 12), date(2027, 4, 9)
LONGER = date(2027, 5, 7)
LAST_WEDNESDAY = date(2027, 4, 7)
NEW = [LAST_WEDNESDAY + n * WEEK for n in range(1, 5)]
"""The four Wednesdays that the longer stretch gains."""


@pytest.fixture
def winter(small: Store) -> Store:
    """Give the Kestrels on the last six Wednesdays of the winter, as a share-out puts them."""
    for n in range(6):
        book(small, day=LAST_WEDNESDAY - n * WEEK, is_fixed=False)
    return small


def longer(store: Store, decisions: dict[str, str] | None = None) -> str:
    """Make the winter four weeks longer."""
    return change_stretch_dates(store, "winter", "Winter", FIRST, LONGER, decisions or {}, NOW)


def wednesdays(store: Store) -> list[date]:
    """Return the dates on which the Kestrels are booked, after the winter's old end."""
    return [
        kept.local[0]
        for kept in kept_bookings(store)
        if kept.holder == "U12 Kestrels" and kept.local[0] > LAST
    ]


def test_what_comes_every_week_goes_on(winter: Store) -> None:
    """At the same local time and place; a break is left out, the clocks do not matter."""
    add_break(winter, "Fair", NEW[1], NEW[1], NOW, withdraws=True)
    foreseen = see_stretch_dates(winter, "winter", "Winter", FIRST, LONGER, NOW)
    assert (foreseen.booked, foreseen.clashes, foreseen.withdrawn) == (3, (), 0)
    assert wednesdays(winter) == []
    assert longer(winter) == "Winter: Mon 12 Oct to Fri 7 May 2027. 3 sessions booked."
    assert wednesdays(winter) == [NEW[0], NEW[2], NEW[3]]
    assert {kept.local[1:] for kept in kept_bookings(winter)} == {("18:00", "19:15")}


def test_it_is_one_change_and_taken_back_as_one(winter: Store) -> None:
    """The dates of the stretch and its new bookings go together."""
    longer(winter)
    undo_change(winter, list_changes(winter, NOW)[0].number, NOW)
    assert wednesdays(winter) == []
    with winter.read() as session:
        assert load_stretches(session)[0].ends_on == LAST


def test_what_a_rule_keeps_away_is_asked_about(winter: Store) -> None:
    """A hire holds the third on one date: told, with free places; left out unless one is chosen."""
    book(winter, "Fair", "third-1", day=NEW[2], start_min=17 * 60, end_min=20 * 60)
    foreseen = see_stretch_dates(winter, "winter", "Winter", FIRST, LONGER, NOW)
    (clash,) = foreseen.clashes
    assert clash.words == "U12 Kestrels, Wed 28 Apr 18:00–19:15, Clubhouse third, Top pitch"
    assert "Fair" in clash.why[0]
    values = [choice.value for choice in clash.choices]
    assert LEAVE_OUT in values
    assert ALL_THE_SAME not in values
    assert "1 left out" not in longer(winter, {clash.key: values[0]})
    assert wednesdays(winter) == NEW
    (area,) = (k.area for k in kept_bookings(winter) if k.local[0] == NEW[2] and "U12" in k.holder)
    assert not area.endswith("third-1")


def test_left_alone_it_is_left_out_and_told(winter: Store) -> None:
    """Nothing is dropped without a word."""
    book(winter, "Fair", "third-1", day=NEW[2], start_min=17 * 60, end_min=20 * 60)
    assert longer(winter).endswith("3 sessions booked. One left out.")
    assert wednesdays(winter) == [NEW[0], NEW[1], NEW[3]]


def test_what_somebody_booked_since_is_not_run_over(winter: Store) -> None:
    """Another secretary was quicker: nothing is done unseen."""
    foreseen = see_stretch_dates(winter, "winter", "Winter", FIRST, LONGER, NOW)
    book(winter, "Fair", "third-1", day=NEW[0])
    with pytest.raises(OutdatedError, match="look again"):
        change_stretch_dates(winter, "winter", "Winter", FIRST, LONGER, {}, NOW, seen=foreseen.seen)
    assert wednesdays(winter) == []


def test_a_rule_can_be_overruled_once_more(small: Store) -> None:
    """Tuesdays, which the squad never asked for: each is asked about, and kept with its reason."""
    for n in range(3):
        book(small, day=LAST_WEDNESDAY - timedelta(days=1) - n * WEEK)
    foreseen = see_stretch_dates(small, "winter", "Winter", FIRST, LONGER, NOW)
    assert (foreseen.booked, len(foreseen.clashes)) == (0, 4)
    key = foreseen.clashes[0].key
    assert longer(small, {key: ALL_THE_SAME}).endswith("1 session booked. 3 left out.")
    with small.read() as session:
        newest = session.scalars(select(BookingRow).order_by(BookingRow.id.desc())).first()
        assert newest is not None
        assert newest.overruled == "as in the weeks before"


def test_one_date_off_or_elsewhere_does_not_break_a_habit(winter: Store) -> None:
    """Of the last four, one was put elsewhere by hand: the others say what is usual."""
    with winter.write() as session:
        row = session.get_one(BookingRow, 1)
        area = session.get_one(AreaRow, find_area_id(winter, TOP, "third-3"))
        place_booking(session, row, area, TimeRange(row.starts_at, row.ends_at))
    longer(winter)
    areas = {kept.area for kept in kept_bookings(winter) if kept.local[0] > LAST}
    assert areas == {f"{TOP}/third-1"}


def test_a_squad_that_ends_does_not_go_on(winter: Store) -> None:
    """It is told, and nothing is booked."""
    end_squad_from(winter, KESTRELS, LAST, NOW)
    foreseen = see_stretch_dates(winter, "winter", "Winter", FIRST, LONGER, NOW)
    assert foreseen.not_continued == ("U12 Kestrels train no more by then.",)
    assert foreseen.booked == 0


def test_a_shorter_one_gives_its_last_weeks_back(winter: Store) -> None:
    """What a share-out put there goes; what a person put there stays unless it is to go, too."""
    book(winter, HARRIERS, "third-3", day=LAST_WEDNESDAY)
    end = LAST_WEDNESDAY - WEEK - timedelta(days=1)
    foreseen = see_stretch_dates(winter, "winter", "Winter", FIRST, end, NOW)
    assert (foreseen.withdrawn, foreseen.by_hand) == (2, 1)
    change_stretch_dates(winter, "winter", "Winter", FIRST, end, {}, NOW)
    late = [kept.holder for kept in kept_bookings(winter) if kept.local[0] > end]
    assert late == ["U14 Harriers"]
    undo_change(winter, list_changes(winter, NOW)[0].number, NOW)
    change_stretch_dates(winter, "winter", "Winter", FIRST, end, {}, NOW, withdraws_by_hand=True)
    assert [kept for kept in kept_bookings(winter) if kept.local[0] > end] == []


def test_dates_that_another_stretch_holds_are_refused(winter: Store) -> None:
    """As for a stretch that is only typed."""
    with pytest.raises(RefusedError, match="must follow"):
        change_stretch_dates(winter, "winter", "Winter", FIRST, FIRST - WEEK, {}, NOW)
