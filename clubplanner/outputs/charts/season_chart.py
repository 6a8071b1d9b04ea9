"""Sessions on the year's curve of light: dates along one side, the clock along the other.

Every session is a bar from its start to its end, as broad as its part of the pitch; behind the
curve, where it is too dark on ground without lamps, lie level lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import shapely

from clubplanner.language import _, date_in_words, marked
from clubplanner.outputs.charts.week_shapes import DARK_FILL
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import (
    GROUND_FILLS,
    INK,
    OWN_FILL,
    PAPER,
    SOFT_INK,
)

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from shapely.geometry.base import BaseGeometry

LETTERS = 11.5
EDGE, AXIS, MONTHS, KEY = 6.0, 34.0, 20.0, 22.0
HOUR = 58.0
"""Units to an hour where dates run to the right."""
DAY = 4.6
"""Units to a day where dates run down."""
LEAST_BAR = 2.2


class BarLook(StrEnum):
    """What became of a session."""

    ON = "on"
    MATCH = "match"
    MOVED = "moved"
    OFF = "off"


@dataclass(frozen=True, slots=True)
class SeasonBar:
    """A session.

    Attributes:
        day: The local date.
        start_min: Minute of that day at which it starts.
        end_min: Minute at which it is over.
        share: Its part of the pitch, 0 to 1.
        look: What became of it.
        words: The same in words.
    """

    day: date
    start_min: int
    end_min: int
    share: float
    look: BarLook
    words: str


@dataclass(frozen=True, slots=True)
class DrawnSeason:
    """What to draw.

    Attributes:
        title: What the picture shows.
        summary: The same in words.
        first: First date.
        last: Last date, included.
        dark_from: For each date from first to last the minute from which unlit ground is too dark;
            None where it never is.
        bars: In order of time.
    """

    title: str
    summary: str
    first: date
    last: date
    dark_from: tuple[int | None, ...]
    bars: tuple[SeasonBar, ...]

    @property
    def hours(self) -> tuple[int, int]:
        """First and last minute shown: whole hours round all sessions and some of the evening."""
        starts = [bar.start_min for bar in self.bars] + [17 * 60]
        ends = [bar.end_min for bar in self.bars] + [21 * 60]
        return min(starts) // 60 * 60, -(-max(ends) // 60) * 60


class _Sheet:
    """Where a date and a minute land; turned, dates run down and the clock to the right."""

    def __init__(self, season: DrawnSeason, width: float, *, is_turned: bool) -> None:
        self.is_turned = is_turned
        self.first, (self.low, self.high) = season.first, season.hours
        self.days = (season.last - season.first).days + 1
        along = width - AXIS - EDGE
        hours = (self.high - self.low) / 60
        self.day = DAY if is_turned else along / self.days
        self.minute = (along / hours if is_turned else HOUR) / 60
        self.far = MONTHS + (self.days * DAY if is_turned else hours * HOUR)

    def at(self, days: float, minute: float) -> tuple[float, float]:
        """Return where so many days after the first, at a minute, lie."""
        time = (min(max(minute, self.low), self.high) - self.low) * self.minute
        if self.is_turned:
            return AXIS + time, MONTHS + days * self.day
        return AXIS + days * self.day, MONTHS + time

    def box(self, days: tuple[float, float], minutes: tuple[float, float]) -> BaseGeometry:
        """Return the ground between two dates and two minutes."""
        (x0, y0), (x1, y1) = self.at(days[0], minutes[0]), self.at(days[1], minutes[1])
        return shapely.box(x0, y0, x1, y1)


def draw_season(season: DrawnSeason, width: float, *, is_turned: bool = False) -> str:
    """Draw sessions on the curve of light as SVG.

    Args:
        season: What to draw.
        width: Units across.
        is_turned: Whether dates run down, for a narrow screen; else they run to the right.
    """
    sheet = _Sheet(season, width, is_turned=is_turned)
    parts = [*_light(season, sheet), *_axes(season, sheet)]
    parts.extend(_bar(bar, sheet) for bar in season.bars)
    key, height = _key(season, width, sheet.far + 6)
    ground = svg.element("rect", x=0, y=0, width=width, height=height, fill=PAPER)
    body = svg.element("g", ground, *parts, *key, font_family=svg.FONT)
    return svg.document(width, height, season.title, season.summary, [body])


def _light(season: DrawnSeason, sheet: _Sheet) -> Iterator[str]:
    whole = sheet.box((0, sheet.days), (sheet.low, sheet.high))
    yield svg.element("path", d=svg.path_of(whole, _as_is), fill=GROUND_FILLS["grass"])
    steps = [
        sheet.box((n, n + 1), (minute, sheet.high))
        for n, minute in enumerate(season.dark_from)
        if minute is not None and minute < sheet.high
    ]
    dark = shapely.union_all(steps)
    if dark.is_empty:
        return
    yield svg.element("path", d=svg.path_of(dark, _as_is), fill=DARK_FILL)
    lines = svg.hatch(dark, 5.0, 90 if sheet.is_turned else 0)
    stroke = {"stroke": SOFT_INK, "stroke_width": 0.6, "stroke_opacity": 0.55}
    yield svg.element("path", d=svg.path_of(lines, _as_is), fill="none", **stroke)


def _axes(season: DrawnSeason, sheet: _Sheet) -> Iterator[str]:
    lines = []
    for minute in range(sheet.low, sheet.high + 1, 60):
        ends = [sheet.at(0, minute), sheet.at(sheet.days, minute)]
        lines.append(shapely.LineString(ends))
        x, y = ends[0]
        words = f"{minute // 60 % 24:02d}"
        if sheet.is_turned:
            yield svg.label(words, x, MONTHS - 9, size=LETTERS, fill=SOFT_INK)
        else:
            yield svg.label(words, AXIS - 7, y, size=LETTERS, fill=SOFT_INK, anchor="end")
    for n in range(sheet.days):
        day = date_after(season.first, n)
        if day.day != 1 and n:
            continue
        ends = [sheet.at(n, sheet.low), sheet.at(n, sheet.high)]
        lines.append(shapely.LineString(ends))
        to_next = sheet.days - n if n else _days_to_next_month(season.first)
        name = date_in_words(day, marked("MMM"))
        room = to_next * sheet.day
        if room < (LETTERS + 2 if sheet.is_turned else svg.text_width(name, LETTERS) + 8):
            continue
        x, y = ends[0]
        if sheet.is_turned:
            yield svg.label(name, 2, y + LETTERS / 2, size=LETTERS, fill=SOFT_INK, anchor="start")
        else:
            yield svg.label(name, x, MONTHS - 9, size=LETTERS, fill=SOFT_INK, anchor="start")
    data = svg.path_of(shapely.MultiLineString(lines), _as_is)
    yield svg.element("path", d=data, fill="none", stroke=PAPER, stroke_width=1.2)


def date_after(first: date, days: int) -> date:
    """Return the date so many days after another."""
    return first.fromordinal(first.toordinal() + days)


def _days_to_next_month(day: date) -> int:
    following = day.replace(year=day.year + day.month // 12, month=day.month % 12 + 1, day=1)
    return (following - day).days


def _bar(bar: SeasonBar, sheet: _Sheet) -> str:
    days = bar.day.toordinal() - sheet.first.toordinal()
    broad = max(LEAST_BAR / sheet.day, 0.3 + 0.65 * bar.share)
    shape = sheet.box((days, days + broad), (bar.start_min, bar.end_min))
    title = svg.element("title", svg.words(bar.words))
    return svg.element("g", title, _shape(bar.look, shape))


def _shape(look: BarLook, shape: BaseGeometry) -> str:
    fill = {BarLook.MATCH: INK, BarLook.MOVED: OWN_FILL, BarLook.OFF: "none"}.get(look, PAPER)
    return svg.element(
        "path",
        d=svg.path_of(shape, _as_is),
        fill=fill,
        stroke=INK,
        stroke_width=1,
        stroke_dasharray="2 2" if look is BarLook.OFF else None,
    )


def _key(season: DrawnSeason, width: float, top: float) -> tuple[list[str], float]:
    looks = {bar.look for bar in season.bars}
    entries = [
        (words, look)
        for look, words in (
            (BarLook.ON, _("training")),
            (BarLook.MATCH, _("match")),
            (BarLook.MOVED, _("moved")),
            (BarLook.OFF, _("off")),
        )
        if look in looks
    ]
    drawn, x, y = [], EDGE, top + KEY / 2
    for words, look in [*entries, (_("too dark without lamps"), None)]:
        wide = 20 + svg.text_width(words, LETTERS)
        if x > EDGE and x + wide > width - EDGE:
            x, y = EDGE, y + KEY - 3
        box = shapely.box(x, y - 7, x + (6 if look else 14), y + 7)
        if look is None:
            drawn.append(svg.element("path", d=svg.path_of(box, _as_is), fill=DARK_FILL))
            lines = svg.path_of(svg.hatch(box, 5.0, 0), _as_is)
            stroke = {"stroke": SOFT_INK, "stroke_width": 0.6, "stroke_opacity": 0.55}
            drawn.append(svg.element("path", d=lines, fill="none", **stroke))
        else:
            drawn.append(_shape(look, box))
        left = x + (12 if look else 20)
        drawn.append(svg.label(words, left, y, size=LETTERS, anchor="start"))
        x += wide + 14
    return drawn, y + KEY / 2


def _as_is(x: float, y: float) -> tuple[float, float]:
    return x, y
