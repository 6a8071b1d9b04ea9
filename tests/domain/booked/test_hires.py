"""When a hire is: its dates, its times on nights on which the clocks change, and what is wrong."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from dateutil.rrule import WEEKLY, rrule  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.booked.hires import MOST_DATES, HireTimes, rhythm_in_words
from tests.builders import A_WEDNESDAY, LONDON

SPRING, AUTUMN = date(2027, 3, 28), date(2027, 10, 31)
"""Sundays on which the clocks change in the United Kingdom (Summer Time Order 2002)."""
TIMES = HireTimes(A_WEDNESDAY, A_WEDNESDAY + timedelta(weeks=4), 1, 18 * 60, 19 * 60)


@given(
    first=st.dates(date(2020, 1, 1), date(2030, 1, 1)),
    days=st.integers(0, 760),
    every=st.sampled_from((1, 2)),
)
def test_dates_are_those_of_a_weekly_rule(first: date, days: int, every: int) -> None:
    """The dates are those that dateutil, which shares no code, gives for the same rule."""
    last = first + timedelta(days=days)
    times = replace(TIMES, first_on=first, last_on=last, every_weeks=every)
    known = rrule(WEEKLY, interval=every, dtstart=first, until=last)
    assert times.dates == tuple(one.date() for one in known)


def test_a_night_on_which_the_clocks_change_keeps_its_times_on_the_wall() -> None:
    """From 22 to 3 o'clock lasts four hours in spring and six in autumn."""
    over = replace(TIMES, start_min=22 * 60, end_min=27 * 60)
    saturday = timedelta(days=1)
    lengths = []
    for day in (A_WEDNESDAY, SPRING - saturday, AUTUMN - saturday):
        during = over.during(day, LONDON)
        assert during is not None
        assert f"{during.ends_at.astimezone(LONDON):%H:%M}" == "03:00"
        lengths.append(during.minutes)
    assert lengths == [300, 240, 360]


def test_an_hour_that_the_clocks_skip_is_no_time() -> None:
    """From 1 to 2 o'clock on the night in spring there is nothing left."""
    skipped = replace(TIMES, start_min=60, end_min=120)
    assert skipped.during(SPRING, LONDON) is None
    assert skipped.during(AUTUMN, LONDON) is not None


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"last_on": A_WEDNESDAY - timedelta(days=1)}, "last", "must not lie before"),
        ({"every_weeks": 3}, "every", "every second week"),
        ({"last_on": A_WEDNESDAY + timedelta(weeks=MOST_DATES)}, "last", "111 dates"),
        ({"end_min": 18 * 60}, "to", "must come after"),
        ({"end_min": 18 * 60 + 1441}, "to", "at most a day"),
    ],
)
def test_what_no_hire_can_be_is_told_at_its_field(
    changes: dict[str, object], field: str, words: str
) -> None:
    """Each fault names the field and says what to do; a hire as it should be has none."""
    assert TIMES.fault is None
    fault = replace(TIMES, **changes).fault  # type: ignore[arg-type]
    assert fault is not None
    assert fault[0] == field
    assert words in fault[1]


def test_the_rhythm_is_told() -> None:
    """A series names its weekday and how often, a single date only its times; 25:00 is 01:00."""
    assert rhythm_in_words(5, 1, 1, 1080, 1170) == "Tuesday 18:00–19:30, every week"
    assert rhythm_in_words(5, 1, 2, 1080, 1170) == "Tuesday 18:00–19:30, every 2 weeks"
    assert rhythm_in_words(1, 1, 1, 1380, 1500) == "23:00–01:00"
