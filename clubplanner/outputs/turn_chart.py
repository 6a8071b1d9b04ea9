"""A picture of turns: squads below each other, dates side by side, each turn's place and burden.

A cell names the place by a letter and shows its burden by how far it is filled from below, so that
it reads in grey as well. A thick left edge marks a change. Many dates go into several bands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import date_in_words, marked
from clubplanner.outputs.svg import clip_to_width, document, element, label

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

WIDTH = 340.0
NAMES = 104.0
CELL = 25.0
ROW = 26.0
HEAD = 34.0
GAP = 14.0
BAND = int((WIDTH - NAMES - 8) // CELL)
"""How many dates stand side by side."""
INK, SOFT, LINE, FILL = "#1d2a26", "#4d5b55", "#d5d3c8", "#ffd166"


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
    tall = HEAD + ROW * len(rows)
    height = tall * len(bands) + GAP * (len(bands) - 1) + 6
    most = max((burden for row in rows for burden in row.burdens), default=0)
    body = [element("rect", x=0, y=0, width=WIDTH, height=height, fill="#ffffff")]
    for n, band in enumerate(bands):
        body.extend(_band(rows, dates, band, n * (tall + GAP), most))
    return document(WIDTH, height, title, summary, body)


def _band(
    rows: Sequence[TurnRow], dates: Sequence[date], band: range, top: float, most: int
) -> Iterator[str]:
    for column, number in enumerate(band):
        x = NAMES + column * CELL + CELL / 2
        day = dates[number]
        yield label(str(day.day), x, top + 10, size=12, bold=True)
        if column == 0 or day.month != dates[number - 1].month:
            yield label(date_in_words(day, marked("MMM")), x, top + 24, size=11, fill=SOFT)
    for n, row in enumerate(rows):
        y = top + HEAD + n * ROW
        name = clip_to_width(row.name, 12, NAMES - 8)
        yield label(name, 2, y + ROW / 2, size=12, anchor="start")
        for column, number in enumerate(band):
            yield from _cell(row, number, NAMES + column * CELL, y, most)


def _cell(row: TurnRow, number: int, x: float, y: float, most: int) -> Iterator[str]:
    size = {"width": CELL - 2, "height": ROW - 3}
    yield element("rect", x=x, y=y, **size, fill="#ffffff", stroke=LINE)
    burden = row.burdens[number]
    if burden and most:
        high = max(3.0, (ROW - 3) * burden / most)
        yield element(
            "rect", x=x, y=y + ROW - 3 - high, width=CELL - 2, height=high, fill=FILL, stroke=INK
        )
    if number and row.letters[number] != row.letters[number - 1]:
        yield element("rect", x=x - 1, y=y, width=3, height=ROW - 3, fill=INK)
    yield label(row.letters[number], x + CELL / 2 - 1, y + ROW / 2 - 1, size=12, bold=bool(burden))
