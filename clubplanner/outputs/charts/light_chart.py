"""A venue's year of light with its sessions on it: dates one way, the clock the other.

What ends in the light is a short dash at its end. Behind the curve lie bars, as long as somebody
is out there in it: pale with an edge under floodlights, solid where it is dark. So how much
light the year costs, and what ends in the dark, is seen at once, in grey too.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.times.times import clock_from_minute, day_and_month
from clubplanner.language import _
from clubplanner.outputs.charts.clock_sheet import (
    EDGE,
    LETTERS,
    ClockSheet,
    curve,
    draw_dark,
    draw_grid,
    draw_light,
)
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import INK, OWN_FILL, PAPER

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence
    from datetime import date

    from shapely.geometry.base import BaseGeometry

DAY_DOWN = 1.7
"""Units to a day where dates run down."""
EVENING = (17 * 60, 21 * 60)
"""Minutes of the day that are shown at least, and an hour before them."""
KEY_LINE = 20.0
LEAST_DARK_MIN = 9
"""So many minutes long at least is what ends in the dark drawn, so that it is seen."""
SAMPLE = 15.0


@dataclass(frozen=True, slots=True)
class Burning:
    """Somebody who is out there after the light has gone.

    Attributes:
        day: Local date.
        from_min: Minute of that day from which it is dark there.
        until_min: When they end.
    """

    day: date
    from_min: int
    until_min: int


@dataclass(frozen=True, slots=True)
class LitMonth:
    """A month that can be chosen.

    Attributes:
        first: Its first date shown.
        words: What choosing it shows.
        address: Where that is.
    """

    first: date
    words: str
    address: str


@dataclass(frozen=True, slots=True)
class LightYear:
    """What to draw.

    Attributes:
        title: What the picture shows.
        summary: The same in words.
        first: First date.
        last: Last date, included.
        sunset: Minute of the local day for each date; None where the sun does not set or rise.
        dusk: End of civil twilight, likewise.
        dark_from: From when unlit ground is too dark, likewise; None where it never is.
        ends: Date and minute at which something ends in the light; each once.
        lamps: What needs floodlights.
        dark: What ends in the dark.
        lights_off_min: When floodlights go out; None for no such rule.
        today: The date to mark; None where it is not among these.
        months: Those that can be chosen.
    """

    title: str
    summary: str
    first: date
    last: date
    sunset: tuple[int | None, ...]
    dusk: tuple[int | None, ...]
    dark_from: tuple[int | None, ...]
    ends: tuple[tuple[date, int], ...]
    lamps: tuple[Burning, ...]
    dark: tuple[Burning, ...]
    lights_off_min: int | None
    today: date | None
    months: tuple[LitMonth, ...]

    @property
    def hours(self) -> tuple[int, int]:
        """First and last minute shown: the evening, from an hour before the earliest sunset.

        What ends earlier in the day ends in the light and is not drawn.
        """
        suns = [minute for minute in (*self.sunset, *self.dusk) if minute is not None]
        late = [minute for _day, minute in self.ends]
        late += [one.until_min for one in (*self.lamps, *self.dark)]
        low, high = min([EVENING[0], *suns]) - 60, max([EVENING[1], *suns, *late])
        return max(0, low // 60 * 60), -(-high // 60) * 60


def draw_light_year(year: LightYear, width: float, *, is_turned: bool = False) -> str:
    """Draw a year of light as SVG.

    Args:
        year: What to draw.
        width: Units across.
        is_turned: Whether dates run down, for a narrow screen; else they run to the right.
    """
    sheet = ClockSheet(
        (year.first, year.last),
        year.hours,
        width,
        is_turned=is_turned,
        day_down=DAY_DOWN,
    )
    parts = [
        *draw_light(sheet, year.dark_from),
        *draw_grid(sheet),
        *_lines(year, sheet),
        *_marks(year, sheet),
        *_months(year, sheet),
    ]
    key, height = _key(year, sheet, width)
    ground = svg.element("rect", x=0, y=0, width=width, height=height, fill=PAPER)
    body = svg.element("g", ground, *parts, *key, font_family=svg.FONT)
    role = "group" if year.months else "img"
    return svg.document(width, height, year.title, year.summary, [body], role=role)


def _lines(year: LightYear, sheet: ClockSheet) -> Iterator[str]:
    """Draw sunset, the end of civil twilight, when floodlights go out, and today."""
    yield _line(curve(sheet, year.sunset), 1.4)
    yield _line(curve(sheet, year.dusk), 1.0, dashes="4 3")
    if year.lights_off_min is not None and sheet.low <= year.lights_off_min <= sheet.high:
        ends = [sheet.at(0, year.lights_off_min), sheet.at(sheet.days, year.lights_off_min)]
        yield _line(shapely.LineString(ends), 1.6, dashes="1 5")
    if year.today is not None:
        there = sheet.place(year.today) + 0.5
        yield from _today([sheet.at(there, sheet.low), sheet.at(there, sheet.high)])


def _line(shape: BaseGeometry, width: float, dashes: str | None = None) -> str:
    stroke = {"stroke": INK, "stroke_width": width, "stroke_dasharray": dashes}
    return svg.element("path", d=svg.path_of(shape, svg.as_it_is), fill="none", **stroke)


def _today(ends: Sequence[tuple[float, float]]) -> Iterator[str]:
    """Draw today as a pale line between two dark ones, which nothing else on the sheet is."""
    data = svg.path_of(shapely.LineString(ends), svg.as_it_is)
    yield svg.element("path", d=data, fill="none", stroke=INK, stroke_width=4.5)
    yield svg.element("path", d=data, fill="none", stroke=PAPER, stroke_width=2)


def _marks(year: LightYear, sheet: ClockSheet) -> Iterator[str]:
    dashes = [
        [sheet.at(n + 0.1, minute), sheet.at(n + 0.9, minute)]
        for n, minute in ((sheet.place(day), minute) for day, minute in year.ends)
        if minute >= sheet.low
    ]
    if dashes:
        yield _line(shapely.MultiLineString(dashes), 1.6)
    lit = _bars(year.lamps, sheet, 0.08)
    if lit:
        yield _lit(lit)
    dark = _bars(year.dark, sheet, 0.35, LEAST_DARK_MIN)
    if dark:
        yield _dark(dark)


def _bars(times: Sequence[Burning], sheet: ClockSheet, left: float, least: int = 0) -> str:
    """Return the path data of times as bars, those of a date that meet as one."""
    spans: dict[date, list[tuple[int, int]]] = defaultdict(list)
    for one in dict.fromkeys(times):
        spans[one.day].append((min(one.from_min, one.until_min - least), one.until_min))
    boxes = []
    for day, found in spans.items():
        n = sheet.place(day)
        boxes += [sheet.corners((n + left, n + 0.92), span) for span in _joined(sorted(found))]
    return svg.path_of_boxes(box for box in boxes if box[0] < box[2] and box[1] < box[3])


def _joined(spans: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Return spans, given by start, with those joined that meet."""
    joined: list[tuple[int, int]] = []
    for start, end in spans:
        if joined and start <= joined[-1][1]:
            joined[-1] = joined[-1][0], max(joined[-1][1], end)
        else:
            joined.append((start, end))
    return joined


