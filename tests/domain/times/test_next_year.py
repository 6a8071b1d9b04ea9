"""Dates of a season moved to the next: weekdays, leap years, holidays that move by themselves."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from dateutil.easter import easter  # type: ignore[import-untyped]
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.times.next_year import (
    MovedBreak,
    move_break,
    name_on,
    same_weekday_of_month,
    weeks_on,
    years_on,
)
from clubplanner.domain.times.seasons import Break
from clubplanner.domain.times.year import Holiday, public_holidays

DAYS = st.dates(date(2000, 1, 1), date(2090, 12, 31))


@given(DAYS, st.integers(1, 5))
def test_the_first_monday_stays_the_first_monday(day: date, years: int) -> None:
    """The same weekday of the same month, years on; whole weeks away."""
    moved = same_weekday_of_month(day, years)
    assert (moved.weekday(), moved.month, moved.year) == (
        day.weekday(),
        day.month,
        day.year + years,
    )
    assert moved == day + timedelta(weeks=weeks_on(day, years))
    assert (moved.day - 1) // 7 in ((day.day - 1) // 7, 3)


def test_a_season_does_not_creep_towards_the_spring() -> None:
    """Year by year for a century: still the first Monday of September."""
    day = date(2026, 9, 7)
    for _year in range(100):
        day = same_weekday_of_month(day, 1)
    assert (day.weekday(), day.month) == (0, 9)
    assert day.day <= 7
    assert weeks_on(date(2031, 9, 1)) == 53


def test_the_leap_day_needs_no_leap_year() -> None:
    """The fifth Tuesday of February is the last one where there are four; and no day is lost."""
    assert same_weekday_of_month(date(2028, 2, 29), 1) == date(2029, 2, 27)
    assert same_weekday_of_month(date(2027, 3, 1), 1) == date(2028, 3, 6)
    assert same_weekday_of_month(date(2027, 2, 22), 1) == date(2028, 2, 28)


def test_a_season_left_out_is_not_proposed() -> None:
    """The next season is the first that is not over; a calendar year moves like any other."""
    season = date(2026, 2, 2), date(2026, 9, 25)
    assert years_on(*season, date(2026, 11, 1)) == 1
    assert years_on(*season, date(2027, 9, 24)) == 1
    assert years_on(*season, date(2028, 1, 10)) == 2


@pytest.mark.parametrize("year", range(2026, 2040))
def test_an_easter_break_follows_easter(year: int) -> None:
    """Good Friday to the Friday after, in every year, by the computus of python-dateutil."""
    before = public_holidays("GB", "ENG", date(year, 1, 1), date(year, 12, 31))
    after = public_holidays("GB", "ENG", date(year + 1, 1, 1), date(year + 1, 12, 31))
    sunday, again = easter(year), easter(year + 1)
    gap = Break("Easter", sunday - timedelta(days=2), sunday + timedelta(days=5))
    moved = move_break(gap, weeks_on(date(year - 1, 9, 7)), before, after)
    assert moved.starts_on <= again - timedelta(days=2)
    assert moved.ends_on >= again + timedelta(days=1)
    assert moved.ends_on - moved.starts_on == gap.ends_on - gap.starts_on
    assert moved.starts_on.weekday() == gap.starts_on.weekday()


def test_a_break_of_one_holiday_goes_where_the_holiday_goes() -> None:
    """Christmas Day is a date, the early May bank holiday a Monday (gov.uk/bank-holidays)."""
    before = public_holidays("GB", "ENG", date(2026, 9, 1), date(2027, 7, 1))
    after = public_holidays("GB", "ENG", date(2027, 9, 1), date(2028, 7, 1))
    may = Break("May", date(2027, 5, 3), date(2027, 5, 3))
    assert move_break(may, 52, before, after) == MovedBreak(date(2028, 5, 1), date(2028, 5, 1))
    day = Break("Christmas", date(2026, 12, 25), date(2026, 12, 25))
    assert move_break(day, 52, before, after).starts_on == date(2027, 12, 25)


def test_other_breaks_keep_their_weekdays() -> None:
    """A week in February is a week; without a country nothing is known of holidays."""
    half_term = Break("Half term", date(2027, 2, 15), date(2027, 2, 19))
    moved = move_break(half_term, 52, (), ())
    assert moved == MovedBreak(date(2028, 2, 14), date(2028, 2, 18))


def test_a_break_grows_around_a_holiday_that_leaves_it() -> None:
    """From Christmas Eve on for three days: Boxing Day still lies in it, and it is said."""
    before = [Holiday(date(2026, 12, 26), "Boxing Day")]
    after = [Holiday(date(2027, 12, 26), "Boxing Day")]
    gap = Break("Christmas", date(2026, 12, 24), date(2026, 12, 26))
    moved = move_break(gap, 52, before, after)
    assert (moved.starts_on, moved.ends_on) == (date(2027, 12, 23), date(2027, 12, 26))
    assert "Made longer" in moved.doubt


def test_a_holiday_that_is_gone_is_told() -> None:
    """The break moves with the season, and somebody looks."""
    gap = Break("Jubilee", date(2027, 6, 3), date(2027, 6, 3))
    moved = move_break(gap, 52, [Holiday(gap.starts_on, "Jubilee")], [])
    assert moved.starts_on == date(2028, 6, 1)
    assert "not among the public holidays" in moved.doubt


@pytest.mark.parametrize(
    ("name", "becomes"),
    [
        ("Autumn", "Autumn 2027/28"),
        ("Autumn 2026", "Autumn 2027"),
        ("Winter 2026/27", "Winter 2027/28"),
        ("Winter 2026/2027", "Winter 2027/2028"),
        ("Hinrunde 26/27", "Hinrunde 27/28"),
        ("99/00", "00/01"),
        ("Spring 2026–27", "Spring 2027–28"),
        ("Term 3", "Term 3 2027/28"),
    ],
)
def test_years_in_names_move(name: str, becomes: str) -> None:
    """A name without a year gets one, so that last season's keeps its own."""
    assert name_on(name, 1, date(2027, 10, 25), date(2028, 3, 24)) == becomes
