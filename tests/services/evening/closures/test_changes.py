"""A closure that proves longer, shorter or other than thought keeps its number and is changed."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.errors import ClashError, OutdatedError, RefusedError
from clubplanner.services.evening.closures.changes import (
    ClosureChange,
    change_closure,
    foresee_change,
)
from clubplanner.services.evening.closures.closing import all_withdrawn, close_ground
from clubplanner.services.evening.closures.reopening import (
    closures_to_finish,
    reopen_ground,
    see_closure,
)
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.places.closure_list import list_closures
from clubplanner.services.places.coming_back import proposed
from tests.builders import A_WEDNESDAY, LONDON
from tests.services.evening.closures.test_reopening import AT_1700, close, places, wish
from tests.small_club import HALL, HARRIERS, KESTRELS, TOP, book, find_area_id, kept_bookings

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

THURSDAY = A_WEDNESDAY + timedelta(days=1)


def changed(
    store: Store,
    area_key: str = "whole",
    *,
    last: date = A_WEDNESDAY,
    end: int = 24 * 60,
    pitch_key: str = TOP,
    condition: Condition = Condition.CLOSED,
    reason: str = "waterlogged",
) -> ClosureChange:
    """Return what the closure of the top pitch is to be; by default what it is."""
    during = range_typed_until(A_WEDNESDAY, 0, last, end, LONDON)
    return ClosureChange(
        find_area_id(store, pitch_key, area_key), during.ends_at, condition, reason
    )


def spans(store: Store) -> list[tuple[date, str, str]]:
    """Return when ground is closed, piece by piece."""
    closed = [kept for kept in kept_bookings(store) if kept.holder in ("waterlogged", "frost")]
    return [kept.local for kept in closed]


def test_longer_displaces_who_comes_into_it_and_keeps_its_number(small: Store) -> None:
    """On Thursday the Harriers have to go too; they are shown before, and settled with it."""
    number = close(small, wish(small))
    book(small, HARRIERS, "third-2", day=THURSDAY, end_min=19 * 60)
    longer = changed(small, last=THURSDAY, end=20 * 60)
    foreseen = foresee_change(small, number, longer, AT_1700)
    assert [one.holder for one in foreseen.displaced] == ["U14 Harriers"]
    assert foreseen.when == "Wed 25 Nov, 17:00 to Thu 26 Nov, 20:00"
    with pytest.raises(OutdatedError, match="U14 Harriers have been booked there too"):
        change_closure(small, number, longer, {}, {}, AT_1700)
    done = change_closure(small, number, longer, all_withdrawn(foreseen.displaced), {}, AT_1700)
    assert done.number == number
    assert done.words == (
        "Whole of Top pitch is closed: waterlogged. Wed 25 Nov, 17:00 to Thu 26 Nov, 20:00. "
        "1 session withdrawn."
    )
    assert [line.number for line in list_closures(small, AT_1700)] == [number]
    assert spans(small) == [(A_WEDNESDAY, "17:00", "00:00"), (THURSDAY, "00:00", "20:00")]
    change = list_changes(small, AT_1700)[0]
    undo_change(small, change.number, AT_1700)
    assert spans(small) == [(A_WEDNESDAY, "17:00", "00:00")]
    assert see_closure(small, number, AT_1700).when == "Wed 25 Nov, 17:00–24:00"
    assert places(small)["U14 Harriers"] == f"{TOP}/third-2"


def test_shorter_brings_back_who_is_set_free(small: Store) -> None:
    """Until 18:00 instead of midnight: the session at 18:00 comes back, its closed day is cut."""
    book(small)
    number = close(small, wish(small))
    shorter = changed(small, end=18 * 60)
    foreseen = foresee_change(small, number, shorter, AT_1700)
    assert foreseen.displaced == ()
    (one,) = foreseen.returns
    assert one.is_ticked
    change_closure(small, number, shorter, {}, proposed(foreseen.returns), AT_1700)
    assert places(small)["U12 Kestrels"] == f"{TOP}/third-1"
    assert spans(small) == [(A_WEDNESDAY, "17:00", "18:00")]


def test_shorter_by_too_little_offers_nobody(small: Store) -> None:
    """Until 18:05 the session at 18:00 still stands on closed ground."""
    book(small)
    number = close(small, wish(small))
    assert foresee_change(small, number, changed(small, end=18 * 60 + 5), AT_1700).returns == ()


def test_shorter_without_bringing_back_is_offered_later(small: Store) -> None:
    """The closure still holds; who was set free stays on the list of closures."""
    book(small)
    number = close(small, wish(small))
    change_closure(small, number, changed(small, end=18 * 60), {}, {}, AT_1700)
    (hint,) = closures_to_finish(small, AT_1700)
    assert (hint.number, hint.is_in_force, hint.away_count) == (number, True, 1)


def test_part_of_the_ground_is_opened(small: Store) -> None:
    """Only the clubhouse third stays closed: whoever trains on the middle third comes back."""
    book(small, KESTRELS, "third-1")
    book(small, HARRIERS, "third-2", end_min=19 * 60)
    number = close(small, wish(small))
    at_half_past = AT_1700 + timedelta(minutes=30)
    part = changed(small, "third-1")
    foreseen = foresee_change(small, number, part, at_half_past)
    assert [one.holder for one in foreseen.returns] == ["U14 Harriers"]
    change_closure(small, number, part, None, None, at_half_past)
    assert places(small) == {"U14 Harriers": f"{TOP}/third-2", "waterlogged": f"{TOP}/third-1"}
    assert spans(small) == [(A_WEDNESDAY, "17:00", "17:30"), (A_WEDNESDAY, "17:30", "00:00")]
    listed = see_closure(small, number, at_half_past).returns
    assert [one.holder for one in listed] == ["U12 Kestrels"]
    reopen_ground(small, number, at_half_past, proposed(listed))
    assert places(small)["U12 Kestrels"] == f"{TOP}/third-1"


def test_the_reason_is_corrected_without_moving_anybody(small: Store) -> None:
    """Frost, not water: the bookings that hold the ground say so, and count up."""
    number = close(small, wish(small))
    (before,) = kept_bookings(small)
    change_closure(small, number, changed(small, reason="frost"), None, None, AT_1700)
    (after,) = kept_bookings(small)
    assert (after.holder, after.uid) == ("frost", before.uid)
    assert after.sequence > before.sequence
    assert see_closure(small, number, AT_1700).words == "Whole of Top pitch is closed: frost."
    undo_change(small, list_changes(small, AT_1700)[0].number, AT_1700)
    assert see_closure(small, number, AT_1700).reason == "waterlogged"


def test_half_the_load_instead_of_closed_and_its_end(small: Store) -> None:
    """Opened with a condition, who had to go can come back; also when the condition ends."""
    row = book(small)
    number = close(small, wish(small))
    half = changed(small, condition=Condition.HALF_LOAD)
    assert [one.number for one in foresee_change(small, number, half, AT_1700).returns] == [row]
    change_closure(small, number, half, {}, {}, AT_1700)
    assert places(small) == {}
    listed = see_closure(small, number, AT_1700).returns
    words = reopen_ground(small, number, AT_1700, proposed(listed))
    assert words.endswith("1 session is back where it was.")
    assert places(small) == {"U12 Kestrels": f"{TOP}/third-1"}


def test_a_condition_becomes_a_closure_from_now_on(small: Store) -> None:
    """What has passed under the condition was not closed."""
    book(small)
    number = close_ground(small, wish(small, condition=Condition.NO_STUDS), None, AT_1700).number
    at_half_past = AT_1700 + timedelta(minutes=30, seconds=40)
    change_closure(small, number, changed(small), None, None, at_half_past)
    assert spans(small) == [(A_WEDNESDAY, "17:30", "00:00")]
    assert places(small)["U12 Kestrels"] != f"{TOP}/third-1"


@pytest.mark.parametrize("sunday", [date(2026, 10, 25), date(2027, 3, 28)])
def test_longer_over_the_nights_on_which_the_clocks_change(small: Store, sunday: date) -> None:
    """A day of 25 hours, or of 23, is one piece from midnight to midnight."""
    saturday = sunday - timedelta(days=1)
    now = datetime.combine(saturday - timedelta(days=2), AT_1700.timetz())
    during = range_typed_until(saturday, 12 * 60, saturday, 24 * 60, LONDON)
    number = close(small, wish(small, during=during), now)
    end = range_typed_until(saturday, 0, sunday + timedelta(days=1), 6 * 60, LONDON).ends_at
    area = find_area_id(small, TOP, "whole")
    longer = ClosureChange(area, end, Condition.CLOSED, "waterlogged")
    change_closure(small, number, longer, None, None, now)
    assert spans(small) == [
        (saturday, "12:00", "00:00"),
        (sunday, "00:00", "00:00"),
        (sunday + timedelta(days=1), "00:00", "06:00"),
    ]


def test_longer_than_from_one_midnight_to_the_next(small: Store) -> None:
    """Changed in its second night, it keeps what is past and goes on."""
    during = range_typed_until(A_WEDNESDAY, 17 * 60, THURSDAY, 24 * 60, LONDON)
    number = close(small, wish(small, during=during))
    at_midnight = datetime(2026, 11, 26, 0, 0, tzinfo=UTC)
    friday = THURSDAY + timedelta(days=1)
    change_closure(small, number, changed(small, last=friday, end=600), None, None, at_midnight)
    assert spans(small) == [
        (A_WEDNESDAY, "17:00", "00:00"),
        (THURSDAY, "00:00", "00:00"),
        (friday, "00:00", "10:00"),
    ]


def test_what_another_closure_holds_is_not_taken(small: Store) -> None:
    """The hall is closed until later by another closure: it is told, and nothing is changed."""
    number = close(small, wish(small))
    during = range_typed_until(A_WEDNESDAY, 16 * 60, THURSDAY, 12 * 60, LONDON)
    close(small, wish(small, pitch_key=HALL, during=during))
    with pytest.raises(ClashError, match="It is closed already"):
        change_closure(small, number, changed(small, pitch_key=HALL), None, None, AT_1700)
    assert len(list_closures(small, AT_1700)) == 2


def test_what_cannot_be_is_told(small: Store) -> None:
    """An end that has passed or lies before the beginning, and a closure that is over."""
    number = close(small, wish(small), AT_1700 - timedelta(hours=4))
    with pytest.raises(RefusedError, match="open the ground again"):
        change_closure(small, number, changed(small, end=16 * 60), None, None, AT_1700)
    early = AT_1700 - timedelta(hours=4)
    with pytest.raises(RefusedError, match="must come after the start"):
        change_closure(small, number, changed(small, end=16 * 60), None, None, early)
    far = changed(small, last=date(2028, 11, 25))
    with pytest.raises(RefusedError, match="at most 400 days"):
        change_closure(small, number, far, None, None, AT_1700)
    with pytest.raises(RefusedError, match="Say why"):
        change_closure(small, number, changed(small, reason=""), None, None, AT_1700)
    reopen_ground(small, number, AT_1700)
    with pytest.raises(RefusedError, match="open again already"):
        foresee_change(small, number, changed(small), AT_1700)


def test_a_match_in_the_way_of_a_longer_closure_is_shown(small: Store) -> None:
    """Matches are displaced by the same piece as when ground is closed."""
    number = close(small, wish(small))
    book(small, "Cup", day=THURSDAY, purpose=Purpose.MATCH)
    (one,) = foresee_change(small, number, changed(small, last=THURSDAY), AT_1700).displaced
    assert (one.holder, one.purpose) == ("Cup", "match")