def _lit(data: str) -> str:
    return svg.element("path", d=data, fill=OWN_FILL, stroke=INK, stroke_width=0.5)


def _dark(data: str) -> str:
    return svg.element("path", d=data, fill=INK, stroke=INK, stroke_width=1)


def _months(year: LightYear, sheet: ClockSheet) -> Iterator[str]:
    """Lay a door over each month: all of its dates, from its name to the far side."""
    by_first = {month.first: month for month in year.months}
    for day, start, end in sheet.months():
        month = by_first.get(day)
        if month is None:
            continue
        there = sheet.box((start, end), (sheet.low, sheet.high)).bounds
        left, top = (0.0, there[1]) if sheet.is_turned else (there[0], 0.0)
        door = svg.element(
            "rect",
            class_="edge",
            x=left,
            y=top,
            width=there[2] - left,
            height=there[3] - top,
            fill="none",
            pointer_events="all",
        )
        yield svg.element(
            "a", svg.element("title", svg.words(month.words)), door, href=month.address
        )


def _key(year: LightYear, sheet: ClockSheet, width: float) -> tuple[list[str], float]:
    drawn, x, y = list[str](), EDGE, sheet.far + 6 + KEY_LINE / 2
    for words, name in _entries(year):
        wide = SAMPLE + 6 + svg.text_width(words, LETTERS)
        if x > EDGE and x + wide > width - EDGE:
            x, y = EDGE, y + KEY_LINE
        drawn.extend(_sample(name, sheet, x, y))
        drawn.append(svg.label(words, x + SAMPLE + 6, y, size=LETTERS, anchor="start"))
        x += wide + 14
    return drawn, y + KEY_LINE / 2 + 2


def _entries(year: LightYear) -> Iterator[tuple[str, str]]:
    entries = (
        (_("sunset"), "sunset", any(minute is not None for minute in year.sunset)),
        (_("end of civil twilight"), "dusk", any(minute is not None for minute in year.dusk)),
        (_("too dark without lamps"), "mist", any(m is not None for m in year.dark_from)),
        (_("ends in the light"), "end", bool(year.ends)),
        (_("under floodlights"), "lit", bool(year.lamps)),
        (_("ends in the dark"), "dark", bool(year.dark)),
    )
    yield from ((words, name) for words, name, is_there in entries if is_there)
    if year.lights_off_min is not None:
        off = clock_from_minute(year.lights_off_min)
        yield _("floodlights out, %(clock)s", clock=off), "off"
    if year.today is not None:
        yield _("today, %(day)s", day=day_and_month(year.today)), "today"


def _sample(name: str, sheet: ClockSheet, x: float, y: float) -> Iterator[str]:
    level = shapely.LineString([(x, y), (x + SAMPLE, y)])
    box = shapely.box(x + 4, y - 6, x + 8, y + 6)
    if name in ("sunset", "dusk", "off"):
        width, dashes = {"sunset": (1.4, None), "dusk": (1.0, "4 3"), "off": (1.6, "1 5")}[name]
        yield _line(level, width, dashes)
    elif name == "end":
        yield _line(shapely.LineString([(x + 4, y), (x + 8, y)]), 1.6)
    elif name == "mist":
        yield from draw_dark(sheet, shapely.box(x, y - 6.5, x + SAMPLE, y + 6.5))
    elif name == "today":
        yield from _today([(x + 7, y - 7), (x + 7, y + 7)])
    else:
        data = svg.path_of(box, svg.as_it_is)
        yield _lit(data) if name == "lit" else _dark(data)
