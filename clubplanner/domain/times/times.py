"""Clock times, windows and ranges. Every range is half-open: the end belongs to what follows.

A *minute* counts from local midnight on the wall clock (17:30 is 1050); past 1440 it is the next
day. Instants are aware datetimes in UTC.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import lru_cache
from typing import TYPE_CHECKING

from clubplanner.language import _, date_in_words, marked, sentence, short_weekday

if TYPE_CHECKING:
    from collections.abc import Iterator
    from zoneinfo import ZoneInfo

WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
"""As files have them; people read `weekday_in_words`."""
MINUTES_A_DAY = 24 * 60
END_OF_DAY = "24:00"
"""How midnight reads where it ends something; where something begins it reads 00:00."""

_CLOCK = re.compile(r"^\s*(\d{1,2})[:.](\d{2})\s*$")


@dataclass(frozen=True, slots=True, order=True)
class TimeRange:
    """A stretch of time from an instant up to, not including, another.

    Raises:
        ValueError: If an end is naive or the range is empty or runs backwards.
    """

    starts_at: datetime
    ends_at: datetime

    def __post_init__(self) -> None:
        if self.starts_at.tzinfo is None or self.ends_at.tzinfo is None:
            raise ValueError("A time range needs instants with a time zone.")
        if self.ends_at <= self.starts_at:
            raise ValueError("The end must come after the start.")

    def overlaps(self, other: TimeRange) -> bool:
        """Tell whether the ranges share a moment; ranges that touch do not."""
        return self.starts_at < other.ends_at and other.starts_at < self.ends_at

    def contains(self, instant: datetime) -> bool:
        """Tell whether the instant lies in the range: start included, end not."""
        return self.starts_at <= instant < self.ends_at

    @property
    def minutes(self) -> int:
        """Length in whole minutes, real time."""
        return int((self.ends_at - self.starts_at).total_seconds() // 60)


@dataclass(frozen=True, slots=True, order=True)
class Window:
    """A part of a weekday on the wall clock.

    Attributes:
        weekday: 0 is Monday.
        start_min: First minute after midnight.
        end_min: Minute at which it is over.
    """

    weekday: int
    start_min: int
    end_min: int

    def __str__(self) -> str:
        day = short_weekday(self.weekday)
        return f"{day} {clock_from_minute(self.start_min)}-{clock_from_minute(self.end_min)}"


def minute_from_clock(text: str) -> int:
    """Read "17:30" (or "17.30", or "24:00") as minutes after midnight.

    Raises:
        ValueError: With a message that says what to write, if it is no time of day.
    """
    match = _CLOCK.match(text)
    if match:
        minute = int(match[1]) * 60 + int(match[2])
        if int(match[2]) < 60 and minute <= MINUTES_A_DAY:
            return minute
    raise ValueError(_("“%(words)s” is not a time of day; write it like 17:30", words=text.strip()))


def clock_from_minute(minute: int) -> str:
    """Write minutes after midnight as "17:30"; past midnight it starts again at 00:00."""
    if minute == MINUTES_A_DAY:
        return END_OF_DAY
    return f"{minute // 60 % 24:02d}:{minute % 60:02d}"


@lru_cache(maxsize=20_000)
def instant_from_wall(day: date, minute: int, zone: ZoneInfo) -> datetime:
    """Return the UTC instant at which the wall clock shows a minute of a day.

    On the night the clocks go back the first of the two is meant; a time that the clocks skip in
    spring is read with the offset before the change, so it lands as much later as was skipped.

    Args:
        day: The local date.
        minute: Minutes after midnight, may reach into the next day.
        zone: The venue's time zone.
    """
    wall = datetime.combine(day + timedelta(days=minute // MINUTES_A_DAY), datetime.min.time())
    wall += timedelta(minutes=minute % MINUTES_A_DAY)
    return wall.replace(tzinfo=zone).astimezone(UTC)


def start_of_day(instant: datetime, zone: ZoneInfo) -> datetime:
    """Return the local midnight at which the day of an instant began."""
    return instant_from_wall(instant.astimezone(zone).date(), 0, zone)


def end_of_day(instant: datetime, zone: ZoneInfo) -> datetime:
    """Return the local midnight that ends the day of what lasts up to an instant.

    What ends at midnight belongs to the day before.
    """
    last = (instant - timedelta(microseconds=1)).astimezone(zone).date()
    return instant_from_wall(last, MINUTES_A_DAY, zone)


def range_from_wall(day: date, start_min: int, end_min: int, zone: ZoneInfo) -> TimeRange:
    """Return the real range between two wall-clock minutes of a local date.

    Raises:
        ValueError: If nothing is left between them (an hour the clocks skip).
    """
    return TimeRange(instant_from_wall(day, start_min, zone), instant_from_wall(day, end_min, zone))


def range_left(day: date, start_min: int, end_min: int, zone: ZoneInfo) -> TimeRange | None:
    """Return the real range between two wall-clock minutes of a date, the end after the start.

    Returns:
        None where the clocks skip all of it.
    """
    start, end = (instant_from_wall(day, minute, zone) for minute in (start_min, end_min))
    return TimeRange(start, end) if start < end else None


def minute_from_instant(instant: datetime, day: date, zone: ZoneInfo) -> int:
    """Return the wall-clock minute of an instant, counted from midnight of `day`."""
    wall = instant.astimezone(zone)
    return (wall.date() - day).days * MINUTES_A_DAY + wall.hour * 60 + wall.minute


def clock_in_zone(instant: datetime, zone: ZoneInfo) -> str:
    """Write the local time of an instant as "17:30"."""
    wall = instant.astimezone(zone)
    return f"{wall.hour:02}:{wall.minute:02}"


def end_clock_in_zone(instant: datetime, zone: ZoneInfo) -> str:
    """Write when a stretch of hours ends, midnight as "24:00" of the day that it ends.

    Whatever begins at midnight begins at "00:00" (`clock_in_zone`): so both are of one day, and
    hours read as they are typed.
    """
    clock = clock_in_zone(instant, zone)
    return END_OF_DAY if clock == "00:00" else clock


def day_in_words(day: date) -> str:
    """Write a date as "Wednesday 25 November 2026"."""
    return date_in_words(day, marked("EEEE d MMMM y"))


def when_in_words(day: date, today: date | None) -> str:
    """Say when something is, as it goes on in a sentence: "today", "on Wednesday 25 November 2026".

    Args:
        day: The local date.
        today: The local date of whoever reads it; None where it may be read on any day.
    """
    near = near_day(day, today)
    return _("on %(day)s", day=day_in_words(day)) if near is None else near


def day_from_today(day: date, today: date | None) -> str:
    """Write a date as "Wednesday 25 November 2026", after "Today" or "Tomorrow" if it is that.

    Args:
        day: The local date.
        today: The local date of whoever reads it; None where it may be read on any day.
    """
    near = near_day(day, today)
    return day_in_words(day) if near is None else f"{sentence(near)}, {day_in_words(day)}"


def short_day_from_today(day: date, today: date | None) -> str:
    """Write a date as "today", "tomorrow" or "Wed 25 Nov".

    Args:
        day: The local date.
        today: The local date of whoever reads it; None where it may be read on any day.
    """
    near = near_day(day, today)
    return short_day(day) if near is None else near


def near_day(day: date, today: date | None) -> str | None:
    """Return "today" or "tomorrow" where a date is that; else None."""
    if today is None:
        return None
    return {0: _("today"), 1: _("tomorrow")}.get((day - today).days)


def short_day(day: date) -> str:
    """Write a date as "Wed 25 Nov"."""
    return date_in_words(day, marked("EEE d MMM"))


def day_in_short(day: date) -> str:
    """Write a date as "Wed 25 Nov 2026"."""
    return date_in_words(day, marked("EEE d MMM y"))


def day_and_month(day: date) -> str:
    """Write a date as "25 Nov"."""
    return date_in_words(day, marked("d MMM"))


def day_month_year(day: date) -> str:
    """Write a date as "25 Nov 2026"."""
    return date_in_words(day, marked("d MMM y"))


def moment_in_words(instant: datetime, zone: ZoneInfo) -> str:
    """Write the local date and time of an instant as "Wed 25 Nov 2026, 17:30"."""
    wall = instant.astimezone(zone)
    return f"{day_in_short(wall.date())}, {wall:%H:%M}"


def short_moment(instant: datetime, zone: ZoneInfo) -> str:
    """Write the local date and time of an instant as "25 Nov, 17:30"."""
    wall = instant.astimezone(zone)
    return f"{day_and_month(wall.date())}, {wall:%H:%M}"


def each_date(first: date, last: date) -> Iterator[date]:
    """Yield every date from first to last, both included; none when last is earlier."""
    for offset in range((last - first).days + 1):
        yield first + timedelta(days=offset)
