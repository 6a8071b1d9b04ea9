"""The rule of opening hours."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.times.opening_hours import opening_hours
from tests.builders import A_WEDNESDAY, make_venue
from tests.domain.rules.builders import (
    CHANGES,
    make_case,
    make_hire,
    make_match,
    make_scene,
    words_of,
)

if TYPE_CHECKING:
    from datetime import date

OPEN = make_scene(venues=[make_venue(opening="Wed 17:00-22:00; Fri 20:00-24:00; Sun 00:00-04:00")])


@pytest.mark.parametrize(
    ("start_min", "end_min", "is_refused"),
    [
        (1020, 1080, False),  # from the minute at which it opens
        (1260, 1320, False),  # to the minute at which it closes
        (1019, 1080, True),
        (1260, 1321, True),
        (180, 240, True),  # at 03:00 in the night
        (1080, 1500, True),  # past midnight
    ],
)
def test_a_session_lies_wholly_in_the_hours(
    start_min: int, end_min: int, *, is_refused: bool
) -> None:
    """Both ends may touch the hours; a minute more on either side is refused."""
    case = make_case(OPEN, start_min=start_min, end_min=end_min)
    expected = "Marsh Lane is open 17:00–22:00 on a Wednesday." if is_refused else ""
    assert words_of(opening_hours, case) == expected


def test_a_weekday_without_hours_is_closed_to_everybody() -> None:
    """Training, match and hire alike, whether or not anybody asked for the day."""
    day = A_WEDNESDAY.replace(day=26)
    for case in (make_case(OPEN, day=day), make_match(OPEN, day=day), make_hire(OPEN, day=day)):
        assert words_of(opening_hours, case) == "Marsh Lane is closed on a Thursday."
    assert make_hire(OPEN).purpose is Purpose.HIRE
    assert opening_hours(make_hire(OPEN)) is None


def test_hours_may_end_at_midnight() -> None:
    """On a Friday until 24:00: the last hour is open, the hour after is another day's."""
    friday = A_WEDNESDAY.replace(day=27)
    assert opening_hours(make_case(OPEN, day=friday, start_min=1380, end_min=1440)) is None
    assert opening_hours(make_case(OPEN, day=friday, start_min=1380, end_min=1470)) is not None


@pytest.mark.parametrize("day", CHANGES)
def test_hours_are_those_of_the_wall_clock_on_nights_of_change(day: date) -> None:
    """From 00:00 to 04:00 is open whether that is three hours or five."""
    assert opening_hours(make_case(OPEN, day=day, start_min=0, end_min=240)) is None
    late = make_case(OPEN, day=day, start_min=0, end_min=241)
    assert words_of(opening_hours, late) == "Marsh Lane is open 00:00–04:00 on a Sunday."
