"""A hire before and after it is booked: every date by the rule book, all of it one change."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import OutdatedError, RefusedError
from clubplanner.services.evening.bookings import add_booking
from clubplanner.services.hires.booking import book_hire, book_more, foresee_hire, foresee_more
from clubplanner.services.hires.dates import AS_ASKED, OUT
from clubplanner.services.hires.pages import (
    hire_of_booking,
    list_hires,
    list_other_hires,
    see_hire,
)
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.services.season.year import set_holiday_place
from tests.builders import LONDON, NOW
from tests.services.hires.builders import TUESDAY, WEEK, hire_wish, hires_booked
from tests.small_club import HALL, LOW, book, find_area_id

if TYPE_CHECKING:
    from clubplanner.services.hires.dates import HireDate
    from clubplanner.store.engine import Store


def by_day(dates: tuple[HireDate, ...]) -> dict[str, HireDate]:
    """Return dates by day and month."""
    return {f"{one.day:%d %b}": one for one in dates}


@pytest.fixture
def clashing(small: Store) -> Store:
    """Give a hall that is held on the second of six Tuesdays and closed on the third."""
    book(small, "Chess club", "whole", pitch_key=HALL, day=TUESDAY + WEEK, purpose=Purpose.HIRE)
    day = TUESDAY + 2 * WEEK
    book(small, "floor sanded", "half-1", pitch_key=HALL, day=day, purpose=Purpose.CLOSED)
    return small


def test_every_date_is_looked_at_before_anything_is_booked(clashing: Store) -> None:
    """Clash, closure and break are told by date, with what can be done; nothing is changed."""
    dates = by_day(foresee_hire(clashing, hire_wish(clashing), NOW))
    assert list(dates) == ["01 Dec", "08 Dec", "15 Dec", "22 Dec", "29 Dec", "05 Jan"]
    assert "Chess club" in dates["08 Dec"].against[0]
    assert "floor sanded" in dates["15 Dec"].against[0]
    assert [one.chosen for one in dates.values()] == [AS_ASKED, OUT, OUT, *[AS_ASKED] * 3]
    assert dates["22 Dec"].notes == ("In the break “Christmas”.",)
    offered = [choice.words for choice in dates["08 Dec"].choices]
    assert offered[0] == "leave it out"
    assert "at Whole of Hall 19:15–20:45" in offered
    assert not any("all the same" in words for words in offered)
    assert hires_booked(clashing) == []


def test_one_press_books_all_that_can_be(clashing: Store) -> None:
    """Four of six are booked as one change, which is taken back and done again as one."""
    done = book_hire(clashing, hire_wish(clashing), NOW)
    assert (done.booked, done.left_out) == (4, 2)
    assert done.words == "Walking club: 4 dates booked; left out: Tue 8 Dec, Tue 15 Dec."
    days = [start for start, _end, _place in hires_booked(clashing)]
    assert days == ["12-01 18:00", "12-22 18:00", "12-29 18:00", "01-05 18:00"]
    (change,) = list_changes(clashing, NOW, count=1)
    assert change.words.startswith("hired out to Walking club")
    undo_change(clashing, change.number, NOW)
    assert hires_booked(clashing) == []
    assert list_hires(clashing, NOW) == ()
    undo_change(clashing, change.number + 1, NOW)
    assert len(hires_booked(clashing)) == 4
    (line,) = list_hires(clashing, NOW)
    assert (line.coming, line.left_out, line.phone) == (4, 2, "01632 960 123")


def test_breaks_and_public_holidays_are_left_out_where_that_is_wished(small: Store) -> None:
    """The two Tuesdays of the break and a holiday are left out, unless it is decided else."""
    set_holiday_place(small, "GB", "ENG")
    wish = hire_wish(
        small, first_on=date(2026, 12, 18), last_on=date(2027, 1, 8), skips_breaks=True
    )
    dates = by_day(foresee_hire(small, wish, NOW))
    assert dates["25 Dec"].notes == (
        "In the break “Christmas”.",
        "Public holiday: Christmas Day.",
    )
    assert {day: one.chosen for day, one in dates.items()} == {
        "18 Dec": AS_ASKED,
        "25 Dec": OUT,
        "01 Jan": OUT,
        "08 Jan": AS_ASKED,
    }
    done = book_hire(small, wish, NOW, {date(2027, 1, 1): AS_ASKED})
    assert (done.booked, done.left_out) == (3, 1)


def test_a_date_goes_to_another_part_or_time(clashing: Store) -> None:
    """A decision that takes one of the places offered books it there; the page names the place."""
    wish = hire_wish(clashing)
    date_8 = by_day(foresee_hire(clashing, wish, NOW))["08 Dec"]
    later = next(c.value for c in date_8.choices if "19:15" in c.words)
    done = book_hire(clashing, wish, NOW, {date_8.day: later})
    assert done.booked == 5
    assert ("12-08 19:15", "20:45", "Hall, whole") in hires_booked(clashing)


def test_what_is_dark_or_shut_is_booked_only_with_a_reason(small: Store) -> None:
    """The unlit pitch in December: left out, or booked against the rule with a reason kept."""
    wish = hire_wish(small, pitch=LOW, last_on=TUESDAY + WEEK)
    first, second = foresee_hire(small, wish, NOW)
    assert first.chosen == second.chosen == OUT
    mark = next(c.value for c in first.choices if "against the rule" in c.words)
    with pytest.raises(RefusedError, match="Say why"):
        book_hire(small, wish, NOW, {first.day: mark})
    done = book_hire(small, wish, NOW, {first.day: mark}, "they bring lamps")
    assert (done.booked, done.left_out) == (1, 1)
    assert see_hire(small, done.number, NOW).dates[0].overruled == "they bring lamps"


def test_nothing_is_booked_where_no_date_is_left(small: Store) -> None:
    """A hire whose only date is held is refused with what to do."""
    book(small, "Chess club", "whole", pitch_key=HALL, day=TUESDAY, purpose=Purpose.HIRE)
    with pytest.raises(RefusedError, match="No date is left"):
        book_hire(small, hire_wish(small, last_on=TUESDAY), NOW)
    with pytest.raises(RefusedError, match="who takes the ground"):
        book_hire(small, hire_wish(small, name=" "), NOW)


def test_whoever_comes_second_is_told_and_books_nothing(small: Store) -> None:
    """Two look at the same hour; the first press books it, the second names the dates."""
    wish = hire_wish(small)
    seen = {one.day: one.chosen for one in foresee_hire(small, wish, NOW)}
    book_hire(small, hire_wish(small, name="Chess club", last_on=TUESDAY + WEEK), NOW)
    with pytest.raises(OutdatedError, match="Tue 1 Dec, Tue 8 Dec are no longer"):
        book_hire(small, wish, NOW, seen)
    assert hires_booked(small) == []


def test_two_hirers_of_one_name_are_two(small: Store) -> None:
    """The same name at another time is another hire with its own number and person to call."""
    one = book_hire(small, hire_wish(small), NOW)
    two = book_hire(
        small, hire_wish(small, start_min=1200, end_min=1260, contact="Bo", phone="1"), NOW
    )
    assert one.number != two.number
    assert [line.contact for line in list_hires(small, NOW)] == ["Ada Nyman", "Bo"]


def test_what_was_booked_one_by_one_becomes_part_of_a_series(small: Store) -> None:
    """A hirer's own booking at that place and time is taken over, no clash, and stays."""
    area = find_area_id(small, HALL, "whole")
    during = hire_wish(small).times.during(TUESDAY, LONDON)
    assert during is not None
    typed = BookingWish(area, during, Purpose.HIRE, None, "walking Club", "", is_fixed=True)
    number = add_booking(small, typed, NOW).number
    assert [one.name for one in list_other_hires(small, NOW)] == ["walking Club"]
    first, *_rest = foresee_hire(small, hire_wish(small), NOW)
    assert first.chosen == AS_ASKED
    assert "Booked for them already" in first.notes[-1]
    done = book_hire(small, hire_wish(small), NOW)
    assert done.booked == 6
    assert hire_of_booking(small, number) == (done.number, "Tuesday 18:00–19:30, every week")
    assert list_other_hires(small, NOW) == ()
    again = foresee_hire(small, hire_wish(small), NOW)
    assert all(one.against for one in again)
    undo_change(small, list_changes(small, NOW, count=1)[0].number, NOW)
    assert hires_booked(small, "walking Club") == [("12-01 18:00", "19:30", "Hall, whole")]


