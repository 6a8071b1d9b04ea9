"""Where time and ground land on a drawn week: all evenings by one scale, every pitch as high."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    from clubplanner.domain.ground.lanes import Lane
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.outputs.charts.weeks.week_values import DrawnWeek, Form

EDGE = 2.0
"""Left and right of everything."""
GAP = 12.0
"""Between two evenings."""
HEAD = 40.0
NAME, FOOT = 20.0, 12.0
"""Above a band for its name, and below it."""
LEAST_BAND = 66.0
"""A third of it holds a line of the smallest letters."""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle on the drawing, units."""

    left: float
    top: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.left + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.top + self.height


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything lands.

    Attributes:
        lefts: Where each evening begins.
        ranges: The time that each evening shows.
        a_minute: Units to a minute, the same on every evening.
        band: Height of a pitch.
        count: How many pitches there are.
    """

    lefts: tuple[float, ...]
    ranges: tuple[TimeRange, ...]
    a_minute: float
    band: float
    count: int

    @property
    def bottom(self) -> float:
        """Where the last band's foot ends."""
        return HEAD + self.count * (NAME + self.band + FOOT)

    def x(self, evening: int, instant: datetime) -> float:
        """Return where an instant lies on an evening; what lies outside it lies on its edge.

        Time is real time: on the night the clocks go back an hour is there twice.
        """
        shown = self.ranges[evening]
        within = min(max(instant, shown.starts_at), shown.ends_at)
        minutes = (within - shown.starts_at).total_seconds() / 60
        return self.lefts[evening] + minutes * self.a_minute

    def top(self, pitch: int) -> float:
        """Return the upper edge of a pitch's bands."""
        return HEAD + pitch * (NAME + self.band + FOOT) + NAME

    def box(self, evening: int, pitch: int, during: TimeRange, lane: Lane) -> Box | None:
        """Return where ground and time land; None for what lies outside the evening."""
        left, right = self.x(evening, during.starts_at), self.x(evening, during.ends_at)
        if right <= left:
            return None
        top = self.top(pitch) + lane[0] * self.band
        return Box(left, top, right - left, (lane[1] - lane[0]) * self.band)


def lay_out(week: DrawnWeek, form: Form) -> Layout:
    """Share a sheet out among the evenings, by their length, and among the pitches."""
    return _lay_out([evening.during for evening in week.evenings], len(week.pitches), form)


def _lay_out(ranges: Sequence[TimeRange], count: int, form: Form) -> Layout:
    minutes = [_minutes(during) for during in ranges]
    room = form.width - 2 * EDGE - GAP * (len(ranges) - 1)
    a_minute = room / sum(minutes)
    lefts, left = [], EDGE
    for long in minutes:
        lefts.append(left)
        left += long * a_minute + GAP
    fair = (form.height - HEAD) / count - NAME - FOOT
    band = min(form.most_band, max(LEAST_BAND, fair))
    return Layout(tuple(lefts), tuple(ranges), a_minute, band, count)


def _minutes(during: TimeRange) -> float:
    return (during.ends_at - during.starts_at).total_seconds() / 60
