"""Where words may stand on a drawing: never over each other, over a line or over a sign.

Every drawing says first what its lines and signs take up, then asks for places. Words that find
none are told in a key below the drawing, under a letter that stands on, or points to, their ground.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import shapely

from clubplanner.outputs.drawings import svg
from clubplanner.outputs.drawings.plan_values import INK, PAPER, SOFT_INK

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    import numpy.typing as npt
    from shapely.geometry.base import BaseGeometry

    Spots = npt.NDArray[np.float64]

Lines = list[tuple[str, float, bool]]
"""Lines of text, each with its size and whether it is bold."""

LEAST = 12.5
"""The smallest letters: 11 pixels where a drawing of 360 units is shown on a narrow phone."""
SIZES = (14.5, 13.5, LEAST)
LINE = 1.22
"""From one line to the next, for letters of size 1."""
PLATE_X, PLATE_Y = 3.0, 2.0
CLEAR = 1.2
"""What stays free between words and anything else, units."""
BADGE = 19.0
KEY_LINES = 3
"""Lines that an entry of the key may take before it is cut off."""
FIRST_SPOTS, MORE_SPOTS = 4, 6
"""The best spots are looked at first, then so many times as many: most words find theirs soon."""
MOST_SPOTS = 40
"""Spots that are tried side by side."""
MOST_LAST = 32
"""Shapes taken since those before them were put together to be looked up."""
MOST_LEADERS = 200
"""Free spots from which a line to the ground is tried."""


class Lettering:
    """What is taken of a sheet, and the key of what found no place on it."""

    def __init__(self, width: float, height: float) -> None:
        """Begin with an empty sheet of a width and height, units."""
        self.width, self.height = width, height
        self._taken: list[BaseGeometry] = []
        self._last: list[BaseGeometry] = []
        self._trees: list[shapely.STRtree] = []
        self._words: list[BaseGeometry] = []
        self._round_words: list[BaseGeometry] = []
        self._key: dict[str, list[str]] = {}
        self._letters = 0

    def block(self, shape: BaseGeometry, stroke: float = 0.0) -> None:
        """Take ground for a line or a sign, with the width of its stroke."""
        if shape.is_empty:
            return
        parts = shapely.get_parts(shape)
        self._last.extend(shapely.buffer(parts, stroke / 2 + 0.05, cap_style="square"))
        del self._trees[1:]

    def block_outline(self, shape: BaseGeometry, stroke: float) -> None:
        """Take the lines round polygons, not what is inside them."""
        self.block(shape.boundary if shape.area else shape, stroke)

    def place(
        self, size: tuple[float, float], spots: Spots, ground: BaseGeometry | None = None
    ) -> tuple[float, float] | None:
        """Take the first spot about which a box is free.

        Args:
            size: Width and height of the box, units.
            spots: Where its middle may be, best first, as rows of x and y.
            ground: What the box must lie on; None for anywhere on the sheet.

        Returns:
            Its middle; None where no spot is free.
        """
        for free in self._free_in_turn(size, spots, ground):
            for x, y in free[:1].tolist():
                self.take(size, x, y)
                return x, y
        return None

    def take(self, size: tuple[float, float], x: float, y: float) -> None:
        """Take a box for words about a point."""
        box = shapely.box(x - size[0] / 2, y - size[1] / 2, x + size[0] / 2, y + size[1] / 2)
        self._words.append(box)
        self._round_words.append(shapely.buffer(box, CLEAR, join_style="mitre"))
        self.block(box)

    def words(self) -> BaseGeometry:
        """Return the ground of all words so far, with what stays free about them."""
        return shapely.union_all(self._round_words)

    def is_near_words(self, *shapes: BaseGeometry) -> bool:
        """Tell whether a shape touches a word, or what stays free about it."""
        return any(shapely.intersects(shape, self._round_words).any() for shape in shapes)

    def is_free(self, size: tuple[float, float], x: float, y: float) -> bool:
        """Tell whether a box about a point is free."""
        return bool(len(self._free(size, np.array([(x, y)]), None)))

    def badge(self, mark: str, ground: BaseGeometry, spots: Spots) -> list[str]:
        """Write a sign on its ground, else beside it with a line that leads there.

        Returns:
            Markup; none where the sheet is too full even for that.
        """
        size = (max(BADGE, svg.text_width(mark, LEAST, bold=True) + 9), BADGE)
        spot = self.place(size, np.vstack([spots, spots_on(ground)]), ground)
        if spot is not None:
            return [_badge(mark, size, *spot)]
        there = ground.representative_point()
        around = spots_on(shapely.box(0, 0, self.width, self.height), (there.x, there.y))
        left = MOST_LEADERS
        for free in self._free_in_turn(size, around, None):
            for x, y, leader in self._leaders(size, free[:left], (there.x, there.y)):
                self.take(size, x, y)
                self.block(leader, 1.0)
                return [_leader(leader), _badge(mark, size, x, y)]
            left -= len(free)
            if left <= 0:
                break
        return []

    def _leaders(
        self, size: tuple[float, float], spots: Spots, there: tuple[float, float]
    ) -> Iterator[tuple[float, float, BaseGeometry]]:
        """Lead lines from signs about spots to a point; those that pass over words are left out."""
        half = np.array(size) / 2
        signs = shapely.box(*(spots - half).T, *(spots + half).T)
        ends = np.stack([spots, np.broadcast_to(there, spots.shape)], axis=1)
        leaders = np.asarray(shapely.difference(shapely.linestrings(ends), signs))
        words = shapely.STRtree(self._words)
        over = words.query(shapely.buffer(leaders, CLEAR), predicate="intersects")[0]
        for n in np.setdiff1d(np.arange(len(spots)), over).tolist():
            yield float(spots[n, 0]), float(spots[n, 1]), leaders[n]

    def refer(self, words: str, mark: str = "") -> str:
        """Put words into the key.

        Args:
            words: What the key says.
            mark: Their sign, where they have one already.

        Returns:
            The sign under which they stand there.
        """
        if not mark:
            known = self._key.get(words)
            mark = known[0] if known else _letter(self._letters)
            self._letters += not known
        signs = self._key.setdefault(words, [])
        if mark not in signs:
            signs.append(mark)
        return mark

    def draw_key(self, left: float, top: float) -> tuple[list[str], float]:
        """Write the key.

        Returns:
            Markup, and the height it takes: 0.0 where all words found their places.
        """
        parts, y = [], top
        for words, signs in self._key.items():
            room = self.width - 2 * left
            sign = svg.clip_to_width(", ".join(signs), LEAST, room / 2, bold=True)
            indent = max(20.0, svg.text_width(sign, LEAST, bold=True) + 8)
            parts.append(
                svg.label(sign, left, y + LEAST / 2, size=LEAST, bold=True, anchor="start")
            )
            for line in svg.fit_lines(words, LEAST, room - indent, KEY_LINES):
                parts.append(
                    svg.label(line, left + indent, y + LEAST / 2, size=LEAST, anchor="start")
                )
                y += LEAST * LINE
            y += 3
        return parts, y - top

    def _free_in_turn(
        self, size: tuple[float, float], spots: Spots, ground: BaseGeometry | None
    ) -> Iterator[Spots]:
        """Look for free spots, the best first, more at a time the longer there is none."""
        first, count = 0, FIRST_SPOTS
        while first < len(spots):
            yield self._free(size, spots[first : first + count], ground)
            first, count = first + count, count * MORE_SPOTS

    def _free(self, size: tuple[float, float], spots: Spots, ground: BaseGeometry | None) -> Spots:
        """Return the spots about which a box is free, in their order."""
        half_x, half_y = size[0] / 2, size[1] / 2
        on_sheet = (
            (spots[:, 0] >= half_x)
            & (spots[:, 0] <= self.width - half_x)
            & (spots[:, 1] >= half_y)
            & (spots[:, 1] <= self.height - half_y)
        )
        spots = spots[on_sheet]
        half_x, half_y = half_x + CLEAR, half_y + CLEAR
        x, y = spots[:, 0], spots[:, 1]
        boxes = shapely.box(x - half_x, y - half_y, x + half_x, y + half_y)
        if ground is not None and len(boxes):
            shapely.prepare(ground)
            lies = shapely.covers(ground, boxes)
            spots, boxes = spots[lies], boxes[lies]
        is_free = np.ones(len(boxes), dtype=bool)
        for tree in self._grown() if len(boxes) else ():
            is_free[tree.query(boxes, predicate="intersects")[0]] = False
        return spots[is_free]

    def _grown(self) -> list[shapely.STRtree]:
        """Return what is taken, to be looked up: a large part, and a small one of what came last.

        Something is taken after nearly each look, and a large part is slow to make anew.
        """
        if not self._trees or len(self._last) > MOST_LAST:
            self._taken += self._last
            self._last = []
            self._trees = [shapely.STRtree(self._taken)]
        if self._last and len(self._trees) == 1:
            self._trees.append(shapely.STRtree(self._last))
        return self._trees


def spots_on(ground: BaseGeometry, near: tuple[float, float] | None = None) -> Spots:
    """Return spots spread over ground, the nearest to a point first.

    Args:
        ground: A shape of the sheet.
        near: The point; None for the middle of the ground's bounds.
    """
    x0, y0, x1, y1 = ground.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    x, y = near or middle
    across = np.linspace(x0, x1, _count(x1 - x0, 2.0))
    along = np.linspace(y0, y1, _count(y1 - y0, 4.0))
    grid = np.stack(np.meshgrid(across, along), axis=-1).reshape(-1, 2)
    away = np.hypot(grid[:, 0] - x, grid[:, 1] - y)
    return grid[np.argsort(away, kind="stable")]


def _count(extent: float, gap: float) -> int:
    """Return how many spots lie side by side."""
    return max(3, min(MOST_SPOTS, int(extent / gap)))


def spots_along(start: tuple[float, float], end: tuple[float, float], best: float = 0.5) -> Spots:
    """Return spots along a line, those nearest to a part of the way first."""
    way = np.linspace(0.0, 1.0, 41)
    way = np.concatenate([[best], way[np.argsort(np.abs(way - best), kind="stable")]])
    line: Spots = np.array(start) + way[:, None] * (np.array(end) - np.array(start))
    return line


def layouts(heading: str, details: Sequence[str]) -> Iterable[Lines]:
    """Offer ways to set a name with lines beneath it, best first.

    Letters get smaller and lines more before the lines beneath go: "18:00–19:15" becomes two, then
    none. The name goes never.
    """
    parted = tuple(part for line in details for part in line.replace("–", "–\n").split("\n"))
    for beneath in dict.fromkeys((tuple(details), parted, ())):
        for size in SIZES:
            small = max(LEAST, size - 1)
            for lines in svg.wrappings(heading, size, bold=True):
                named = [(line, size, True) for line in lines]
                yield [*named, *((line, small, False) for line in beneath)]


def extent(lines: Lines) -> tuple[float, float]:
    """Return how wide and tall lines are with the plate they stand on."""
    wide = max(svg.text_width(text, size, bold=bold) for text, size, bold in lines)
    return wide + 2 * PLATE_X, sum(size * LINE for _, size, _ in lines) + 2 * PLATE_Y


def plated(lines: Lines, x: float, y: float, *, is_bare: bool = False) -> str:
    """Write lines about a point, on a plate that keeps hatches off unless it is bare."""
    wide, tall = extent(lines)
    parts = []
    if not is_bare:
        plate = {"x": x - wide / 2, "y": y - tall / 2, "width": wide, "height": tall}
        parts.append(svg.element("rect", **plate, rx=4, fill=PAPER, fill_opacity=0.9))
    top = y - tall / 2 + PLATE_Y
    for text, size, bold in lines:
        parts.append(svg.label(text, x, top + size * LINE / 2, size=size, bold=bold))
        top += size * LINE
    return svg.element("g", *parts)


def _badge(mark: str, size: tuple[float, float], x: float, y: float) -> str:
    wide, tall = size
    box = {"x": x - wide / 2 + 1, "y": y - tall / 2 + 1, "width": wide - 2, "height": tall - 2}
    return svg.element(
        "g",
        svg.element("rect", **box, rx=tall / 2 - 1, fill=PAPER, stroke=INK, stroke_width=1.2),
        svg.label(mark, x, y, size=LEAST, bold=True),
    )


def _leader(line: BaseGeometry) -> str:
    data = svg.path_of(line, lambda x, y: (x, y))
    return svg.element("path", d=data, fill="none", stroke=SOFT_INK, stroke_width=1.0)


def _letter(number: int) -> str:
    """Return A to Z, then AA, AB and so on."""
    rest, place = divmod(number, 26)
    return (_letter(rest - 1) if rest else "") + chr(ord("A") + place)
