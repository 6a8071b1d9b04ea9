"""A picture of good and bad ground: one bar a squad, cut into good, middling and bad hours.

Good is filled, middling plain, bad hatched, so that they are told apart in grey. Two thin lines
mark the thirds that everybody would have, were ground shared evenly.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.svg import clip_to_width, document, element, label

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

WIDTH = 460.0
ROW, TOP, SIDE, BAR = 38.0, 30.0, 10.0, 14.0
INK, SOFT, LINE, FILL = "#1d2a26", "#4d5b55", "#d5d3c8", "#14584a"
STRIPE = 6.0


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
    height = TOP + ROW * len(rows) + 8
    return document(WIDTH, height, title, summary, _body(rows, height))


def _body(rows: Sequence[Thirds], height: float) -> Iterator[str]:
    yield element("rect", x=0, y=0, width=WIDTH, height=height, fill="#ffffff")
    yield label(_("good"), SIDE, 13, size=12, fill=SOFT, anchor="start")
    yield label(_("middling"), WIDTH / 2, 13, size=12, fill=SOFT, anchor="middle")
    yield label(_("bad"), WIDTH - SIDE, 13, size=12, fill=SOFT, anchor="end")
    for n, row in enumerate(rows):
        yield from _row(row, TOP + n * ROW)
    for third in (1 / 3, 2 / 3):
        yield element(
            "line",
            x1=_x(third),
            y1=TOP - 6,
            x2=_x(third),
            y2=height - 6,
            stroke=SOFT,
            stroke_dasharray="3 3",
        )


def _row(row: Thirds, top: float) -> Iterator[str]:
    name = clip_to_width(row.name, 13, WIDTH - 2 * SIDE - 110)
    yield label(name, SIDE, top + 8, size=13, anchor="start")
    yield label(row.words, WIDTH - SIDE, top + 8, size=13, fill=SOFT, anchor="end")
    y = top + 17
    good, bad = _x(row.good), _x(1 - row.bad)
    yield element("rect", x=SIDE, y=y, width=_x(1) - SIDE, height=BAR, fill="#ffffff", stroke=LINE)
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


def _x(part: float) -> float:
    return SIDE + (WIDTH - 2 * SIDE) * part
