"""Clock times, instants and half-open ranges."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    WEEKDAYS,
    TimeRange,
    Window,
    clock_from_minute,
    clock_in_zone,
    day_and_month,
    day_in_short,
    day_in_words,
    day_month_year,
    each_date,
    end_clock_in_zone,
    instant_from_wall,
    minute_from_clock,
    minute_from_instant,
    moment_in_words,
    range_from_wall,
    range_left,
    short_day,
    short_moment,
)
from tests.builders import LONDON
from tests.strategies import time_ranges, zones

if TYPE_CHECKING:
    from collections.abc import Callable

SIX = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
HOUR = timedelta(hours=1)


@given(one=time_ranges(), other=time_ranges())
def test_ranges_overlap_exactly_when_they_share_a_minute(one: TimeRange, other: TimeRange) -> None:
    """Overlap is symmetric and agrees with looking at every minute."""
    minutes = (one.starts_at + timedelta(minutes=n) for n in range(one.minutes))
    assert one.overlaps(other) == any(other.contains(minute) for minute in minutes)
    assert one.overlaps(other) == other.overlaps(one)
    assert one.overlaps(one)


def test_ranges_that_touch_do_not_overlap() -> None:
    """A range that starts when another ends leaves it alone."""
    first, second = TimeRange(SIX, SIX + HOUR), TimeRange(SIX + HOUR, SIX + 2 * HOUR)
    assert not first.overlaps(second)
    assert not second.overlaps(first)


def test_a_range_holds_its_start_and_not_its_end() -> None:
    """The end belongs to what follows."""
    during = TimeRange(SIX, SIX + HOUR)
    assert during.contains(SIX)
    assert during.contains(SIX + HOUR - timedelta(microseconds=1))
    assert not during.contains(SIX + HOUR)
    assert not during.contains(SIX - timedelta(microseconds=1))
    assert during.minutes == 60


@pytest.mark.parametrize("ends_at", [SIX, SIX - HOUR])
def test_an_empty_or_backward_range_is_refused(ends_at: datetime) -> None:
    """The end must come after the start."""
    with pytest.raises(ValueError, match="end must come after the start"):
        TimeRange(SIX, ends_at)


def test_an_instant_without_a_zone_is_refused() -> None:
    """Either end without a time zone is refused."""
    naive = SIX.replace(tzinfo=None)
    for ends in ((naive, SIX + HOUR), (SIX, naive + HOUR), (naive, naive + HOUR)):
        with pytest.raises(ValueError, match="time zone"):
            TimeRange(*ends)


@pytest.mark.parametrize(
    ("text", "minute"),
    [("17:30", 1050), ("17.30", 1050), (" 9:05 ", 545), ("00:00", 0), ("24:00", 1440)],
)
def test_a_time_of_day_is_read(text: str, minute: int) -> None:
    """Colon or point, with or without a leading nought, midnight at both ends."""
    assert minute_from_clock(text) == minute


@pytest.mark.parametrize(
    "text", ["", "17", "24:01", "25:00", "12:60", "-1:00", "half six", "6pm", "17:3", "17:300"]
)
def test_what_is_no_time_of_day_is_refused_with_an_example(text: str) -> None:
    """The message repeats what was written and shows how to write it."""
    with pytest.raises(ValueError, match="is not a time of day; write it like 17:30"):
        minute_from_clock(text)


@given(minute=st.integers(0, MINUTES_A_DAY))
def test_a_written_time_reads_back(minute: int) -> None:
    """Every minute of the day survives writing and reading."""
    assert minute_from_clock(clock_from_minute(minute)) == minute


def test_past_midnight_the_clock_starts_again() -> None:
    """Minute 1500 is 01:00; minute 1440 is written 24:00."""
    assert clock_from_minute(1500) == "01:00"
    assert clock_from_minute(1440) == "24:00"


def test_a_window_is_written_with_its_day() -> None:
    """A window reads like an entry in a diary."""
    assert str(Window(2, 1050, 1140)) == "Wed 17:30-19:00"


@given(
    zone=zones(),
    day=st.dates(date(2020, 1, 1), date(2035, 12, 31)),
    minute=st.integers(5 * 60, 30 * 60),
)
def test_the_wall_shows_the_minute_that_was_meant(zone: ZoneInfo, day: date, minute: int) -> None:
    """From 05:00 to 05:59 the next day every minute but those of the skipped hour is shown."""
    instant = instant_from_wall(day, minute, zone)
    assert instant.tzinfo is UTC
    shown = minute_from_instant(instant, day, zone)
    assert shown == minute or (shown > minute and shown - minute in (30, 60))
    if minute < MINUTES_A_DAY:
        assert shown == minute
        assert clock_in_zone(instant, zone) == clock_from_minute(minute)


def test_minutes_reach_into_the_next_and_the_previous_day() -> None:
    """Minute 1500 is 01:00 of the next day, minute −30 is 23:30 of the day before."""
    day = date(2026, 12, 31)
    assert instant_from_wall(day, 1500, LONDON) == datetime(2027, 1, 1, 1, tzinfo=UTC)
    assert instant_from_wall(day, -30, LONDON) == datetime(2026, 12, 30, 23, 30, tzinfo=UTC)
    assert minute_from_instant(datetime(2027, 1, 1, 1, tzinfo=UTC), day, LONDON) == 1500


def test_a_session_over_midnight_is_one_range() -> None:
    """23:30 to 00:30 the next day is an hour."""
    assert range_from_wall(date(2026, 6, 5), 1410, 1470, LONDON).minutes == 60


def test_a_date_is_written_in_words() -> None:
    """Weekday, day without a leading nought, month, year."""
    assert day_in_words(date(2026, 11, 25)) == "Wednesday 25 November 2026"
    assert day_in_words(date(2027, 3, 7)) == "Sunday 7 March 2027"


def test_dates_run_from_first_to_last_both_included() -> None:
    """Across a leap day, a single date, and none when last is earlier."""
    leap = tuple(each_date(date(2028, 2, 28), date(2028, 3, 1)))
    assert leap == (date(2028, 2, 28), date(2028, 2, 29), date(2028, 3, 1))
    assert tuple(each_date(date(2026, 1, 1), date(2026, 1, 1))) == (date(2026, 1, 1),)
    assert tuple(each_date(date(2026, 1, 2), date(2026, 1, 1))) == ()


def test_ranges_sort_by_their_start_and_windows_by_their_day() -> None:
    """Lists of either are put in order without being told how."""
    first, second = TimeRange(SIX, SIX + 3 * HOUR), TimeRange(SIX + HOUR, SIX + 2 * HOUR)
    assert sorted([second, first]) == [first, second]
    assert sorted([Window(3, 0, 60), Window(2, 600, 660)])[0] == Window(2, 600, 660)


def test_only_whole_minutes_count() -> None:
    """A minute and 59 seconds is a minute, and a number without a fraction."""
    during = TimeRange(SIX, SIX + timedelta(seconds=119))
    assert during.minutes == 1
    assert isinstance(during.minutes, int)


@pytest.mark.parametrize("text", [" 24:01 ", " half six "])
def test_the_message_repeats_what_was_written(text: str) -> None:
    """Without the blanks round it."""
    with pytest.raises(ValueError, match=f"^“{text.strip()}” is not a time of day"):
        minute_from_clock(text)


def test_past_two_midnights_the_clock_starts_again_twice() -> None:
    """Minute 2881 is a minute past midnight."""
    assert clock_from_minute(2881) == "00:01"


def test_weekdays_have_the_names_of_the_files() -> None:
    """Files name days by these words, so they stay as they are."""
    in_order = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday"
    assert " ".join(WEEKDAYS) == in_order


@pytest.mark.parametrize(
    ("write", "words"),
    [
        (day_in_words, "Saturday 7 March 2026"),
        (short_day, "Sat 7 Mar"),
        (day_in_short, "Sat 7 Mar 2026"),
        (day_and_month, "7 Mar"),
        (day_month_year, "7 Mar 2026"),
    ],
)
def test_each_way_to_write_a_date(write: Callable[[date], str], words: str) -> None:
    """Weekday and year where they are promised, the day without a leading nought."""
    assert write(date(2026, 3, 7)) == words


def test_a_moment_is_written_as_the_wall_shows_it() -> None:
    """Local date and time, also where the date is another than in UTC."""
    late = datetime(2026, 6, 4, 23, 5, tzinfo=UTC)
    assert moment_in_words(late, LONDON) == "Fri 5 Jun 2026, 00:05"
    assert short_moment(late, LONDON) == "5 Jun, 00:05"


def test_midnight_ends_a_day_as_24_and_begins_one_as_00() -> None:
    """On the club's own clock, whatever it is elsewhere."""
    midnight = datetime(2026, 6, 30, 22, tzinfo=UTC)
    berlin = ZoneInfo("Europe/Berlin")
    assert end_clock_in_zone(midnight, berlin) == "24:00"
    assert clock_in_zone(midnight, berlin) == "00:00"
    assert end_clock_in_zone(midnight, ZoneInfo("Etc/UTC")) == "22:00"


def test_of_an_hour_that_the_clocks_skip_nothing_is_left() -> None:
    """None of the skipped hour itself; of two hours with it the one that there is."""
    spring = date(2027, 3, 28)
    assert range_left(spring, 60, 120, LONDON) is None
    left = range_left(spring, 60, 180, LONDON)
    assert left is not None
    assert left.minutes == 60
