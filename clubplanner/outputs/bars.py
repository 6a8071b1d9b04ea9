"""A picture of how well squads are served: one bar each, the worst-off first.

Bars can be told apart in grey: those below the mark are hatched, the others filled.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.outputs.svg import clip_to_width, document, element, label

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

WIDTH = 340.0
ROW = 34.0
TOP = 26.0
SIDE = 10.0
BAR = 12.0
INK, SOFT, LINE, FILL = "#1d2a26", "#4d5b55", "#d5d3c8", "#14584a"
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
    height = TOP + ROW * len(bars) + 8
    return document(WIDTH, height, title, summary, _body(bars, height))


def _body(bars: Sequence[Bar], height: float) -> Iterator[str]:
    yield element("rect", x=0, y=0, width=WIDTH, height=height, fill="#ffffff")
    for mark in MARKS:
        x = _x(mark)
        yield element("line", x1=x, y1=TOP, x2=x, y2=height - 6, stroke=LINE, stroke_width=1)
        anchor = {0: "start", 100: "end"}.get(mark, "middle")
        yield label(f"{mark} %", x, 12, size=11, fill=SOFT, anchor=anchor)
    for n, bar in enumerate(bars):
        yield from _bar(bar, TOP + n * ROW)


def _bar(bar: Bar, top: float) -> Iterator[str]:
    name = clip_to_width(bar.name, 13, WIDTH - 2 * SIDE - 50)
    yield label(name, SIDE, top + 8, size=13, anchor="start", bold=bar.is_low)
    yield label(f"{bar.percent} %", WIDTH - SIDE, top + 8, size=13, anchor="end", bold=bar.is_low)
    left, width, y = _x(0), _x(bar.percent) - _x(0), top + 16
    shape = {"x": left, "y": y, "width": width, "height": BAR}
    yield element("rect", x=left, y=y, width=_x(100) - left, height=BAR, fill="none", stroke=LINE)
    if not bar.is_low:
        yield element("rect", **shape, fill=FILL)
        return
    yield element("rect", **shape, fill="#ffffff", stroke=INK, stroke_width=1.5)
    for n in range(int(width // STRIPE)):
        x = left + n * STRIPE
        yield element("line", x1=x, y1=y + BAR, x2=x + STRIPE, y2=y, stroke=INK, stroke_width=1.5)


def _x(percent: float) -> float:
    return SIDE + (WIDTH - 2 * SIDE) * percent / 100
