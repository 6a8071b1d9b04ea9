"""A picture of load: an upright bar a week, a line across for the limit, or for the busiest week.

What was is filled, what is to come is pale with an edge, and bars over the limit are hatched
above it, so that all are told apart in grey.
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
KEY = 22.0
INK, SOFT, LINE, FILL, PALE = "#1d2a26", "#4d5b55", "#d5d3c8", "#14584a", "#dcebe4"
MOST = 2.0
"""Bars longer than twice the limit are cut off there."""
STRIPE = 6.0


@dataclass(frozen=True, slots=True)
class LoadBar:
    """One week.

    Attributes:
        name: Its words.
        share: Use over the limit, or over that of the busiest week; 1 is as high as the line.
        is_over: Whether it is over a limit.
        is_past: Whether the week is over; else it is under way or to come.
    """

    name: str
    share: float
    is_over: bool
    is_past: bool = True


def draw_load(bars: Sequence[LoadBar], title: str, summary: str, busiest: str = "") -> str:
    """Draw the weeks side by side as SVG.

    Args:
        bars: At least one, in order of time.
        title: What the picture shows.
        summary: The same in words.
        busiest: What the busiest week has, as "4.5 h", where there is no limit and the line stands
            for that week; blank for a limit.
    """
    height = HEIGHT + (0 if all(bar.is_past for bar in bars) else KEY)
    return document(WIDTH, height, title, summary, _body(bars, busiest, height))


def _body(bars: Sequence[LoadBar], busiest: str, height: float) -> Iterator[str]:
    yield element("rect", x=0, y=0, width=WIDTH, height=height, fill="#ffffff")
    top = max(1.25, min(MOST, max(bar.share for bar in bars)) * 1.08)
    words = busiest or _("limit")
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
    line = {"stroke_width": 1, "stroke_dasharray": "4 3"} if busiest else {"stroke_width": 2}
    yield element("line", x1=LEFT, y1=limit, x2=right, y2=limit, stroke=INK, **line)
    yield label(words, right + 6, limit, size=LETTERS, fill=INK, anchor="start")
    ground = _y(0.0, top)
    yield element("line", x1=LEFT, y1=ground, x2=right, y2=ground, stroke=LINE)
    if height > HEIGHT:
        yield from _key()


def _key() -> Iterator[str]:
    """Tell what was from what is to come."""
    x, y = LEFT, HEIGHT + KEY / 2 - 4
    for words, is_past in ((_("used"), True), (_("booked"), False)):
        yield _column(x, y - 6, 10, 12, is_past=is_past)
        yield label(words, x + 16, y, size=LETTERS, fill=INK, anchor="start")
        x += 16 + text_width(words, LETTERS) + 18


def _column(x: float, y: float, width: float, height: float, *, is_past: bool) -> str:
    look = {"fill": FILL} if is_past else {"fill": PALE, "stroke": FILL, "stroke_width": 1.2}
    return element("rect", x=x, y=y, width=width, height=height, **look)


def _bar(bar: LoadBar, left: float, width: float, top: float) -> Iterator[str]:
    share = min(bar.share, top)
    within, ground = min(share, 1.0), _y(0.0, top)
    if within > 0:
        y = _y(within, top)
        yield _column(left, y, width, ground - y, is_past=bar.is_past)
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
