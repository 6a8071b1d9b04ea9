"""A picture of lines that have parts: a bar each, its parts one after the other.

Parts are told apart in grey: filled, pale with an edge, hatched. A frame stands for what a bar is
measured against.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.outputs.drawings.svg import (
    clip_to_width,
    document,
    element,
    fit_lines,
    label,
    text_width,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

WIDTH, SIDE = 340.0, 8.0
ROW, LINE, BAR = 38.0, 16.0, 13.0
MOST_LINES = 2
"""Lines that a name may take."""
LETTERS = 13.0
KEY_LETTERS, KEY_ROW, BOX = 12.5, 19.0, 12.0
TOP = 8.0
INK, SOFT, EDGE, FILL, PALE = "#1d2a26", "#4d5b55", "#8a948f", "#14584a", "#dcebe4"
STRIPE = 5.0


class Look(StrEnum):
    """How a part is drawn."""

    FILLED = "filled"
    PALE = "pale"
    HATCHED = "hatched"


@dataclass(frozen=True, slots=True)
class PartLook:
    """What a part of a bar is, in words, and how it is drawn."""

    words: str
    look: Look


@dataclass(frozen=True, slots=True)
class PartsBar:
    """One bar.

    Attributes:
        name: Whose or of what.
        told: Its figure in words.
        parts: How long each part is, 0 or more.
        frame: How long the frame round it is; None for none.
    """

    name: str
    told: str
    parts: tuple[float, ...]
    frame: float | None = None


def draw_parts(
    bars: Sequence[PartsBar],
    looks: Sequence[PartLook],
    title: str,
    summary: str,
    *,
    whole: float | None = None,
    frame_words: str = "",
) -> str:
    """Draw bars one below the other as SVG, in the order given.

    Args:
        bars: At least one.
        looks: How each of their parts is drawn, in order.
        title: What the picture shows.
        summary: The same in words for those who cannot see it.
        whole: What the full width stands for; None for the longest bar or frame.
        frame_words: What frames stand for; blank where there are none.
    """
    full = whole or max((max(sum(bar.parts), bar.frame or 0.0) for bar in bars), default=0.0)
    named = [(bar, _name_lines(bar)) for bar in bars]
    keys = list(_key_places(looks, frame_words))
    below_key = TOP + (keys[-1][1] + KEY_ROW + 4 if keys else 0.0)
    height = below_key + sum(_tall(lines) for _unused, lines in named) + 4
    return document(
        WIDTH, height, title, summary, _body(named, looks, keys, below_key, full or 1.0, height)
    )


def _name_lines(bar: PartsBar) -> list[str]:
    room = WIDTH - 2 * SIDE - text_width(bar.told, LETTERS) - 10
    return fit_lines(bar.name, LETTERS, room, MOST_LINES)


def _tall(lines: Sequence[str]) -> float:
    return ROW + LINE * (len(lines) - 1)


def _key_places(
    looks: Sequence[PartLook], frame_words: str
) -> Iterator[tuple[float, float, str, Look | None]]:
    """Yield x, y, words and look of each entry of the key; a frame has no look."""
    entries = [(one.words, one.look) for one in looks if len(looks) > 1 or frame_words]
    framed: list[tuple[str, Look | None]] = [*entries]
    if frame_words:
        framed.append((frame_words, None))
    x, y = SIDE, 0.0
    for words, look in framed:
        words = clip_to_width(words, KEY_LETTERS, WIDTH - 2 * SIDE - BOX - 6)
        width = BOX + 6 + text_width(words, KEY_LETTERS)
        if x > SIDE and x + width > WIDTH - SIDE:
            x, y = SIDE, y + KEY_ROW
        yield x, y, words, look
        x += width + 14


def _body(
    named: Sequence[tuple[PartsBar, list[str]]],
    looks: Sequence[PartLook],
    keys: Sequence[tuple[float, float, str, Look | None]],
    top: float,
    full: float,
    height: float,
) -> Iterator[str]:
    yield element("rect", x=0, y=0, width=WIDTH, height=height, fill="#ffffff")
    for x, y, words, look in keys:
        yield from _part(x, TOP + y, BOX, look)
        yield label(words, x + BOX + 6, TOP + y + BOX / 2, size=KEY_LETTERS, anchor="start")
    for bar, lines in named:
        yield from _bar(bar, lines, looks, top, full)
        top += _tall(lines)


def _bar(
    bar: PartsBar, lines: Sequence[str], looks: Sequence[PartLook], top: float, full: float
) -> Iterator[str]:
    for n, line in enumerate(lines):
        yield label(line, SIDE, top + 8 + n * LINE, size=LETTERS, anchor="start")
    yield label(bar.told, WIDTH - SIDE, top + 8, size=LETTERS, anchor="end")
    room = WIDTH - 2 * SIDE
    x, y = SIDE, top + _tall(lines) - ROW + 18
    yield element("line", x1=SIDE, y1=y, x2=SIDE, y2=y + BAR, stroke=EDGE)
    for part, one in zip(bar.parts, looks, strict=True):
        width = min(room * max(part, 0.0) / full, WIDTH - SIDE - x)
        yield from _part(x, y, width, one.look)
        x += width
    if bar.frame:
        yield element(
            "rect",
            x=SIDE,
            y=y - 2,
            width=min(room * bar.frame / full, room),
            height=BAR + 4,
            fill="none",
            stroke=INK,
            stroke_width=1.5,
        )


def _part(x: float, y: float, width: float, look: Look | None) -> Iterator[str]:
    """Draw a part; one that is too narrow for a line is left out, and None is a frame."""
    if width < 0.3:
        return
    shape = {"x": x, "y": y, "width": width, "height": BAR}
    if look is Look.FILLED:
        yield element("rect", **shape, fill=FILL)
        return
    if look is Look.PALE:
        yield element("rect", **shape, fill=PALE, stroke=FILL, stroke_width=0.8)
        return
    line = {"stroke": INK, "stroke_width": 1.5 if look is None else 0.8}
    yield element("rect", **shape, fill="#ffffff", **line)
    if look is None:
        return
    count = int((width + BAR) / STRIPE)
    for n in range(1, count + 1):
        low = x + n * STRIPE
        left, right = max(x, low - BAR), min(x + width, low)
        if right - left < 0.5:
            continue
        yield element(
            "line",
            x1=left,
            y1=y + (low - left),
            x2=right,
            y2=y + (low - right),
            stroke=INK,
            stroke_width=0.9,
        )
