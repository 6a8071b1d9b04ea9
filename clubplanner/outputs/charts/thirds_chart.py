"""A picture of good and bad ground: one bar a squad, cut into good, middling and bad hours.

Good is filled, middling plain, bad hatched, so that they are told apart in grey. Two short
lines at each bar mark the thirds that everybody would have, were ground shared evenly.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.drawings.svg import document, element, fit_lines, label, text_width

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

WIDTH = 360.0
ROW, TOP, SIDE, BAR = 38.0, 30.0, 10.0, 14.0
INK, SOFT, EDGE, FILL = "#1d2a26", "#4d5b55", "#d5d3c8", "#14584a"
MARK_INK = "#4d5b55"
STRIPE = 6.0
LETTERS, LINE = 13.0, 16.0
MOST_LINES = 3
"""Lines that a name may take."""


@dataclass(frozen=True, slots=True)
class Thirds:
    """One squad.

    Attributes:
        name: Whose.
        good: Part of its hours on good ground, 0 to 1.
        bad: Part on bad ground.
        words: What stands at the end of the line: its hours.
    """

    name: str
    good: float
    bad: float
    words: str


def draw_thirds(rows: Sequence[Thirds], title: str, summary: str) -> str:
    """Draw the squads one below the other as SVG.

    Args:
        rows: At least one, in the order wanted.
        title: What the picture shows.
        summary: The same in words.
    """
    named = [(row, _name_lines(row)) for row in rows]
    height = TOP + sum(_tall(lines) for _, lines in named) + 8
    return document(WIDTH, height, title, summary, _body(named, height))


def _name_lines(row: Thirds) -> list[str]:
    room = WIDTH - 2 * SIDE - text_width(row.words, LETTERS) - 12
    return fit_lines(row.name, LETTERS, room, MOST_LINES)


def _tall(lines: Sequence[str]) -> float:
    return ROW + LINE * (len(lines) - 1)


def _body(named: Sequence[tuple[Thirds, list[str]]], height: float) -> Iterator[str]:
    yield element("rect", x=0, y=0, width=WIDTH, height=height, fill="#ffffff")
    heads = ((_("good"), SIDE, "start"), (_("middling"), WIDTH / 2, "middle"))
    for words, x, anchor in (*heads, (_("bad"), WIDTH - SIDE, "end")):
        yield label(words, x, 12, size=12.5, fill=SOFT, anchor=anchor)
    top = TOP
    for row, lines in named:
        yield from _row(row, lines, top)
        top += _tall(lines)


def _row(row: Thirds, lines: Sequence[str], top: float) -> Iterator[str]:
    for n, line in enumerate(lines):
        yield label(line, SIDE, top + 8 + n * LINE, size=LETTERS, anchor="start")
    yield label(row.words, WIDTH - SIDE, top + 8, size=LETTERS, fill=SOFT, anchor="end")
    y = top + _tall(lines) - ROW + 18
    good, bad = _x(row.good), _x(1 - row.bad)
    yield element("rect", x=SIDE, y=y, width=_x(1) - SIDE, height=BAR, fill="#ffffff", stroke=EDGE)
    if row.good > 0:
        yield element("rect", x=SIDE, y=y, width=good - SIDE, height=BAR, fill=FILL)
    if row.bad > 0:
        width = _x(1) - bad
        yield element(
            "rect",
            x=bad,
            y=y,
            width=width,
            height=BAR,
            fill="#ffffff",
            stroke=INK,
            stroke_width=1.5,
        )
        for n in range(int(width // STRIPE)):
            x = bad + n * STRIPE
            reach = min(x + STRIPE, bad + width)
            yield element("line", x1=x, y1=y + BAR, x2=reach, y2=y, stroke=INK)
    for third in (1 / 3, 2 / 3):  # at the bar alone: a line all the way down would cross the names
        x = _x(third)
        yield element("line", x1=x, y1=y - 2.5, x2=x, y2=y + BAR + 4, stroke=MARK_INK)
        yield element("line", x1=x + 1, y1=y - 2.5, x2=x + 1, y2=y + BAR + 4, stroke="#ffffff")


def _x(part: float) -> float:
    return SIDE + (WIDTH - 2 * SIDE) * part
