"""What the looks of a drawn week mean: of all of them only those that are on it."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import TimeRange
from clubplanner.language import _
from clubplanner.outputs.charts.weeks.week_layout import EDGE, Box
from clubplanner.outputs.charts.weeks.week_shapes import (
    as_is,
    block_shape,
    box_shape,
    dark_shape,
    draw_sign,
    gone_shape,
    lamps_shape,
)
from clubplanner.outputs.charts.weeks.week_values import Block, Look, Sign
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import GROUND_FILLS, OTHER_GROUND_FILL

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.outputs.charts.weeks.week_values import DrawnWeek

LETTERS = 12.0
SAMPLE = (24.0, 13.0)
LINE, BETWEEN = 20.0, 18.0
_SOME_TIME = TimeRange(datetime(2000, 1, 1, tzinfo=UTC), datetime(2000, 1, 1, 1, tzinfo=UTC))


def draw_key(week: DrawnWeek, width: float, top: float) -> tuple[list[str], float]:
    """Draw the key below a week.

    Args:
        week: What is drawn.
        width: Of the drawing, units.
        top: Where the key may begin.

    Returns:
        Its markup, and where it ends.
    """
    drawn: list[str] = []
    x, y = EDGE, top + LINE / 2
    for words, sample in _entries(week):
        wide = SAMPLE[0] + 6 + svg.text_width(words, LETTERS)
        if x > EDGE and x + wide > width - EDGE:
            x, y = EDGE, y + LINE
        box = Box(x, y - SAMPLE[1] / 2, *SAMPLE)
        drawn.extend(_sample(sample, box, week))
        drawn.append(svg.label(words, x + SAMPLE[0] + 6, y, size=LETTERS, anchor="start"))
        x += wide + BETWEEN
    return drawn, y + LINE / 2 + 2


def _entries(week: DrawnWeek) -> Iterator[tuple[str, str]]:
    """Yield the words and the name of each sample that the week needs."""
    bands = [band for pitch in week.pitches for band in pitch.bands]
    blocks = [block for band in bands for block in band.blocks]
    looks = {block.look for block in blocks if block.sign is not Sign.GONE}
    signs = {block.sign for block in blocks}
    entries = (
        (_("free"), "free", True),
        (_("training"), Look.TRAINING, Look.TRAINING in looks),
        (_("match"), Look.MATCH, Look.MATCH in looks),
        (_("hire"), Look.HIRE, Look.HIRE in looks),
        (_("closed"), Look.CLOSED, Look.CLOSED in looks),
        (_("too dark"), "dark", any(band.is_dark_in_part for band in bands)),
        (_("needs floodlights"), "lamps", any(band.lamps_from is not None for band in bands)),
        (_("could go here"), Look.OFFERED, Look.OFFERED in looks),
        (_("new"), Sign.ADDED, Sign.ADDED in signs),
        (_("moved here"), Sign.MOVED, Sign.MOVED in signs),
        (_("not here any more"), Sign.GONE, Sign.GONE in signs),
    )
    return ((words, str(name)) for words, name, is_there in entries if is_there)


def _sample(name: str, box: Box, week: DrawnWeek) -> Iterator[str]:
    if name in ("free", "dark"):
        surface = week.pitches[0].surface
        fill = GROUND_FILLS.get(surface, OTHER_GROUND_FILL)
        yield svg.element("path", d=svg.path_of(box_shape(box), as_is), fill=fill)
        if name == "dark":
            yield from dark_shape(box)
    elif name == "lamps":
        yield from lamps_shape(box.left + 2, box.right - 1, box.top + box.height / 2)
    else:
        is_look = name in {look.value for look in Look}
        look = Look(name) if is_look else Look.TRAINING
        sign = Sign.NONE if is_look else Sign(name)
        if sign is Sign.GONE:
            yield gone_shape(box_shape(box))
        else:
            yield from block_shape(Block(_SOME_TIME, (), "", "", look, sign=sign), box)
        yield from draw_sign(sign, box.left + box.width / 2, box.top + box.height / 2)
