"""Wall clocks on the nights they change, against the IANA time zone database."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from clubplanner.domain.times.times import (
    clock_in_zone,
    instant_from_wall,
    minute_from_clock,
    minute_from_instant,
    range_from_wall,
)

# IANA time zone database, files europe, northamerica and australasia: the instant of the change,
# the clock before and the clock after.
CHANGES = [
    ("Europe/London", datetime(2026, 3, 29, 1, tzinfo=UTC), "01:00", "02:00"),
    ("Europe/London", datetime(2027, 3, 28, 1, tzinfo=UTC), "01:00", "02:00"),
    ("Europe/London", datetime(2026, 10, 25, 1, tzinfo=UTC), "02:00", "01:00"),
    ("Europe/London", datetime(2027, 10, 31, 1, tzinfo=UTC), "02:00", "01:00"),
    ("America/New_York", datetime(2026, 3, 8, 7, tzinfo=UTC), "02:00", "03:00"),
    ("America/New_York", datetime(2027, 3, 14, 7, tzinfo=UTC), "02:00", "03:00"),
    ("America/New_York", datetime(2026, 11, 1, 6, tzinfo=UTC), "02:00", "01:00"),
    ("America/New_York", datetime(2027, 11, 7, 6, tzinfo=UTC), "02:00", "01:00"),
    ("Australia/Sydney", datetime(2026, 10, 3, 16, tzinfo=UTC), "02:00", "03:00"),
    ("Australia/Sydney", datetime(2026, 4, 4, 16, tzinfo=UTC), "03:00", "02:00"),
]


@pytest.mark.parametrize(("name", "at", "before", "after"), CHANGES)
def test_the_clock_changes_at_the_published_instant(
    name: str, at: datetime, before: str, after: str
) -> None:
    """A second before the change shows the old time, the change itself the new one."""
    zone = ZoneInfo(name)
    last_minute = minute_from_clock(before) - 1
    assert clock_in_zone(at - timedelta(seconds=1), zone) == f"{last_minute // 60:02d}:59"
    assert clock_in_zone(at, zone) == after


@pytest.mark.parametrize(("name", "at", "before", "after"), CHANGES)
def test_an_evening_session_keeps_its_time_on_the_wall(
    name: str, at: datetime, before: str, after: str
) -> None:
    """18:30 stays 18:30 the evenings before and after the change; its instant moves an hour."""
    zone = ZoneInfo(name)
    changes_on = at.astimezone(zone).date()
    eve = instant_from_wall(changes_on - timedelta(days=1), 18 * 60 + 30, zone)
    same = instant_from_wall(changes_on, 18 * 60 + 30, zone)
    assert clock_in_zone(eve, zone) == clock_in_zone(same, zone) == "18:30"
    moved = timedelta(minutes=minute_from_clock(after) - minute_from_clock(before))
    assert same - eve == timedelta(days=1) - moved


@pytest.mark.parametrize(("name", "at", "before", "after"), CHANGES)
def test_a_night_across_the_change_has_its_real_length(
    name: str, at: datetime, before: str, after: str
) -> None:
    """From midnight to 06:00 is five hours in spring and seven in autumn."""
    zone = ZoneInfo(name)
    night = range_from_wall(at.astimezone(zone).date(), 0, 360, zone)
    moved = minute_from_clock(after) - minute_from_clock(before)
    assert night.minutes == 360 - moved


def test_a_repeated_time_is_the_first_of_the_two() -> None:
    """01:30 on the London autumn night is meant before the clocks go back."""
    zone = ZoneInfo("Europe/London")
    instant = instant_from_wall(date(2026, 10, 25), 90, zone)
    assert instant == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)
    later = instant + timedelta(hours=1)
    assert clock_in_zone(later, zone) == "01:30"
    assert minute_from_instant(later, date(2026, 10, 25), zone) == 90


def test_a_skipped_time_lands_after_the_gap() -> None:
    """01:30 on the London spring night becomes 02:30, as much later as was skipped."""
    zone = ZoneInfo("Europe/London")
    instant = instant_from_wall(date(2026, 3, 29), 90, zone)
    assert instant == datetime(2026, 3, 29, 1, 30, tzinfo=UTC)
    assert clock_in_zone(instant, zone) == "02:30"


def test_a_session_in_the_skipped_hour_that_has_no_time_left_is_refused() -> None:
    """01:30 to 02:15 on the London spring night would run backwards."""
    with pytest.raises(ValueError, match="end must come after the start"):
        range_from_wall(date(2026, 3, 29), 90, 135, ZoneInfo("Europe/London"))


def test_dublin_keeps_its_wall_time_though_its_summer_is_the_standard() -> None:
    """Europe/Dublin has `dst()` of 0 in summer (IANA, file europe), and 18:30 is 17:30 UTC."""
    zone = ZoneInfo("Europe/Dublin")
    summer = instant_from_wall(date(2026, 7, 1), 18 * 60 + 30, zone)
    winter = instant_from_wall(date(2026, 12, 1), 18 * 60 + 30, zone)
    assert summer.astimezone(zone).dst() == timedelta(0)
    assert (summer.hour, winter.hour) == (17, 18)


def test_half_an_hour_of_change_is_kept() -> None:
    """Lord Howe Island changes by thirty minutes (IANA, file australasia)."""
    zone = ZoneInfo("Australia/Lord_Howe")
    night = range_from_wall(date(2026, 4, 5), 0, 360, zone)
    assert night.minutes == 390
