"""Words in the blocks of a drawn week: the whole name, else as much as says who, else a number."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.outputs.charts.weeks.week_layout import Box
from clubplanner.outputs.charts.weeks.week_values import Look
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import PAPER

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.outputs.charts.weeks.week_values import Block

LEAST = 11.0
"""The smallest letters, units: a unit is a pixel or more wherever a week is shown."""
SIZES = (13.0, 12.0, LEAST)
LINE = 1.16
"""From one line to the next, for letters of size 1."""
SIDE, ABOVE = 2.6, 1.6
"""What stays free beside words, and above and below them."""
SIGN = 11.0
"""Side of the corner that a sign takes."""
FEWEST = 4
"""Letters of a name that must be left of it for people to know whose it is."""


def block_words(
    block: Block, box: Box, *, shows_times: bool, has_sign: bool = False
) -> Iterator[str]:
    """Write who has a block into it; nothing where not even a number finds room.

    Args:
        block: The block.
        box: Where it lies.
        shows_times: Whether its times stand below its name where there is room.
        has_sign: Whether a sign stands in its upper left corner.
    """
    lines, size, box = _placed(block, box, shows_times=shows_times, has_sign=has_sign)
    if not lines:
        return
    written = list(_lines(block, lines, size, box))
    if block.look is not Look.CLOSED:
        yield from written
        return
    wide = max(svg.text_width(line, size) for line in lines) + 4
    high = _high(lines, size) + 1
    middle = box.left + box.width / 2, box.top + box.height / 2
    plate = svg.element(  # keeps the hatch off the words
        "rect",
        x=middle[0] - wide / 2,
        y=middle[1] - high / 2,
        width=wide,
        height=high,
        fill=PAPER,
        fill_opacity=0.9,
    )
    yield svg.element("g", plate, *written)


def is_named(block: Block, box: Box, *, has_sign: bool = False) -> bool:
    """Tell whether a block has room for as much of its name as says who it is."""
    lines, *_where = _placed(block, box, shows_times=False, has_sign=has_sign)
    return bool(lines) and lines != [block.mark]


def _placed(
    block: Block, box: Box, *, shows_times: bool, has_sign: bool
) -> tuple[list[str], float, Box]:
    """Return the lines of a block, their size, and the box about whose middle they stand."""
    lines, size = _fitting(block, box, shows_times=shows_times)
    if has_sign and _meets_sign(lines, size, box, is_bold=block.is_chosen):
        box = Box(box.left + SIGN, box.top, box.width - SIGN, box.height)
        lines, size = _fitting(block, box, shows_times=shows_times)
    return lines, size, box


def _meets_sign(lines: Sequence[str], size: float, box: Box, *, is_bold: bool) -> bool:
    """Tell whether the first line would lie over the corner in which a sign stands."""
    if not lines or (box.height - _high(lines, size)) / 2 >= SIGN:
        return False
    return (box.width - svg.text_width(lines[0], size, bold=is_bold)) / 2 < SIGN


def _lines(block: Block, lines: Sequence[str], size: float, box: Box) -> Iterator[str]:
    """Write lines about the middle of a box; family and colour are those of the whole drawing."""
    x, y = box.left + box.width / 2, box.top + box.height / 2
    first = y - size * LINE * (len(lines) - 1) / 2
    for n, line in enumerate(lines):
        yield svg.element(
            "text",
            svg.words(line),
            x=x,
            y=first + n * size * LINE + size * 0.35,
            font_size=size,
            font_weight=700 if block.is_chosen else None,
            text_anchor="middle",
        )


def _fitting(block: Block, box: Box, *, shows_times: bool) -> tuple[list[str], float]:
    """Return the lines that say most in a box, and their size; no lines where nothing fits."""
    inner = 4 if block.look is Look.MATCH else 0  # its second edge
    room = (box.width - 2 * SIDE - inner, box.height - 2 * ABOVE - inner)
    is_bold = block.is_chosen
    for more in (block.times, "") if shows_times else ("",):
        for size in SIZES:
            lines = svg.wrap(block.who, size, room[0], bold=is_bold)
            if lines is None or svg.text_width(more, size) > room[0]:
                continue
            lines = [*lines, more] if more else lines
            if _high(lines, size) <= room[1]:
                return lines, size
    most = int(room[1] // (LEAST * LINE))
    if most:
        lines = svg.fit_lines(block.who, LEAST, room[0], most, bold=is_bold)
        if all(len(line.rstrip("…")) >= min(FEWEST, len(block.who)) for line in lines[:1]):
            return lines, LEAST
        if block.mark and svg.text_width(block.mark, LEAST, bold=is_bold) <= room[0]:
            return [block.mark], LEAST
    return [], LEAST


def _high(lines: Sequence[str], size: float) -> float:
    return size * LINE * len(lines)
