"""A hire changed from a date on: moved, ended, called something else; one change each."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.services.evening.moves import move_with_others
from clubplanner.services.hires.booking import book_hire, book_more, foresee_more
from clubplanner.services.hires.changes import (
    HireMove,
    end_hire,
    foresee_hire_move,
    move_hire,
    rename_hire,
)
from clubplanner.services.hires.pages import list_hires, see_hire
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.mails.knowing import who_knows_of_changes
from clubplanner.store.tables.ground_tables import PitchRow
from tests.builders import NOW
from tests.services.hires.builders import TUESDAY, WEEK, hire_wish, hires_booked
from tests.small_club import HALL, LOW, book, find_area_id

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@pytest.fixture
def hired(small: Store) -> Store:
    """Give hire 1: the Walking club in the hall on six Tuesdays, 18:00–19:30, bookings 1 to 6."""
    book_hire(small, hire_wish(small), NOW)
    return small


def mark(store: Store, number: int = 1) -> str:
    """Return the mark of a hire as it is."""
    return see_hire(store, number, NOW).mark


def to(store: Store, **changes: Any) -> HireMove:
    """Return a move to the Wednesdays, 19:00–20:00, from the second date on."""
    pitch, area = changes.pop("pitch", HALL), changes.pop("area", "whole")
    values = {"from_on": TUESDAY + WEEK, "weekday": 2, "start_min": 1140, "end_min": 1200}
    return HireMove(area_id=find_area_id(store, pitch, area), **{**values, **changes})


def undo_last(store: Store) -> None:
    """Take the last change back."""
    undo_change(store, list_changes(store, NOW, count=1)[0].number, NOW)


def test_the_later_dates_move_as_far_as_no_rule_stands_in_the_way(hired: Store) -> None:
    """From the second on to Wednesdays; one is held and stays, and the foresight said so."""
    held = TUESDAY + 2 * WEEK + timedelta(days=1)
    book(hired, "Chess club", "half-1", pitch_key=HALL, day=held, start_min=1140, end_min=1200,
         purpose=Purpose.HIRE)  # fmt: skip
    before = hires_booked(hired)
    foreseen = foresee_hire_move(hired, 1, to(hired), NOW)
    assert (foreseen.later.count, foreseen.overrulable, foreseen.apart) == (4, 0, ())
    assert [one.day for one in foreseen.later.stays] == ["Tue 15 Dec"]
    assert hires_booked(hired) == before
    words = move_hire(hired, 1, foreseen.mark, to(hired), NOW)
    assert words.startswith("Hire of Walking club: 4 dates moved; ")
    assert "Chess club" in words
    assert [start for start, _end, _place in hires_booked(hired)] == [
        "12-01 18:00",
        "12-09 19:00",
        "12-15 18:00",
        "12-23 19:00",
        "12-30 19:00",
        "01-06 19:00",
    ]
    assert see_hire(hired, 1, NOW).line.rhythm == "Wednesday 19:00–20:00, every week"
    undo_last(hired)
    assert hires_booked(hired) == before
    assert see_hire(hired, 1, NOW).line.rhythm == "Tuesday 18:00–19:30, every week"


def test_a_moved_series_is_made_longer_where_it_is_now(hired: Store) -> None:
    """After the move to Wednesdays the next date is a Wednesday, at the new time."""
    move_hire(hired, 1, mark(hired), to(hired), NOW)
    more = foresee_more(hired, 1, date(2027, 1, 20), NOW)
    assert [one.when for one in more.dates] == [
        "Wed 13 Jan 2027, 19:00–20:00",
        "Wed 20 Jan 2027, 19:00–20:00",
    ]


def test_what_breaks_a_rule_goes_along_with_a_reason(hired: Store) -> None:
    """To the unlit pitch nothing goes; all of it does where somebody says why."""
    move = to(hired, pitch=LOW, weekday=1)
    foreseen = foresee_hire_move(hired, 1, move, NOW)
    assert (foreseen.later.count, foreseen.overrulable) == (0, 5)
    with pytest.raises(RefusedError, match="No date can go there"):
        move_hire(hired, 1, foreseen.mark, move, NOW)
    move_hire(hired, 1, foreseen.mark, move, NOW, "they bring lamps")
    assert [line.overruled for line in see_hire(hired, 1, NOW).dates] == [
        "",
        *["they bring lamps"] * 5,
    ]


def test_dates_put_elsewhere_by_hand_stay_there(hired: Store) -> None:
    """A single date that was moved by itself is told, and left alone by a move of the series."""
    move_with_others(hired, 3, 0, find_area_id(hired, HALL, "half-1"), None, None, {}, NOW)
    foreseen = foresee_hire_move(hired, 1, to(hired), NOW)
    assert foreseen.apart == ("Tue 15 Dec",)
    move_hire(hired, 1, foreseen.mark, to(hired), NOW)
    assert ("12-15 18:00", "19:30", "Hall, half-1") in hires_booked(hired)


def test_a_move_to_where_it_is_or_of_nothing_is_refused(hired: Store) -> None:
    """The same place and time, or a date after the last, moves nothing and says so."""
    same = to(hired, weekday=1, start_min=1080, end_min=1170)
    with pytest.raises(RefusedError, match="there already"):
        foresee_hire_move(hired, 1, same, NOW)
    with pytest.raises(RefusedError, match="No date of this hire"):
        foresee_hire_move(hired, 1, to(hired, from_on=date(2027, 3, 1)), NOW)


def test_a_series_is_ended_and_it_is_said_whom_to_call(hired: Store) -> None:
    """Two dates stay, four are given back; whom to call stands with its number."""
    words = end_hire(hired, 1, mark(hired), TUESDAY + WEEK, NOW)
    assert words == "Hire of Walking club ended: 4 dates given back."
    assert len(hires_booked(hired)) == 2
    page = see_hire(hired, 1, NOW)
    assert page.line.span == "Tue 1 Dec 2026 to Tue 8 Dec 2026"
    (change,) = list_changes(hired, NOW, count=1)
    (person,) = who_knows_of_changes(hired, Config(), [change.number], NOW).not_reached
    assert (person.name, person.phone, person.squads) == (
        "Ada Nyman",
        "01632 960 123",
        "Walking club",
    )
    undo_last(hired)
    assert len(hires_booked(hired)) == 6


def test_an_ended_series_is_made_longer_again(hired: Store) -> None:
    """What was ended is booked once more, from the date after the last that stands."""
    end_hire(hired, 1, mark(hired), TUESDAY + WEEK, NOW)
    last = TUESDAY + 3 * WEEK
    more = foresee_more(hired, 1, last, NOW)
    book_more(hired, 1, more.mark, last, NOW)
    assert len(hires_booked(hired)) == 4
    assert len(see_hire(hired, 1, NOW).dates) == 4


def test_a_series_of_which_nothing_is_left_is_out_of_the_list(hired: Store) -> None:
    """Ended before its first date it is gone, and comes back when that is taken back."""
    end_hire(hired, 1, mark(hired), None, NOW)
    assert list_hires(hired, NOW) == ()
    with pytest.raises(MissingError):
        see_hire(hired, 1, NOW)
    undo_last(hired)
    assert see_hire(hired, 1, NOW).line.coming == 6


def test_dates_that_are_over_stay_when_a_series_ends(hired: Store) -> None:
    """In its third week it is ended: two dates stand for ever."""
    later = NOW + 4 * WEEK
    end_hire(hired, 1, see_hire(hired, 1, later).mark, None, later)
    assert len(hires_booked(hired)) == 2
    with pytest.raises(RefusedError, match="no date after that"):
        end_hire(hired, 1, see_hire(hired, 1, later).mark, None, later)


def test_a_corrected_name_is_on_every_booking_to_come(hired: Store) -> None:
    """Name, person and note are changed as one; two who change at once do not overwrite."""
    seen = mark(hired)
    rename_hire(hired, 1, seen, "Ramblers", "Bo", "01632 960 900", "keys at the bar", NOW)
    assert len(hires_booked(hired, "Ramblers")) == 6
    with pytest.raises(OutdatedError, match="Ramblers"):
        rename_hire(hired, 1, seen, "Hikers", "", "", "", NOW)
    with pytest.raises(OutdatedError):
        end_hire(hired, 1, seen, None, NOW)
    with pytest.raises(OutdatedError):
        move_hire(hired, 1, seen, to(hired), NOW)
    undo_last(hired)
    assert len(hires_booked(hired)) == 6


def test_a_pitch_that_gets_another_name_keeps_its_hires(hired: Store) -> None:
    """The series follows its ground by number: page, move and further dates go on."""
    with hired.write() as session:
        session.scalars(select(PitchRow).where(PitchRow.key == HALL)).one().name = "Big hall"
    assert "Big hall" in hires_booked(hired)[0][2]
    assert foresee_hire_move(hired, 1, to(hired), NOW).later.count == 5
    assert foresee_more(hired, 1, TUESDAY + 6 * WEEK, NOW).dates[0].is_open
