"""A sheet of dates and the clock: where a date and a minute lie, its grid, where it is too dark.

Dates run to the right and the clock up, so that summer is a hill; on a narrow screen the sheet is
turned: dates run down and the clock to the right.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.times.times import clock_from_minute
from clubplanner.language import date_in_words, marked
from clubplanner.outputs.charts.weeks.week_shapes import DARK_FILL
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import GROUND_FILLS, PAPER, SOFT_INK

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from shapely.geometry.base import BaseGeometry

LETTERS = 11.5
EDGE, AXIS, MONTHS = 6.0, 34.0, 20.0
HOUR = 58.0
"""Units to an hour where dates run to the right."""
STEP_MIN = 20
"""Dusk differs by less from one date to the next, unless the clocks changed between them."""


class ClockSheet:
    """Where a date and a minute land."""

    def __init__(
        self,
        dates: tuple[date, date],
        hours: tuple[int, int],
        width: float,
        *,
        is_turned: bool,
        day_down: float,
    ) -> None:
        """Lay a sheet out.

        Args:
            dates: First and last date, both on it.
            hours: First and last minute of the day, whole hours.
            width: Units across, axis and edge included.
            is_turned: Whether dates run down; else they run to the right.
            day_down: Units to a day where dates run down.
        """
        self.is_turned = is_turned
        self.first, (self.low, self.high) = dates[0], hours
        self.days = (dates[1] - dates[0]).days + 1
        along, shown = width - AXIS - EDGE, (self.high - self.low) / 60
        self.day = day_down if is_turned else along / self.days
        self.minute = (along / shown if is_turned else HOUR) / 60
        self.far = MONTHS + (self.days * self.day if is_turned else shown * HOUR)

    def at(self, days: float, minute: float) -> tuple[float, float]:
        """Return where so many days after the first, at a minute, lie."""
        time = (min(max(minute, self.low), self.high) - self.low) * self.minute
        if self.is_turned:
            return AXIS + time, MONTHS + days * self.day
        return AXIS + days * self.day, self.far - time

    def box(self, days: tuple[float, float], minutes: tuple[float, float]) -> BaseGeometry:
        """Return the ground between two dates and two minutes."""
        return shapely.box(*self.corners(days, minutes))

    def corners(
        self, days: tuple[float, float], minutes: tuple[float, float]
    ) -> tuple[float, float, float, float]:
        """Return least x and y and greatest x and y between two dates and two minutes."""
        (x0, y0), (x1, y1) = self.at(days[0], minutes[0]), self.at(days[1], minutes[1])
        return min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)

    def place(self, day: date) -> int:
        """Return how many days after the first a date lies."""
        return day.toordinal() - self.first.toordinal()

    def date_at(self, days: int) -> date:
        """Return the date so many days after the first."""
        return self.first.fromordinal(self.first.toordinal() + days)

    def months(self) -> Iterator[tuple[date, int, int]]:
        """Yield the first date shown of each month, its place and that of the month's end."""
        starts = [n for n in range(self.days) if not n or self.date_at(n).day == 1]
        for start, end in pairwise([*starts, self.days]):
            yield self.date_at(start), start, end


def draw_grid(sheet: ClockSheet) -> Iterator[str]:
    """Draw a line for each hour and each month, with their names where there is room."""
    lines = []
    for minute in range(sheet.low, sheet.high + 1, 60):
        ends = [sheet.at(0, minute), sheet.at(sheet.days, minute)]
        lines.append(shapely.LineString(ends))
        x, y = ends[0]
        words = clock_from_minute(minute)[:2]
        if sheet.is_turned:
            yield svg.label(words, x, MONTHS - 9, size=LETTERS, fill=SOFT_INK)
        else:
            yield svg.label(words, AXIS - 7, y, size=LETTERS, fill=SOFT_INK, anchor="end")
    for day, start, end in sheet.months():
        lines.append(shapely.LineString([sheet.at(start, sheet.low), sheet.at(start, sheet.high)]))
        name = date_in_words(day, marked("MMM"))
        room = (end - start) * sheet.day
        if room < (LETTERS + 2 if sheet.is_turned else svg.text_width(name, LETTERS) + 8):
            continue
        x, y = sheet.at(start, sheet.high)
        at = (2.0, y + LETTERS / 2) if sheet.is_turned else (x, MONTHS - 9)
        yield svg.label(name, *at, size=LETTERS, fill=SOFT_INK, anchor="start")
    data = svg.path_of(shapely.MultiLineString(lines), svg.as_it_is)
    yield svg.element("path", d=data, fill="none", stroke=PAPER, stroke_width=1.2)


def draw_light(sheet: ClockSheet, dark_from: Sequence[int | None]) -> Iterator[str]:
    """Draw the ground of a whole sheet, and level lines where it is too dark without lamps.

    Args:
        sheet: Where it lies.
        dark_from: A minute for each date; None where it never gets too dark.
    """
    whole = sheet.box((0, sheet.days), (sheet.low, sheet.high))
    data = svg.path_of(whole, svg.as_it_is)
    yield svg.element("path", d=data, fill=GROUND_FILLS["grass"])
    dark = shapely.union_all([_behind(sheet, *run) for run in _runs(dark_from)])
    if not dark.is_empty:
        yield from draw_dark(sheet, dark)


def draw_dark(sheet: ClockSheet, shape: BaseGeometry) -> Iterator[str]:
    """Draw where it is too dark: level lines, as of mist."""
    yield svg.element("path", d=svg.path_of(shape, svg.as_it_is), fill=DARK_FILL)
    lines = svg.hatch(shape, 5.0, 90 if sheet.is_turned else 0)
    stroke = {"stroke": SOFT_INK, "stroke_width": 0.6, "stroke_opacity": 0.55}
    yield svg.element("path", d=svg.path_of(lines, svg.as_it_is), fill="none", **stroke)


def curve(sheet: ClockSheet, minutes: Sequence[int | None]) -> BaseGeometry:
    """Return the lines along a minute of each date; they step where the clocks change."""
    parts = [
        shapely.LineString(_along(sheet, start, run))
        for start, run in _runs(minutes)
        if sheet.low <= max(run) and min(run) <= sheet.high
    ]
    return shapely.MultiLineString([shapely.simplify(part, 0.1) for part in parts])


def _runs(minutes: Sequence[int | None]) -> Iterator[tuple[int, list[int]]]:
    """Yield the place and the minutes of each run of dates that have one."""
    start, run = 0, list[int]()
    for n, minute in enumerate([*minutes, None]):
        if minute is not None:
            run.append(minute)
            continue
        if run:
            yield start, run
        start, run = n + 1, []


def _along(sheet: ClockSheet, start: int, run: Sequence[int]) -> list[tuple[float, float]]:
    """Return points through the middles of dates; upright where one date leaps from the next."""
    points = [sheet.at(start, run[0])]
    for n, minute in enumerate(run):
        if n and abs(minute - run[n - 1]) >= STEP_MIN:
            points += [sheet.at(start + n, run[n - 1]), sheet.at(start + n, minute)]
        points.append(sheet.at(start + n + 0.5, minute))
    return [*points, sheet.at(start + len(run), run[-1])]


def _behind(sheet: ClockSheet, start: int, run: Sequence[int]) -> BaseGeometry:
    ends = [sheet.at(start + len(run), sheet.high), sheet.at(start, sheet.high)]
    ring = shapely.Polygon([*_along(sheet, start, run), *ends])
    return shapely.simplify(shapely.make_valid(ring), 0.1)
