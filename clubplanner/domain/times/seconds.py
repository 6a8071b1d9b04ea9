"""Instants as whole seconds since 1970, as records hold them: many are read, few are told."""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import cache
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import TimeRange

if TYPE_CHECKING:
    from collections.abc import Callable
    from zoneinfo import ZoneInfo


def instant_of(seconds: int) -> datetime:
    """Return the instant, UTC, of whole seconds since 1970."""
    return datetime.fromtimestamp(seconds, UTC)


def range_of(starts: int, ends: int) -> TimeRange:
    """Return the range between two instants that are told in seconds."""
    return TimeRange(instant_of(starts), instant_of(ends))


def days_in(zone: ZoneInfo) -> Callable[[int], date]:
    """Return what gives the local date of an instant in seconds; few are told of many sessions."""

    @cache
    def day_of(seconds: int) -> date:
        return instant_of(seconds).astimezone(zone).date()

    return day_of
