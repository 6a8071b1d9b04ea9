"""Hours as people type them: from when to when, on nights when the clocks change, too.

What is typed for one day is meant as it reads, so a time that the clocks skip that night is refused
and not read as another. What is written for every week (`range_left`) keeps what is left of it.
"""

from __future__ import annotations

from bisect import bisect_left
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_from_minute,
    day_in_words,
    instant_from_wall,
    minute_from_instant,
)
from clubplanner.language import _

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

MINUTE = timedelta(minutes=1)


class TypedTimeError(ValueError):
    """Hours that cannot be meant; says what to enter.

    Attributes:
        is_start: Whether the start is to be corrected, not the end.
    """

    def __init__(self, words: str, *, is_start: bool = False) -> None:
        super().__init__(words)
        self.is_start = is_start


def range_typed(day: date, start_min: int, end_min: int, zone: ZoneInfo) -> TimeRange:
    """Return the range between two minutes of a local date; an end before the start is next day's.

    Raises:
        TypedTimeError: If they are the same, or as with `range_typed_until`.
    """
    last = day + timedelta(days=end_min < start_min)
    return range_typed_until(day, start_min, last, end_min, zone)


def range_typed_until(
    first: date, start_min: int, last: date, end_min: int, zone: ZoneInfo
) -> TimeRange:
    """Return the range from a minute of one local date up to a minute of another.

    Raises:
        TypedTimeError: If the end does not come after the start, nothing is left between them, or
            the clocks skip one of them.
    """
    if (last - first).days * MINUTES_A_DAY + end_min <= start_min:
        raise TypedTimeError(_("The end must come after the start."))
    starts_at = instant_typed(first, start_min, zone, is_start=True)
    ends_at = instant_typed(last, end_min, zone)
    if ends_at <= starts_at:
        words = _("Nothing is left between these times: the clocks change there.")
        raise TypedTimeError(words)
    return TimeRange(starts_at, ends_at)


def instant_typed(day: date, minute: int, zone: ZoneInfo, *, is_start: bool = False) -> datetime:
    """Return the instant at which the wall clock shows a minute of a day, the first of two.

    The minute at which the clocks go forward is that instant, though they show another by then.

    Args:
        day: The local date.
        minute: Minutes after midnight, may reach into the next day.
        zone: The club's time zone.
        is_start: Whether something is to start then.

    Raises:
        TypedTimeError: If the clocks skip it.
    """
    instant = instant_from_wall(day, minute, zone)
    late = minute_from_instant(instant, day, zone) - minute
    change = minute - _minutes_since_change(instant, late, zone)
    if change == minute:
        return instant
    raise TypedTimeError(
        _(
            "%(clock)s does not come on %(day)s: the clocks go from %(before)s to %(after)s. "
            "Enter a time before or after that.",
            clock=_clock(minute),
            day=day_in_words(day + timedelta(days=minute // MINUTES_A_DAY)),
            before=_clock(change),
            after=_clock(change + late),
        ),
        is_start=is_start,
    )


def _minutes_since_change(instant: datetime, late: int, zone: ZoneInfo) -> int:
    """Return how long before an instant the clocks were put forward, 0 where they were not.

    Args:
        instant: Less than `late` minutes after the change.
        late: So many minutes the clocks went forward.
        zone: The zone.
    """
    offset = instant.astimezone(zone).utcoffset()
    return bisect_left(
        range(late),
        True,
        key=lambda back: (instant - (back + 1) * MINUTE).astimezone(zone).utcoffset() != offset,
    )


def _clock(minute: int) -> str:
    return clock_from_minute(minute % MINUTES_A_DAY)
