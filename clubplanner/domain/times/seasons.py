"""Seasons, the stretches that are shared out as one, and the breaks in them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import each_date

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date


@dataclass(frozen=True, slots=True)
class Break:
    """Dates without training; first and last both included."""

    name: str
    starts_on: date
    ends_on: date

    def holds(self, day: date) -> bool:
        """Whether a date lies in it."""
        return self.starts_on <= day <= self.ends_on


@dataclass(frozen=True, slots=True)
class Stretch:
    """A part of a season that keeps one weekly pattern.

    Attributes:
        key: Short name in addresses and commands.
        name: As people say it.
        starts_on: First date.
        ends_on: Last date, included.
    """

    key: str
    name: str
    starts_on: date
    ends_on: date


def training_dates(stretch: Stretch, breaks: Iterable[Break]) -> tuple[date, ...]:
    """Return every date of a stretch that lies in no break, in order."""
    closed = {day for gap in breaks for day in each_date(gap.starts_on, gap.ends_on)}
    return tuple(day for day in each_date(stretch.starts_on, stretch.ends_on) if day not in closed)
