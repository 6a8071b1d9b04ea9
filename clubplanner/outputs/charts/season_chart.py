"""Sessions on the year's curve of light: dates along one side, the clock along the other.

Every session is a bar from its start to its end, as broad as its part of the pitch; behind the
curve, where it is too dark on ground without lamps, lie level lines.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import shapely

from clubplanner.language import _
from clubplanner.outputs.charts.clock_sheet import (
    EDGE,
    LETTERS,
    ClockSheet,
    draw_dark,
    draw_grid,
    draw_light,
)
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import INK, OWN_FILL, PAPER

if TYPE_CHECKING:
    from datetime import date

    from shapely.geometry.base import BaseGeometry

KEY = 22.0
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


def draw_season(season: DrawnSeason, width: float, *, is_turned: bool = False) -> str:
    """Draw sessions on the curve of light as SVG.

    Args:
        season: What to draw.
        width: Units across.
        is_turned: Whether dates run down, for a narrow screen; else they run to the right.
    """
    dates = (season.first, season.last)
    sheet = ClockSheet(dates, season.hours, width, is_turned=is_turned, day_down=DAY)
    parts = [*draw_light(sheet, season.dark_from), *draw_grid(sheet)]
    parts.extend(_bar(bar, sheet) for bar in season.bars)
    key, height = _key(season, sheet, width)
    ground = svg.element("rect", x=0, y=0, width=width, height=height, fill=PAPER)
    body = svg.element("g", ground, *parts, *key, font_family=svg.FONT)
    return svg.document(width, height, season.title, season.summary, [body])


def _bar(bar: SeasonBar, sheet: ClockSheet) -> str:
    days = sheet.place(bar.day)
    broad = max(LEAST_BAR / sheet.day, 0.3 + 0.65 * bar.share)
    shape = sheet.box((days, days + broad), (bar.start_min, bar.end_min))
    title = svg.element("title", svg.words(bar.words))
    return svg.element("g", title, _shape(bar.look, shape))


def _shape(look: BarLook, shape: BaseGeometry) -> str:
    fill = {BarLook.MATCH: INK, BarLook.MOVED: OWN_FILL, BarLook.OFF: "none"}.get(look, PAPER)
    return svg.element(
        "path",
        d=svg.path_of(shape, svg.as_it_is),
        fill=fill,
        stroke=INK,
        stroke_width=1,
        stroke_dasharray="2 2" if look is BarLook.OFF else None,
    )


def _key(season: DrawnSeason, sheet: ClockSheet, width: float) -> tuple[list[str], float]:
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
    drawn, x, y = list[str](), EDGE, sheet.far + 6 + KEY / 2
    for words, look in [*entries, (_("too dark without lamps"), None)]:
        wide = 20 + svg.text_width(words, LETTERS)
        if x > EDGE and x + wide > width - EDGE:
            x, y = EDGE, y + KEY - 3
        box = shapely.box(x, y - 7, x + (6 if look else 14), y + 7)
        if look is None:
            drawn.extend(draw_dark(sheet, box))
        else:
            drawn.append(_shape(look, box))
        left = x + (12 if look else 20)
        drawn.append(svg.label(words, left, y, size=LETTERS, anchor="start"))
        x += wide + 14
    return drawn, y + KEY / 2