def test_a_series_is_made_longer_and_dates_left_out_are_looked_at_again(clashing: Store) -> None:
    """Left-out dates and three new ones are offered; what is free now is booked, once."""
    done = book_hire(clashing, hire_wish(clashing), NOW)
    undo_change(clashing, 2, NOW)  # the hall is open again on the third
    more = foresee_more(clashing, done.number, TUESDAY + 8 * WEEK, NOW)
    assert list(by_day(more.dates)) == ["08 Dec", "15 Dec", "12 Jan", "19 Jan", "26 Jan"]
    seen = {one.day: one.chosen for one in more.dates}
    longer = book_more(clashing, done.number, more.mark, TUESDAY + 8 * WEEK, NOW, seen)
    assert (longer.booked, longer.left_out) == (4, 1)
    with pytest.raises(OutdatedError):
        book_more(clashing, done.number, more.mark, TUESDAY + 8 * WEEK, NOW, seen)
    page = see_hire(clashing, done.number, NOW)
    assert len(page.dates) == 9
    assert [line.booking is None for line in page.dates].count(True) == 1
    undo_change(clashing, list_changes(clashing, NOW, count=1)[0].number, NOW)
    assert len(see_hire(clashing, done.number, NOW).dates) == 6
    with pytest.raises(RefusedError, match="Tue 12 Jan"):
        foresee_more(clashing, done.number, TUESDAY + 5 * WEEK, NOW)


