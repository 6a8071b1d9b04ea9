"""A week drawn over time: evenings side by side, each pitch a strip of ground, who has how much.

Ground that nobody has keeps the colour of ground; what somebody has is paper with their name on
it, as high as its part of the pitch and as long as its time. Everything is told apart in grey: a
match by its double edge, a hire by a dashed one, closed ground by its hatch, what is too dark by
level lines, floodlights by a string of lamps.
"""

from __future__ import annotations

from itertools import takewhile
from typing import TYPE_CHECKING

import shapely

from clubplanner.outputs.charts.weeks.week_key import draw_key
from clubplanner.outputs.charts.weeks.week_layout import FOOT, HEAD, NAME, Box, lay_out
from clubplanner.outputs.charts.weeks.week_shapes import (
    LIGHT,
    as_is,
    block_shape,
    box_shape,
    dark_shape,
    draw_sign,
    gone_shape,
    lamps_shape,
)
from clubplanner.outputs.charts.weeks.week_values import Sign
from clubplanner.outputs.charts.weeks.week_words import LEAST, block_words, is_named
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import (
    GROUND_FILLS,
    INK,
    OTHER_GROUND_FILL,
    OWN_FILL,
    PAPER,
    SOFT_INK,
)

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import datetime

    from shapely.geometry.base import BaseGeometry

    from clubplanner.outputs.charts.weeks.week_layout import Layout
    from clubplanner.outputs.charts.weeks.week_values import (
        Band,
        Block,
        DrawnPitch,
        DrawnWeek,
        Form,
    )

GUIDE, NOT_OPEN = "#a9b79b", "#b9bdb4"
FRAME_EDGE = 1.2
"""By how much a frame of somebody who is gone stands inside their ground."""
LEAST_FRAME = 3.5
"""Half of the width of a frame that can be seen as one."""
MOST_TITLED = 40
"""Where more are gone, as where a whole plan takes another's place, frames have no titles: the
table beside the drawing says who it is."""


def draw_week(week: DrawnWeek, form: Form) -> str:
    """Draw a week, or an evening of it, as SVG.

    Args:
        week: What to draw.
        form: The sheet to draw it on.

    Returns:
        A drawing with the width of the form, as high as its pitches need. Blocks with an address
        are links, in order of evening, pitch and time.
    """
    layout = lay_out(week, form)
    parts = [*_heads(week, layout), *_names(week, layout, form)]
    is_titled = _count_gone(week) <= MOST_TITLED
    for evening in range(len(week.evenings)):
        for number, pitch in enumerate(week.pitches):
            parts.extend(_band(week, pitch, evening, number, layout, form, is_titled=is_titled))
    key, height = draw_key(week, form.width, layout.bottom)
    ground = svg.element("rect", x=0, y=0, width=form.width, height=height, fill=PAPER)
    body = [svg.element("g", ground, *parts, *key, font_family=svg.FONT, fill=INK)]
    has_links = any(b.address for p in week.pitches for band in p.bands for b in band.blocks)
    role = "group" if has_links else "img"
    return svg.document(form.width, height, week.title, week.summary, body, role=role)


def unnamed_blocks(week: DrawnWeek, form: Form) -> tuple[Block, ...]:
    """Return the blocks on which at most a number stands, for a list beside a drawing on paper.

    What is gone has no number, and no name either where others are or were on its ground.
    """
    layout = lay_out(week, form)
    found = []
    for number, pitch in enumerate(week.pitches):
        for evening, band in enumerate(pitch.bands):
            for block in band.blocks:
                there = [layout.box(evening, number, block.during, lane) for lane in block.lanes]
                boxes = [box for box in there if box is not None]
                is_shown = block.sign is not Sign.GONE or _is_alone(block, band)
                if boxes and not (is_shown and any(_is_named(block, box) for box in boxes)):
                    found.append(block)
    return tuple(found)


def _is_named(block: Block, box: Box) -> bool:
    if block.sign is Sign.GONE:
        return is_named(block, _within_frame(box), has_sign=True)
    return is_named(block, box, has_sign=_has_sign(block, box))


def _has_sign(block: Block, box: Box) -> bool:
    return block.sign is not Sign.NONE and box.width > 24 and box.height > 14


def _within_frame(box: Box) -> Box:
    """Return what of a box is left within the frame of somebody who is gone."""
    return Box(box.left + 2, box.top, box.width - 4, box.height)


