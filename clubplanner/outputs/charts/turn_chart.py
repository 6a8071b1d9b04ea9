"""A picture of turns: squads below each other, dates side by side, each turn's place and burden.

A cell names the place by a letter and shows its burden by a column beside it, so that it reads in
grey as well. A thick left edge marks a change. Many dates go into several bands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import date_in_words, marked
from clubplanner.outputs.drawings.svg import document, element, fit_lines, label

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

WIDTH = 360.0
NAMES = 110.0
CELL = 27.0
ROW = 26.0
HEAD = 36.0
LETTERS, LINE = 12.5, 14.5
COLUMN = 6.0
MOST_LINES = 3
"""Lines that a name may take."""
GAP = 14.0
BAND = int((WIDTH - NAMES - 8) // CELL)
"""How many dates stand side by side."""
INK, SOFT, EDGE, FILL = "#1d2a26", "#4d5b55", "#d5d3c8", "#ffd166"


@dataclass(frozen=True, slots=True)
class TurnRow:
    """One squad's turns.

    Attributes:
        name: Whose.
        letters: The place on each date, as a letter.
        burdens: What each costs it, from 0.
    """

    name: str
    letters: tuple[str, ...]
    burdens: tuple[int, ...]


def draw_turns(rows: Sequence[TurnRow], dates: Sequence[date], title: str, summary: str) -> str:
    """Draw turns as SVG.

    Args:
        rows: A squad each, with an entry for every date.
        dates: In order, at least one.
        title: What the picture shows.
        summary: The same in words for those who cannot see it.
    """
    bands = [range(start, min(start + BAND, len(dates))) for start in range(0, len(dates), BAND)]
    named = [(row, fit_lines(row.name, LETTERS, NAMES - 8, MOST_LINES)) for row in rows]
    tall = HEAD + sum(_tall(lines) for _, lines in named)
    height = tall * len(bands) + GAP * (len(bands) - 1) + 6
    most = max((burden for row in rows for burden in row.burdens), default=0)
    body = [element("rect", x=0, y=0, width=WIDTH, height=height, fill="#ffffff")]
    for n, band in enumerate(bands):
        body.extend(_band(named, dates, band, n * (tall + GAP), most))
    return document(WIDTH, height, title, summary, body)


def _tall(lines: Sequence[str]) -> float:
    return ROW + LINE * (len(lines) - 1)


def _band(
    named: Sequence[tuple[TurnRow, list[str]]],
    dates: Sequence[date],
    band: range,
    top: float,
    most: int,
) -> Iterator[str]:
    for column, number in enumerate(band):
        x = NAMES + column * CELL + CELL / 2
        day = dates[number]
        yield label(str(day.day), x, top + 9, size=13, bold=True)
        if column == 0 or day.month != dates[number - 1].month:
            yield label(date_in_words(day, marked("MMM")), x, top + 25, size=LETTERS, fill=SOFT)
    y = top + HEAD
    for row, lines in named:
        for n, line in enumerate(lines):
            yield label(line, 2, y + ROW / 2 - 1 + n * LINE, size=LETTERS, anchor="start")
        for column, number in enumerate(band):
            yield from _cell(row, number, NAMES + column * CELL, y, most)
        y += _tall(lines)


def _cell(row: TurnRow, number: int, x: float, y: float, most: int) -> Iterator[str]:
    wide, tall = CELL - 2, ROW - 3
    yield element("rect", x=x, y=y, width=wide, height=tall, fill="#ffffff", stroke=EDGE)
    burden = row.burdens[number]
    if burden and most:
        high = max(3.0, tall * burden / most)
        left, top = x + wide - COLUMN, y + tall - high
        yield element(
            "rect",
            x=left,
            y=top,
            width=COLUMN,
            height=high,
            fill=FILL,
            stroke=INK,
            stroke_width=0.8,
        )
    if number and row.letters[number] != row.letters[number - 1]:
        yield element("rect", x=x - 1, y=y, width=3, height=tall, fill=INK)
    middle = x + (wide - COLUMN) / 2 + 0.8
    yield label(row.letters[number], middle, y + tall / 2, size=LETTERS, bold=bool(burden))
