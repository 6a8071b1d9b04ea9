"""Pictures of how evenly something was shared: a row a squad, and all squads on one line.

A frame is what a squad asked for, filled as far as it had it, with a tick where an even share had
come to. Who had less than that is hatched, not filled. Beside it its hours on good ground are
filled, those on bad ground hatched. So all can be told apart in grey.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely

from clubplanner.language import _
from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import INK, PAPER, SOFT_INK

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

LETTERS, SMALL = 12.5, 11.5
FILL, FRAME = "#14584a", "#8b978f"
BAR, TICK = 11.0, 4.0
EDGE, HEAD, KEY_LINE = 6.0, 24.0, 20.0
SPREAD = (360.0, 118.0)
SPREAD_FOOT = 26.0
BIN_PERCENT = 4
MOST_DOT = 4.0
MOST_DRAWN = 1.25
"""Parts of what was asked for beyond this are drawn as this much."""


@dataclass(frozen=True, slots=True)
class FairRow:
    """A squad.

    Attributes:
        name: As people say it.
        words: Its hours in words.
        had: Hours had over hours asked for; None where it asked for nothing.
        even: An even share over hours asked for; None likewise.
        good: Part of its hours on good ground, 0 to 1; None without an hour.
        bad: Part on bad ground, likewise.
        earlier: What earlier stretches left, in short; blank for nothing.
    """

    name: str
    words: str
    had: float | None
    even: float | None
    good: float | None
    bad: float | None
    earlier: str

    @property
    def is_under(self) -> bool:
        """Whether it had less than an even share, by more than a hundredth of what it asked for."""
        return self.had is not None and self.even is not None and self.had < self.even - 0.01


@dataclass(frozen=True, slots=True)
class _Form:
    """Where the parts of a row lie: ranges across, and how far the bars are below its top."""

    width: float
    row: float
    drop: float
    name: tuple[float, float]
    words: float
    hours: tuple[float, float]
    ground: tuple[float, float]
    earlier: float | None


WIDE = _Form(1160, 25, 0, (6, 210), 690, (220, 560), (730, 1040), 1154)
NARROW = _Form(318, 41, 19, (6, 170), 312, (6, 178), (196, 312), None)


def draw_fair(rows: Sequence[FairRow], title: str, summary: str, *, is_narrow: bool = False) -> str:
    """Draw squads one below the other as SVG.

    Args:
        rows: At least one, in the order wanted.
        title: What the picture shows.
        summary: The same in words.
        is_narrow: Whether it is for a narrow screen, names above the bars.
    """
    form = NARROW if is_narrow else WIDE
    key, height = _key(rows, form, HEAD + form.row * len(rows) + 4)
    body = [
        svg.element("rect", x=0, y=0, width=form.width, height=height, fill=PAPER),
        *_heads(rows, form),
    ]
    for n, row in enumerate(rows):
        body.extend(_row(row, form, HEAD + n * form.row))
    return svg.document(form.width, height, title, summary, [*body, *key])


def _heads(rows: Sequence[FairRow], form: _Form) -> Iterator[str]:
    y = HEAD / 2 - 2
    heads = [(_("had, of what it asked for"), form.hours[0], "start")]
    if any(row.good is not None for row in rows):
        heads.append((_("ground"), form.ground[0], "start"))
    if form.earlier is not None and any(row.earlier for row in rows):
        heads.append((_("earlier"), form.earlier, "end"))
    for words, x, anchor in heads:
        yield svg.label(words, x, y, size=SMALL, fill=SOFT_INK, anchor=anchor)


def _row(row: FairRow, form: _Form, top: float) -> Iterator[str]:
    y = top + (form.row if not form.drop else form.drop) / 2
    at = form.words - form.name[0] - svg.text_width(row.words, LETTERS) - 10
    room = form.name[1] - form.name[0] if not form.drop else at
    name = svg.clip_to_width(row.name, LETTERS, room)
    yield svg.label(name, form.name[0], y, size=LETTERS, anchor="start")
    yield svg.label(row.words, form.words, y, size=LETTERS, fill=SOFT_INK, anchor="end")
    middle = top + form.drop + (form.row - form.drop) / 2 - (3 if form.drop else 0)
    if row.had is not None:
        yield from _hours(row, form.hours, middle)
    if row.good is not None and row.bad is not None:
        yield from _ground(row.good, row.bad, form.ground, middle)
    if form.earlier is not None and row.earlier:
        yield svg.label(row.earlier, form.earlier, y, size=LETTERS, anchor="end")


def _hours(row: FairRow, across: tuple[float, float], y: float) -> Iterator[str]:
    left, long = across[0], (across[1] - across[0]) / MOST_DRAWN
    had = long * min(row.had or 0.0, MOST_DRAWN)
    yield from _frame(left, left + long, y)
    if had > 0:
        yield from (_hatched if row.is_under else _filled)(left, left + had, y)
    if row.even is not None:
        yield from _tick(left + long * min(row.even, MOST_DRAWN), y)


def _ground(good: float, bad: float, across: tuple[float, float], y: float) -> Iterator[str]:
    left, right = across
    yield from _frame(left, right, y)
    if good > 0:
        yield from _filled(left, left + (right - left) * good, y)
    if bad > 0:
        yield from _hatched(right - (right - left) * bad, right, y)
    for third in (1 / 3, 2 / 3):
        yield from _tick(left + (right - left) * third, y)


def _frame(left: float, right: float, y: float) -> Iterator[str]:
    shape = {"x": left, "y": y - BAR / 2, "width": right - left, "height": BAR}
    yield svg.element("rect", **shape, fill=PAPER, stroke=FRAME)


def _filled(left: float, right: float, y: float) -> Iterator[str]:
    yield svg.element("rect", x=left, y=y - BAR / 2, width=right - left, height=BAR, fill=FILL)


def _hatched(left: float, right: float, y: float) -> Iterator[str]:
    box = shapely.box(left, y - BAR / 2, right, y + BAR / 2)
    lines = svg.path_of(svg.hatch(box, 4.0, 60), svg.as_it_is)
    yield svg.element("path", d=lines, fill="none", stroke=INK, stroke_width=1.2)
    data = svg.path_of(box, svg.as_it_is)
    yield svg.element("path", d=data, fill="none", stroke=INK, stroke_width=1.2)


def _tick(x: float, y: float) -> Iterator[str]:
    """Draw a mark through a bar: dark on paper, and pale on what is filled."""
    ends = {"y1": y - BAR / 2 - TICK, "y2": y + BAR / 2 + TICK}
    yield svg.element("line", x1=x, x2=x, **ends, stroke=PAPER, stroke_width=3.4)
    yield svg.element("line", x1=x, x2=x, **ends, stroke=INK, stroke_width=1.4)


def _key(rows: Sequence[FairRow], form: _Form, top: float) -> tuple[list[str], float]:
    entries = [
        (_("had"), "filled"),
        (_("less than an even share"), "hatched"),
        (_("an even share"), "tick"),
    ]
    if any(row.good is not None for row in rows):
        entries += [(_("good ground"), "filled"), (_("middling"), "frame"), (_("bad"), "hatched")]
    drawn, x, y = list[str](), EDGE, top + KEY_LINE / 2
    for words, name in entries:
        wide = 24 + svg.text_width(words, SMALL)
        if x > EDGE and x + wide > form.width - EDGE:
            x, y = EDGE, y + KEY_LINE
        look = {"filled": _filled, "hatched": _hatched, "frame": _frame}.get(name)
        drawn.extend(_tick(x + 9, y) if look is None else look(x, x + 18, y))
        drawn.append(svg.label(words, x + 24, y, size=SMALL, anchor="start"))
        x += wide + 14
    return drawn, y + KEY_LINE / 2 + 2


def draw_spread(parts: Sequence[float], title: str, summary: str) -> str:
    """Draw each squad as a dot where it stands between nothing and all that it asked for.

    Args:
        parts: Hours had over hours asked for, at least one; beyond all counts as all.
        title: What the picture shows.
        summary: The same in words.
    """
    (width, height), side = SPREAD, 14.0
    columns = Counter(round(100 * min(part, 1.0) / BIN_PERCENT) for part in parts)
    across = (width - 2 * side) / (100 / BIN_PERCENT)
    ground = height - SPREAD_FOOT
    step = min(2 * MOST_DOT + 1, across, (ground - 8) / max(columns.values()))
    body = [svg.element("rect", x=0, y=0, width=width, height=height, fill=PAPER)]
    line = {"x1": side, "x2": width - side, "y1": ground, "y2": ground}
    body.append(svg.element("line", **line, stroke=FRAME))
    places = (
        (side + column * across, ground - 2 - (n + 0.5) * step)
        for column, count in sorted(columns.items())
        for n in range(count)
    )
    body.append(svg.dots(places, min(MOST_DOT, step * 0.48), FILL))
    for percent, anchor in ((0, "start"), (50, "middle"), (100, "end")):
        x = side + (width - 2 * side) * percent / 100
        x += {"start": -6, "middle": 0, "end": 6}[anchor]
        body.append(svg.label(f"{percent} %", x, height - 13, size=LETTERS, anchor=anchor))
    return svg.document(width, height, title, summary, body)
