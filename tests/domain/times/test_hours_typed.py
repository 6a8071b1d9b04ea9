"""Hours that are typed, on nights when the clocks change in many places of the world."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from clubplanner.domain.times.hours_typed import TypedTimeError, range_typed, range_typed_until
from clubplanner.domain.times.times import TimeRange, clock_from_minute
from clubplanner.domain.times.zones import zone_from_name
from tests.builders import LONDON

SPRING, AUTUMN = date(2027, 3, 28), date(2027, 10, 31)
"""Nights of the European Union's directive 2000/84/EC (last Sundays, 01:00 UTC), and London's."""


def _utc(day: date, hour: int, minute: int = 0) -> datetime:
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=UTC)


def test_a_usual_evening() -> None:
    """Both ways to say it mean the same."""
    day = date(2026, 11, 25)
    expected = TimeRange(_utc(day, 18), _utc(day, 19, 30))
    assert range_typed(day, 18 * 60, 19 * 60 + 30, LONDON) == expected
    assert range_typed_until(day, 18 * 60, day, 19 * 60 + 30, LONDON) == expected


def test_an_end_before_the_start_is_of_the_next_day() -> None:
    """So a tournament into the night is typed."""
    day = date(2026, 11, 25)
    assert range_typed(day, 23 * 60, 60, LONDON).minutes == 120


@pytest.mark.parametrize("until", [18 * 60, 17 * 60])
def test_an_end_that_does_not_come_after_the_start(until: int) -> None:
    """Where the dates are typed, too, it is the end that is to be corrected."""
    day = date(2026, 11, 25)
    with pytest.raises(TypedTimeError, match="must come after the start") as told:
        range_typed_until(day, 18 * 60, day, until, LONDON)
    assert not told.value.is_start


@pytest.mark.parametrize(
    ("zone", "day", "before", "after", "shown"),
    [
        ("Europe/London", SPRING, 60, 120, "from 01:00 to 02:00"),
        ("Europe/Berlin", SPRING, 120, 180, "from 02:00 to 03:00"),
        ("Australia/Lord_Howe", date(2027, 10, 3), 120, 150, "from 02:00 to 02:30"),
        ("Asia/Beirut", SPRING, 0, 60, "from 00:00 to 01:00"),
        ("America/Scoresbysund", date(2027, 3, 27), 23 * 60, 24 * 60, "from 23:00 to 00:00"),
    ],
)
def test_a_time_that_does_not_come(
    zone: str, day: date, before: int, after: int, shown: str
) -> None:
    """What the clocks skip is told at the field in which it was typed; its edges come."""
    place = zone_from_name(zone)
    for minute in (before + 1, (before + after) // 2, after - 1):
        with pytest.raises(TypedTimeError, match=shown) as told:
            range_typed_until(day, minute, day, after + 60, place)
        assert told.value.is_start
        assert clock_from_minute(minute) in str(told.value)
        with pytest.raises(TypedTimeError, match=shown) as told:
            range_typed_until(day, before - 60, day, minute, place)
        assert not told.value.is_start
    whole = range_typed_until(day, before - 60, day, after + 60, place)
    assert whole.minutes == 120
    assert range_typed_until(day, before - 60, day, before, place).minutes == 60
    assert range_typed_until(day, before, day, after + 60, place).minutes == 60
    assert range_typed_until(day, after, day, after + 60, place).minutes == 60


def test_nothing_is_left_between_the_hours_that_are_skipped() -> None:
    """Both edges come, at the same moment."""
    with pytest.raises(TypedTimeError, match="Nothing is left") as told:
        range_typed(SPRING, 60, 120, LONDON)
    assert not told.value.is_start
    with pytest.raises(TypedTimeError, match="Nothing is left"):
        range_typed_until(SPRING, 60, SPRING, 120, LONDON)


def test_an_hour_that_comes_twice_is_the_first() -> None:
    """So it is everywhere (`instant_from_wall`)."""
    during = range_typed(AUTUMN, 30, 90, LONDON)
    assert during == TimeRange(_utc(AUTUMN - timedelta(days=1), 23, 30), _utc(AUTUMN, 0, 30))
    assert range_typed(AUTUMN, 90, 150, LONDON).minutes == 120


def test_past_midnight_it_is_the_next_days_clock() -> None:
    """The day is named on which it does not come."""
    with pytest.raises(TypedTimeError, match="01:30 does not come on Sunday 28 March 2027"):
        range_typed(SPRING - timedelta(days=1), 23 * 60, 90, LONDON)