def test_a_year_over_both_clock_changes_keeps_its_hour(small: Store) -> None:
    """53 Tuesdays at 18 o'clock on the wall, whatever the clocks do in between."""
    wish = hire_wish(small, last_on=TUESDAY + 52 * WEEK)
    assert book_hire(small, wish, NOW).booked == 53
    assert {start[-5:] for start, _end, _place in hires_booked(small)} == {"18:00"}
    assert {end for _start, end, _place in hires_booked(small)} == {"19:30"}


def test_a_hire_past_midnight_is_held_to_the_opening_hours(small: Store) -> None:
    """From 23:00 to 01:00 is one booking; the venue is shut then, so it takes a reason."""
    wish = hire_wish(small, start_min=23 * 60, end_min=25 * 60, last_on=TUESDAY)
    (one,) = foresee_hire(small, wish, NOW)
    assert one.when == "Tue 1 Dec 2026, 23:00–01:00"
    mark = next(c.value for c in one.choices if "against" in c.words)
    book_hire(small, wish, NOW, {one.day: mark}, "New Year's ball")
    assert hires_booked(small) == [("12-01 23:00", "01:00", "Hall, whole")]


def test_dates_that_are_over_are_left_out(small: Store) -> None:
    """A series that began before today books what is still to come."""
    wish = hire_wish(small, first_on=TUESDAY - 3 * WEEK, last_on=TUESDAY)
    dates = foresee_hire(small, wish, NOW)
    assert dates[0].against == ("This date is over.",)
    assert [one.chosen for one in dates] == [OUT, AS_ASKED, AS_ASKED, AS_ASKED]