def _is_alone(block: Block, band: Band) -> bool:
    """Tell whether a name can be read where somebody was: on light ground, and on no other's.

    Of those that are gone from the same ground the first has it.
    """
    if band.is_dark_during(block.during):
        return False
    before = takewhile(lambda other: other is not block, band.blocks)
    others = (*before, *(other for other in band.blocks if other.sign is not Sign.GONE))
    return not any(
        other.during.overlaps(block.during)
        and any(a < d and c < b for a, b in block.lanes for c, d in other.lanes)
        for other in others
    )


def _count_gone(week: DrawnWeek) -> int:
    blocks = (block for pitch in week.pitches for band in pitch.bands for block in band.blocks)
    return sum(block.sign is Sign.GONE for block in blocks)


def _heads(week: DrawnWeek, layout: Layout) -> Iterator[str]:
    for n, evening in enumerate(week.evenings):
        left, right = layout.lefts[n], layout.x(n, evening.during.ends_at)
        room = right - left
        name = svg.clip_to_width(evening.name, 13, room, bold=True)
        if evening.is_now:  # a heavy line under the name, as under the page we are on
            reach = left + svg.text_width(name, 13, bold=True)
            data = svg.path_of(shapely.box(left, 16.5, reach, 19.5), as_is)
            yield svg.element("path", d=data, fill=OWN_FILL)
        yield svg.label(name, left, 8, size=13, bold=True, anchor="start")
        free_from = left - 3.0
        for instant, hour in evening.hours:
            x, half = layout.x(n, instant), svg.text_width(hour, LEAST) / 2
            if x - half >= free_from and x + half <= right + 6:
                yield svg.label(hour, x, HEAD - 11, size=LEAST, fill=SOFT_INK)
                free_from = x + half + 5


def _names(week: DrawnWeek, layout: Layout, form: Form) -> Iterator[str]:
    for n, pitch in enumerate(week.pitches):
        y = layout.top(n) - NAME / 2 - 0.5
        name = svg.clip_to_width(pitch.name, 13, form.width - 8, bold=True)
        yield svg.label(name, layout.lefts[0], y, size=13, bold=True, anchor="start")
        x = layout.lefts[0] + svg.text_width(name, 13, bold=True) + 10
        if x + svg.text_width(pitch.about, LEAST) <= form.width:
            yield svg.label(pitch.about, x, y, size=LEAST, fill=SOFT_INK, anchor="start")


def _band(
    week: DrawnWeek,
    pitch: DrawnPitch,
    evening: int,
    number: int,
    layout: Layout,
    form: Form,
    *,
    is_titled: bool,
) -> Iterator[str]:
    band = pitch.bands[evening]
    boxes = [
        (
            block,
            [
                box
                for lane in block.lanes
                if (box := layout.box(evening, number, block.during, lane))
            ],
        )
        for block in band.blocks
    ]
    boxes = [(block, there) for block, there in boxes if there]
    held = shapely.union_all(
        [box_shape(box) for block, there in boxes if block.sign is not Sign.GONE for box in there]
    )
    was = shapely.union_all([box_shape(box) for _who, there in boxes for box in there])
    yield from _ground(pitch, band, evening, number, layout)
    hours = [at for at, _hour in week.evenings[evening].hours]
    yield from _guides(pitch, band, hours, was, evening, number, layout)
    yield from _lamps(band, evening, number, layout)
    for block, there in boxes:
        if block.sign is Sign.GONE:
            is_alone = _is_alone(block, band)
            yield from _gone(block, there, held, is_named=is_alone, is_titled=is_titled)
            held = held.union(shapely.union_all([box_shape(box) for box in there]))
    for block, there in boxes:
        if block.sign is not Sign.GONE:
            drawn = "".join(_block(block, there, form))
            title = svg.element("title", svg.words(block.words))
            if block.address:
                yield svg.element("a", title, drawn, href=block.address)
            else:
                yield svg.element("g", title, drawn)


def _ground(
    pitch: DrawnPitch, band: Band, evening: int, number: int, layout: Layout
) -> Iterator[str]:
    """Draw the ground while people may be there, and what of it is too dark."""
    shown = layout.ranges[evening]
    whole = layout.box(evening, number, shown, (0.0, 1.0))
    opened = [layout.box(evening, number, during, (0.0, 1.0)) for during in band.opened]
    fill = GROUND_FILLS.get(pitch.surface, OTHER_GROUND_FILL)
    ground = [box for box in opened if box is not None]
    if whole is not None and ground != [whole]:
        data = svg.path_of(box_shape(whole), as_is)
        dashes = {"stroke": NOT_OPEN, "stroke_width": LIGHT, "stroke_dasharray": "1 3"}
        yield svg.element("path", d=data, fill="none", **dashes)
    for box in ground:
        yield svg.element("path", d=svg.path_of(box_shape(box), as_is), fill=fill)
        dark = (_until(box, band.dark_until, evening, layout),
                _from(box, band.dark_from, evening, layout))  # fmt: skip
        for there in filter(None, dark):
            yield from dark_shape(there)


