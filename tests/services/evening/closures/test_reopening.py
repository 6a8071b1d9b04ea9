"""Opening ground again, and bringing back who had to go."""

from __future__ import annotations

import threading
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.errors import HinderedError, MissingError, OutdatedError, RefusedError
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.closures.closing import ClosureWish, all_withdrawn, close_ground
from clubplanner.services.evening.closures.closing import foresee_closure as foresee
from clubplanner.services.evening.closures.reopening import (
    bring_back_sessions,
    closures_of_day,
    closures_to_finish,
    reopen_ground,
    see_closure,
)
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.places import coming_back
from clubplanner.services.places.closure_list import list_closures
from clubplanner.services.places.coming_back import proposed
from clubplanner.services.rows.bookings.booking_rows import put_row
from tests.builders import A_WEDNESDAY, LONDON, NOW
from tests.small_club import HALL, HARRIERS, KESTRELS, TOP, book, find_area_id, kept_bookings
from tests.stores import ALL_THE_SAME, booking_row

if TYPE_CHECKING:
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.services.places.coming_back import Return
    from clubplanner.store.engine import Store

AT_1700 = datetime(2026, 11, 25, 17, 0, tzinfo=UTC)
WHOLE_DAY = range_typed_until(A_WEDNESDAY, 0, A_WEDNESDAY, 24 * 60, LONDON)


def wish(
    store: Store,
    area_key: str = "whole",
    *,
    pitch_key: str = TOP,
    during: TimeRange | None = None,
    condition: Condition = Condition.CLOSED,
) -> ClosureWish:
    """Return the wish to close the top pitch on the Wednesday from 17:00 for water."""
    usual = range_typed_until(A_WEDNESDAY, 17 * 60, A_WEDNESDAY, 24 * 60, LONDON)
    return ClosureWish(
        find_area_id(store, pitch_key, area_key), during or usual, condition, "waterlogged"
    )


def close(store: Store, closing: ClosureWish, now: datetime = AT_1700) -> int:
    """Close ground and withdraw whoever stands on it; return the closure's number."""
    gone = all_withdrawn(foresee(store, closing, now).displaced)
    return close_ground(store, closing, gone, now).number


def returns(store: Store, number: int, now: datetime = AT_1700) -> dict[str, Return]:
    """Return holder → who had to go for a closure and is not back."""
    return {one.holder: one for one in see_closure(store, number, now).returns}


def places(store: Store) -> dict[str, str]:
    """Return holder → ground of everything that stands."""
    return {kept.holder: kept.area for kept in kept_bookings(store)}


def test_the_withdrawn_and_the_moved_come_back_as_one_change(small: Store) -> None:
    """Same identity, same ground, a higher count; the change is taken back as a whole."""
    first = book(small, KESTRELS, "third-1")
    second = book(small, HARRIERS, "third-2", end_min=19 * 60)
    number = close_ground(small, wish(small), None, AT_1700).number
    away = places(small)
    listed = returns(small, number)
    assert all(one.can and one.is_ticked and not one.why for one in listed.values())
    assert listed["U12 Kestrels"].was == "Clubhouse third, Top pitch"
    assert listed["U12 Kestrels"].when == "Wed 25 Nov, 18:00–19:15"
    uids = {row: booking_row(small, row).uid for row in (first, second)}
    counts = {row: booking_row(small, row).sequence for row in (first, second)}
    words = reopen_ground(small, number, AT_1700, proposed(listed.values()))
    assert words == "Whole of Top pitch is open again. 2 sessions are back where they were."
    assert places(small) == {
        "U12 Kestrels": f"{TOP}/third-1",
        "U14 Harriers": f"{TOP}/third-2",
    }
    for row in (first, second):
        assert booking_row(small, row).uid == uids[row]
        assert booking_row(small, row).sequence > counts[row]
    change = list_changes(small, AT_1700)[0]
    assert change.words == ("opened Whole of Top pitch again; 2 sessions are back where they were")
    counts = {row: booking_row(small, row).sequence for row in (first, second)}
    undo_change(small, change.number, AT_1700)
    assert places(small) == away
    assert all(booking_row(small, row).sequence > counts[row] for row in (first, second))
    assert [line.number for line in list_closures(small, AT_1700)] == [number]


