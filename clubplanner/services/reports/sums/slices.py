"""The stretch of days of a report, cut at the first of each month and at the present."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import MINUTES_A_DAY, instant_from_wall

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo


@dataclass(frozen=True, slots=True)
class Slice:
    """A part of a report's time, half-open.

    Attributes:
        month: First date of its month.
        starts_at: First instant.
        ends_at: When it is over.
        is_past: Whether it is over by the present.
    """

    month: date
    starts_at: datetime
    ends_at: datetime
    is_past: bool


def cut_into_months(first: date, last: date, zone: ZoneInfo) -> list[Slice]:
    """Cut local dates at the first of each month.

    Args:
        first: First date.
        last: Last date, included.
        zone: Whose midnights are meant; a month with a change of clocks is an hour longer or
            shorter than its days.
    """
    slices = []
    start = first
    while start <= last:
        month = start.replace(day=1)
        after = min(_next_month(month), last + timedelta(days=1))
        begins, ends = (instant_from_wall(day, 0, zone) for day in (start, after))
        slices.append(Slice(month, begins, ends, is_past=False))
        start = after
    return slices


def cut_at(slices: list[Slice], now: datetime) -> list[Slice]:
    """Cut what holds the present there, so that what was is told apart from what is to come."""
    cut = []
    for one in slices:
        if one.ends_at <= now or now <= one.starts_at:
            cut.append(Slice(one.month, one.starts_at, one.ends_at, one.ends_at <= now))
            continue
        cut.append(Slice(one.month, one.starts_at, now, is_past=True))
        cut.append(Slice(one.month, now, one.ends_at, is_past=False))
    return cut


def midnights(first: date, last: date, zone: ZoneInfo) -> list[int]:
    """Return the seconds since 1970 at which local dates begin, the one after the last, too."""
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    ends = instant_from_wall(last, MINUTES_A_DAY, zone)
    return [int(instant_from_wall(day, 0, zone).timestamp()) for day in days] + [
        int(ends.timestamp())
    ]


def _next_month(month: date) -> date:
    return month.replace(year=month.year + month.month // 12, month=month.month % 12 + 1)