def _until(box: Box, instant: datetime | None, evening: int, layout: Layout) -> Box | None:
    """Return what of a box lies before an instant."""
    if instant is None:
        return None
    width = min(box.right, layout.x(evening, instant)) - box.left
    return Box(box.left, box.top, width, box.height) if width > 0 else None


def _from(box: Box, instant: datetime | None, evening: int, layout: Layout) -> Box | None:
    """Return what of a box lies after an instant."""
    if instant is None:
        return None
    left = max(box.left, layout.x(evening, instant))
    return Box(left, box.top, box.right - left, box.height) if left < box.right else None


def _guides(
    pitch: DrawnPitch,
    band: Band,
    hours: Sequence[datetime],
    held: BaseGeometry,
    evening: int,
    number: int,
    layout: Layout,
) -> Iterator[str]:
    """Draw the hours and the lines of the usual cut on ground that nobody has, or had."""
    cuts, times = [], []
    for during in band.opened:
        box = layout.box(evening, number, during, (0.0, 1.0))
        if box is None:
            continue
        heights = [box.top + guide * box.height for guide in pitch.guides]
        cuts += [shapely.LineString([(box.left, y), (box.right, y)]) for y in heights]
        places = [layout.x(evening, at) for at in hours if during.contains(at)]
        times += [shapely.LineString([(x, box.top), (x, box.bottom)]) for x in places]
    dashes = {"stroke": GUIDE, "stroke_width": LIGHT, "stroke_dasharray": "5 4"}
    for lines, stroke in ((times, {"stroke": PAPER, "stroke_width": 1.2}), (cuts, dashes)):
        free = shapely.difference(shapely.MultiLineString(lines), held.buffer(0.8))
        if not free.is_empty:
            yield svg.element("path", d=svg.path_of(free, as_is), fill="none", **stroke)


def _lamps(band: Band, evening: int, number: int, layout: Layout) -> Iterator[str]:
    """Draw a string of lamps below the ground while it needs them."""
    if band.lamps_from is None:
        return
    for during in band.opened:
        whole = layout.box(evening, number, during, (0.0, 1.0))
        lit = None if whole is None else _from(whole, band.lamps_from, evening, layout)
        if lit is None or lit.width < FOOT:
            continue
        yield from lamps_shape(lit.left + 4, lit.right - 3, lit.bottom + FOOT / 2)


def _gone(
    block: Block, there: Sequence[Box], held: BaseGeometry, *, is_named: bool, is_titled: bool
) -> Iterator[str]:
    """Draw where somebody was, as far as nobody else is there now; with a name if all is free.

    Args:
        block: What was there.
        there: Where.
        held: What others have now, or had, on the same band.
        is_named: Whether their name is to stand there.
        is_titled: Whether it is read aloud there.
    """
    drawn: list[str] = []
    named: list[str] = []
    for box in there:
        left = shapely.difference(box_shape(box).buffer(-FRAME_EDGE), held.buffer(FRAME_EDGE))
        frames = [
            part for part in shapely.get_parts(left) if not part.buffer(-LEAST_FRAME).is_empty
        ]
        if not frames:
            continue
        drawn.append(gone_shape(shapely.union_all(frames)))
        corner = shapely.box(box.left, box.top, box.left + 11, box.top + 11).buffer(-1.5)
        has_sign = shapely.union_all(frames).covers(corner)
        if has_sign:
            drawn.extend(draw_sign(Sign.GONE, box.left + 7, box.top + 7))
        if is_named:
            inner = _within_frame(box)
            named.extend(block_words(block, inner, shows_times=False, has_sign=has_sign))
    if not is_titled and not named:
        yield from drawn
    elif drawn:
        title = [svg.element("title", svg.words(block.words))] if is_titled else []
        yield svg.element("g", *title, *drawn, *named, fill=SOFT_INK)


def _block(block: Block, there: Sequence[Box], form: Form) -> Iterator[str]:
    for box in there:
        yield from block_shape(block, box)
        has_sign = _has_sign(block, box)
        if has_sign:
            yield from draw_sign(block.sign, box.left + 6, box.top + 6)
        yield from block_words(block, box, shows_times=form.shows_times, has_sign=has_sign)