def test_taking_a_reopening_back_closes_the_ground_in_the_list_too(small: Store) -> None:
    """The closure is in force again, with its own number, and can be opened once more."""
    number = close(small, wish(small))
    reopen_ground(small, number, AT_1700)
    undo_change(small, list_changes(small, AT_1700)[0].number, AT_1700)
    assert [line.number for line in list_closures(small, AT_1700)] == [number]
    reopen_ground(small, number, AT_1700)


def test_taking_a_condition_back_lifts_it(small: Store) -> None:
    """A condition holds no ground; it is noted all the same, and taken back."""
    close_ground(small, wish(small, condition=Condition.HALF_LOAD), None, AT_1700)
    change = list_changes(small, AT_1700)[0]
    done = undo_change(small, change.number, AT_1700)
    assert list_closures(small, AT_1700) == ()
    undo_change(small, done.number, AT_1700)
    assert len(list_closures(small, AT_1700)) == 1


def test_without_bringing_back_the_offer_stays_until_it_is_over(small: Store) -> None:
    """The ground is open; closures page and evening offer the session until it would begin."""
    book(small)
    number = close(small, wish(small))
    reopen_ground(small, number, AT_1700)
    assert places(small) == {}
    (hint,) = closures_of_day(small, "marsh-lane", WHOLE_DAY, AT_1700)
    assert (hint.number, hint.is_in_force, hint.away_count) == (number, False, 1)
    (later,) = closures_to_finish(small, AT_1700 + timedelta(minutes=50))
    assert later.number == number
    assert bring_back_sessions(
        small, number, AT_1700, proposed(returns(small, number).values())
    ) == ("1 session is back where it was.")
    assert places(small) == {"U12 Kestrels": f"{TOP}/third-1"}
    assert closures_of_day(small, "marsh-lane", WHOLE_DAY, AT_1700) == ()
    assert returns(small, number) == {}


def test_what_has_begun_or_is_over_stays_away(small: Store) -> None:
    """At 18:00 the session would have begun; at 19:15 it is not spoken of any more."""
    book(small)
    number = close(small, wish(small))
    at_six = AT_1700 + timedelta(hours=1)
    one = returns(small, number, at_six)["U12 Kestrels"]
    assert (one.can, one.why) == (False, "It would have begun already.")
    assert returns(small, number, at_six - timedelta(seconds=1))["U12 Kestrels"].can
    assert returns(small, number, at_six + timedelta(minutes=75)) == {}
    with pytest.raises(OutdatedError, match="would have begun"):
        reopen_ground(small, number, at_six, {one.number: one.sequence})
    assert len(list_closures(small, at_six)) == 1, "nothing was opened"


def test_a_session_that_was_placed_by_hand_since_is_shown_and_not_ticked(small: Store) -> None:
    """Moved by the closing, then moved on by the secretary; ticked on purpose, it comes back."""
    row = book(small)
    number = close_ground(small, wish(small), None, AT_1700).number
    assert places(small)["U12 Kestrels"] == f"{HALL}/whole"
    half = find_area_id(small, HALL, "half-2")
    kept = booking_row(small, row)
    seen = returns(small, number)["U12 Kestrels"]
    move_booking(
        small,
        row,
        kept.sequence,
        half,
        range_typed_until(A_WEDNESDAY, 18 * 60, A_WEDNESDAY, 19 * 60 + 15, LONDON),
        AT_1700,
        ALL_THE_SAME,
    )
    one = returns(small, number)["U12 Kestrels"]
    assert (one.can, one.is_ticked) == (True, False)
    assert one.why == "Somebody decided about it since it had to go."
    with pytest.raises(OutdatedError, match="Since you looked, somebody has decided about U12"):
        reopen_ground(small, number, AT_1700, {row: seen.sequence})
    assert places(small)["U12 Kestrels"] == f"{HALL}/half-2"
    reopen_ground(small, number, AT_1700, {row: one.sequence})
    assert places(small) == {"U12 Kestrels": f"{TOP}/third-1"}


def test_a_session_withdrawn_by_hand_since_is_not_ticked(small: Store) -> None:
    """The closing moved it, its coach gave it up: that was a decision."""
    row = book(small)
    number = close_ground(small, wish(small), None, AT_1700).number
    withdraw_booking(small, row, booking_row(small, row).sequence, AT_1700)
    one = returns(small, number)["U12 Kestrels"]
    assert (one.now, one.is_ticked) == ("withdrawn", False)


