"""A picture of load against a limit: an upright bar a week, the limit a line across.

Bars over the line are hatched above it, so that they are told apart in grey.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.drawings.svg import document, element, label, text_width

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

WIDTH, HEIGHT = 360.0, 190.0
LEFT, TOP, BOTTOM = 8.0, 14.0, 30.0
LETTERS = 12.5
INK, SOFT, LINE, FILL = "#1d2a26", "#4d5b55", "#d5d3c8", "#14584a"
MOST = 2.0
"""Bars longer than twice the limit are cut off there."""
STRIPE = 6.0


@dataclass(frozen=True, slots=True)
class LoadBar:
    """One week.

    Attributes:
        name: Its words.
        share: Use over the limit; 1 is exactly the limit.
        is_over: Whether it is over.
    """

    name: str
    share: float
    is_over: bool


def draw_load(bars: Sequence[LoadBar], title: str, summary: str) -> str:
    """Draw the weeks side by side as SVG.

    Args:
        bars: At least one, in order of time.
        title: What the picture shows.
        summary: The same in words.
    """
    return document(WIDTH, HEIGHT, title, summary, _body(bars))


def _body(bars: Sequence[LoadBar]) -> Iterator[str]:
    yield element("rect", x=0, y=0, width=WIDTH, height=HEIGHT, fill="#ffffff")
    top = max(1.25, min(MOST, max(bar.share for bar in bars)) * 1.08)
    words = _("limit")
    right = WIDTH - 14 - text_width(words, LETTERS)
    step = (right - LEFT) / len(bars)
    named_to = 0.0
    for n, bar in enumerate(bars):
        left = LEFT + n * step + step * 0.12
        yield from _bar(bar, left, step * 0.76, top)
        reach = left + text_width(bar.name, LETTERS)
        if left >= named_to and reach <= WIDTH - 2:
            yield label(bar.name, left, HEIGHT - 13, size=LETTERS, fill=SOFT, anchor="start")
            named_to = max(reach + 12, left + step * (len(bars) // 5))
    limit = _y(1.0, top)
    yield element("line", x1=LEFT, y1=limit, x2=right, y2=limit, stroke=INK, stroke_width=2)
    yield label(words, right + 6, limit, size=LETTERS, fill=INK, anchor="start")
    ground = _y(0.0, top)
    yield element("line", x1=LEFT, y1=ground, x2=right, y2=ground, stroke=LINE)


def _bar(bar: LoadBar, left: float, width: float, top: float) -> Iterator[str]:
    share = min(bar.share, top)
    within, ground = min(share, 1.0), _y(0.0, top)
    if within > 0:
        y = _y(within, top)
        yield element("rect", x=left, y=y, width=width, height=ground - y, fill=FILL)
    if not bar.is_over:
        return
    limit, y = _y(1.0, top), _y(share, top)
    yield element(
        "rect",
        x=left,
        y=y,
        width=width,
        height=limit - y,
        fill="#ffffff",
        stroke=INK,
        stroke_width=1.5,
    )
    count = int((limit - y) // STRIPE)
    for n in range(1, count + 1):
        at = y + n * STRIPE
        if at < limit:
            yield element("line", x1=left, y1=at, x2=left + width, y2=at, stroke=INK)


def _y(share: float, top: float) -> float:
    return HEIGHT - BOTTOM - (HEIGHT - TOP - BOTTOM) * share / top
