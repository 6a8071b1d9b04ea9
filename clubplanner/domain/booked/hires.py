"""Hires: ground for somebody from outside, on one date or in a series of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    clock_from_minute,
    range_left,
)
from clubplanner.language import _, ngettext, weekday_in_words

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

DAYS_A_WEEK = 7
EVERY_WEEKS = (1, 2)
MOST_DATES = 110
"""Of one hire: two years, week by week."""


@dataclass(frozen=True, slots=True)
class HireTimes:
    """When a hire is.

    Attributes:
        first_on: Its first local date, which gives the weekday.
        last_on: No date lies after it; the first date itself for a hire of one date.
        every_weeks: Weeks from one date to the next, 1 or 2.
        start_min: Minute of the local day at which it begins.
        end_min: Minute at which it is over; more than 1440 after midnight.
    """

    first_on: date
    last_on: date
    every_weeks: int
    start_min: int
    end_min: int

    @property
    def fault(self) -> tuple[str, str] | None:
        """What is wrong with it: the field, and what to do; None for nothing."""
        if self.last_on < self.first_on:
            return "last", _("The last date must not lie before the first.")
        if self.every_weeks not in EVERY_WEEKS:
            return "every", _("Choose every week, or every second week.")
        if len(self.dates) > MOST_DATES:
            return "last", _(
                "These are %(count)s dates; end the series after at most %(most)s, and make it "
                "longer later.",
                count=len(self.dates),
                most=MOST_DATES,
            )
        if self.end_min <= self.start_min:
            return "to", _("The end must come after the start.")
        if self.end_min - self.start_min > MINUTES_A_DAY:
            return "to", _("A booking lasts at most a day; book each day by itself.")
        return None

    @property
    def dates(self) -> tuple[date, ...]:
        """Every local date on which it begins, in order."""
        step = DAYS_A_WEEK * self.every_weeks
        days = range(0, (self.last_on - self.first_on).days + 1, step)
        return tuple(self.first_on + timedelta(days=n) for n in days)

    def during(self, day: date, zone: ZoneInfo) -> TimeRange | None:
        """Return when it is on a date; None where the clocks skip all of it."""
        return range_left(day, self.start_min, self.end_min, zone)


def rhythm_in_words(
    count: int, weekday: int, every_weeks: int, start_min: int, end_min: int
) -> str:
    """Write when the dates of a hire are: "Tuesdays 18:00–19:30, every second week".

    Args:
        count: How many dates it has; of one alone only the times are told.
        weekday: 0 is Monday.
        every_weeks: Weeks from one date to the next.
        start_min: Minute of the local day.
        end_min: The same; past midnight more than 1440.
    """
    times = f"{clock_from_minute(start_min)}–{clock_from_minute(end_min)}"
    if count == 1:
        return times
    return ngettext(
        "%(weekday)s %(times)s, every week",
        "%(weekday)s %(times)s, every %(num)s weeks",
        every_weeks,
        weekday=weekday_in_words(weekday),
        times=times,
    )