def test_a_match_that_took_the_place_meanwhile_keeps_it(small: Store) -> None:
    """The offer names who holds the ground; ticked before they came, nothing is changed."""
    row = book(small)
    number = close(small, wish(small))
    reopen_ground(small, number, AT_1700)
    seen = returns(small, number)["U12 Kestrels"]
    book(small, "Cup match", "whole", purpose=Purpose.MATCH, end_min=20 * 60)
    one = returns(small, number)["U12 Kestrels"]
    assert not one.can
    assert "Cup match" in one.why
    with pytest.raises(HinderedError, match=r"Cup match.*Leave U12 Kestrels where they are"):
        bring_back_sessions(small, number, AT_1700, {row: seen.sequence})
    assert places(small) == {"Cup match": f"{TOP}/whole"}


def test_another_closure_still_keeps_them_away(small: Store) -> None:
    """Closed for water, opened, closed for frost: opening says so where frost lies."""
    book(small)
    water = close(small, wish(small))
    reopen_ground(small, water, AT_1700)
    close(small, wish(small, "half-1"))
    one = returns(small, water)["U12 Kestrels"]
    assert not one.can
    assert one.why.startswith("Closed: waterlogged")


def test_a_wider_closure_takes_over_who_the_smaller_one_displaced(small: Store) -> None:
    """First a half is closed, then the whole: opening the whole brings both back."""
    book(small, KESTRELS, "third-1")
    book(small, HARRIERS, "third-3", end_min=19 * 60)
    close(small, wish(small, "third-1"))
    whole = close(small, wish(small))
    listed = returns(small, whole)
    assert set(listed) == {"U12 Kestrels", "U14 Harriers"}
    reopen_ground(small, whole, AT_1700, proposed(listed.values()))
    assert places(small)["U12 Kestrels"] == f"{TOP}/third-1"


def test_a_session_displaced_twice_goes_back_to_the_first_ground(small: Store) -> None:
    """Moved from the top pitch into the hall, and out of the hall by its closing."""
    book(small)
    top = close_ground(small, wish(small), None, AT_1700).number
    hall = close(small, wish(small, pitch_key=HALL))
    one = returns(small, top)["U12 Kestrels"]
    assert (one.was, one.is_ticked) == ("Clubhouse third, Top pitch", True)
    assert returns(small, hall)["U12 Kestrels"].was == "Whole of Hall"
    reopen_ground(small, top, AT_1700, proposed([one]))
    assert places(small)["U12 Kestrels"] == f"{TOP}/third-1"


def test_the_rule_book_decides_who_comes_back(small: Store) -> None:
    """A squad that trains elsewhere that day by now has no second training to come back to."""
    book(small)
    number = close(small, wish(small))
    book(small, KESTRELS, "half-1", pitch_key=HALL, start_min=20 * 60, end_min=21 * 60)
    one = returns(small, number)["U12 Kestrels"]
    assert not one.can
    assert one.why == "U12 Kestrels have 1 training that day already and ask for no more."


def test_days_over_midnight_come_back_day_by_day(small: Store) -> None:
    """A closure of three days, opened on the second: only what is still to come is listed."""
    book(small, HARRIERS, "third-2", end_min=19 * 60)
    thursday = A_WEDNESDAY + timedelta(days=1)
    book(small, HARRIERS, "third-2", day=thursday, end_min=19 * 60)
    during = range_typed_until(A_WEDNESDAY, 17 * 60, thursday + timedelta(days=1), 12 * 60, LONDON)
    number = close(small, wish(small, during=during))
    at_midnight = datetime(2026, 11, 26, 0, 0, tzinfo=UTC)
    (one,) = see_closure(small, number, at_midnight).returns
    assert one.when == "Thu 26 Nov, 18:00–19:00"
    reopen_ground(small, number, at_midnight, proposed([one]))
    assert [kept.local for kept in kept_bookings(small)] == [
        (A_WEDNESDAY, "17:00", "00:00"),
        (thursday, "18:00", "19:00"),
    ]


