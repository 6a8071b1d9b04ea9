"""A picture of how well squads are served: one bar each, the worst-off first.

Bars can be told apart in grey: those below the mark are hatched, the others filled.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.outputs.drawings.svg import document, element, fit_lines, label

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

WIDTH = 340.0
ROW = 34.0
LINE = 16.0
MOST_LINES = 3
"""Lines that a name may take."""
TOP = 26.0
SIDE = 10.0
BAR = 12.0
INK, SOFT, EDGE, FILL = "#1d2a26", "#4d5b55", "#d5d3c8", "#14584a"
MARKS = (0, 50, 100)
STRIPE = 6.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar.

    Attributes:
        name: Whose.
        percent: How long, 0 to 100.
        is_low: Whether it is drawn as one to look after.
    """

    name: str
    percent: int
    is_low: bool


def draw_bars(bars: Sequence[Bar], title: str, summary: str) -> str:
    """Draw bars one below the other as SVG, in the order given.

    Args:
        bars: At least one.
        title: What the picture shows.
        summary: The same in words for those who cannot see it.
    """
    named = [(bar, _name_lines(bar)) for bar in bars]
    height = TOP + sum(_tall(lines) for _, lines in named) + 8
    return document(WIDTH, height, title, summary, _body(named, height))


def _name_lines(bar: Bar) -> list[str]:
    return fit_lines(bar.name, 13, WIDTH - 2 * SIDE - 60, MOST_LINES, bold=bar.is_low)


def _tall(lines: Sequence[str]) -> float:
    return ROW + LINE * (len(lines) - 1)


def _body(named: Sequence[tuple[Bar, list[str]]], height: float) -> Iterator[str]:
    yield element("rect", x=0, y=0, width=WIDTH, height=height, fill="#ffffff")
    for mark in MARKS:
        anchor = {0: "start", 100: "end"}.get(mark, "middle")
        yield label(f"{mark} %", _x(mark), 10, size=12.5, fill=SOFT, anchor=anchor)
    top = TOP
    for bar, lines in named:
        yield from _bar(bar, lines, top)
        top += _tall(lines)


def _bar(bar: Bar, lines: Sequence[str], top: float) -> Iterator[str]:
    for n, line in enumerate(lines):
        yield label(line, SIDE, top + 8 + n * LINE, size=13, anchor="start", bold=bar.is_low)
    yield label(f"{bar.percent} %", WIDTH - SIDE, top + 8, size=13, anchor="end", bold=bar.is_low)
    left, width, y = _x(0), _x(bar.percent) - _x(0), top + _tall(lines) - ROW + 17
    for mark in MARKS:  # beside the bar alone: a line all the way down would cross the names
        x = _x(mark)
        yield element("line", x1=x, y1=y - 1.5, x2=x, y2=y + BAR + 3, stroke=EDGE)
    shape = {"x": left, "y": y, "width": width, "height": BAR}
    yield element("rect", x=left, y=y, width=_x(100) - left, height=BAR, fill="none", stroke=EDGE)
    if not bar.is_low:
        yield element("rect", **shape, fill=FILL)
        return
    yield element("rect", **shape, fill="#ffffff", stroke=INK, stroke_width=1.5)
    for n in range(int(width // STRIPE)):
        x = left + n * STRIPE
        yield element("line", x1=x, y1=y + BAR, x2=x + STRIPE, y2=y, stroke=INK, stroke_width=1.5)


def _x(percent: float) -> float:
    return SIDE + (WIDTH - 2 * SIDE) * percent / 100