@pytest.mark.parametrize("sunday", [date(2026, 10, 25), date(2027, 3, 28)])
def test_the_nights_on_which_the_clocks_change(small: Store, sunday: date) -> None:
    """Back to the same wall clock time; in London it is 25 October 2026 and 28 March 2027."""
    book(small, "Choir", "half-1", day=sunday, start_min=600, end_min=660, purpose=Purpose.HIRE)
    saturday = sunday - timedelta(days=1)
    now = datetime.combine(saturday - timedelta(days=2), AT_1700.timetz())
    during = range_typed_until(saturday, 12 * 60, sunday, 24 * 60, LONDON)
    number = close(small, wish(small, during=during), now)
    at_three = datetime.combine(sunday, AT_1700.timetz()).replace(hour=3)
    listed = see_closure(small, number, at_three).returns
    reopen_ground(small, number, at_three, proposed(listed))
    local = [kept.local for kept in kept_bookings(small) if kept.holder == "Choir"]
    assert local == [(sunday, "10:00", "11:00")]


def test_one_reopens_while_another_places_a_displaced_session(small: Store) -> None:
    """Whoever comes second is told and changes nothing; never is a session at two places."""
    row = book(small)
    number = close_ground(small, wish(small), None, AT_1700).number
    one = returns(small, number)["U12 Kestrels"]
    faults: list[OutdatedError] = []
    begin = threading.Barrier(2)

    def reopen() -> None:
        begin.wait()
        try:
            reopen_ground(small, number, AT_1700, proposed([one]))
        except OutdatedError as fault:
            faults.append(fault)

    def place() -> None:
        begin.wait()
        try:
            move_booking(
                small,
                row,
                one.sequence,
                find_area_id(small, HALL, "half-2"),
                range_typed_until(A_WEDNESDAY, 18 * 60, A_WEDNESDAY, 19 * 60 + 15, LONDON),
                AT_1700,
                ALL_THE_SAME,
            )
        except OutdatedError as fault:
            faults.append(fault)

    threads = [threading.Thread(target=act) for act in (reopen, place)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(faults) == 1
    standing = places(small)
    if "waterlogged" in standing:
        assert standing["U12 Kestrels"] == f"{HALL}/half-2"
    else:
        assert standing == {"U12 Kestrels": f"{TOP}/third-1"}


def test_broken_off_in_the_middle_nothing_is_changed(
    small: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The program dies while the second session is put back: the ground is still closed."""
    book(small, KESTRELS, "third-1")
    book(small, HARRIERS, "third-2", end_min=19 * 60)
    number = close(small, wish(small))
    before, listed = kept_bookings(small), returns(small, number)
    put = put_row
    done: list[int] = []

    def dies(*args: object) -> None:
        if done:
            raise KeyboardInterrupt
        done.append(1)
        put(*args)  # type: ignore[arg-type]

    monkeypatch.setattr(coming_back, "put_row", dies)
    with pytest.raises(KeyboardInterrupt):
        reopen_ground(small, number, AT_1700, proposed(listed.values()))
    assert kept_bookings(small) == before
    assert len(list_closures(small, AT_1700)) == 1


def test_nobody_else_is_brought_back(small: Store) -> None:
    """Neither a session that never had to go, nor one that is no session, nor nobody."""
    other = book(small, HARRIERS, "half-1", pitch_key=HALL, end_min=19 * 60)
    number = close(small, wish(small))
    for strange in (other, 99):
        with pytest.raises(OutdatedError, match="look again"):
            reopen_ground(small, number, AT_1700, {strange: 0})
    with pytest.raises(RefusedError, match="Tick who comes back"):
        bring_back_sessions(small, number, AT_1700, {})
    with pytest.raises(MissingError, match="no closure 77"):
        see_closure(small, 77, AT_1700)


def test_the_history_of_a_closure_is_kept(small: Store) -> None:
    """Closed by whom, opened by whom, in the words of the journal."""
    number = close(small.acting_for("Kim"), wish(small))
    reopen_ground(small.acting_for("Lee"), number, AT_1700)
    page = see_closure(small, number, NOW)
    assert [(by, words.partition(":")[0]) for _at, by, words in page.history] == [
        ("Kim", "closed Whole of Top pitch"),
        ("Lee", "opened Whole of Top pitch again"),
    ]
