"""Search through every layout of equal boxes in a box, as long as the steps last.

Boxes are laid from the bottom up on a skyline. In the lowest, leftmost dent either a box lies, or
one stands, or a little ground stays empty; a layout with a wanted count may leave only so much
ground empty, which ends most branches at once. Empty ground is cut at sums of lengths and widths,
since any layout can be pushed left and down until every box starts at one (Herz 1972).

Source: J. C. Herz, "Recursive computational procedure for two-dimensional stock cutting", IBM
Journal of Research and Development 16 (1972) 462-469 (from memory).
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

from clubplanner.fitting.bounds import combinations

if TYPE_CHECKING:
    from clubplanner.fitting.blocks import Box

_Skyline: TypeAlias = tuple[tuple[int, int], ...]
"""(extent along x, height) of each level stretch, from left to right."""


class OutOfStepsError(Exception):
    """The search was cut short; nothing is known about what it did not reach."""


@dataclass(slots=True)
class SkylineSearch:
    """The search for one wanted count.

    Attributes:
        ground: Sides along x and y, units, shortened to sums of lengths and widths.
        box: Length and width.
        steps: How many dents may still be looked at.
        sums: Sums of lengths and widths up to the longer side, rising.
        losses: For each side asked about, by how much it is longer than such a sum.
        boxes: The boxes laid so far.
        failed: For each skyline the most empty ground it is known not to succeed with.
    """

    ground: tuple[int, int]
    box: tuple[int, int]
    steps: int
    sums: list[int] = field(default_factory=list)
    losses: dict[int, int] = field(default_factory=dict)
    boxes: list[Box] = field(default_factory=list)
    failed: dict[_Skyline, int] = field(default_factory=dict)

    def run(self, count: int) -> list[Box] | None:
        """Look for a layout of `count` boxes.

        Args:
            count: How many boxes are wanted.

        Returns:
            The boxes, or None when there is no such layout.

        Raises:
            OutOfStepsError: If the steps run out first.
        """
        self.sums = combinations(max(self.ground), *self.box)
        big, small = (self._shorten(side) for side in self.ground)
        self.ground = (big, small)
        self.failed.clear()
        self.boxes.clear()
        spare = big * small - count * self.box[0] * self.box[1]
        if spare >= 0 and self._fill(((big, 0),), spare, count):
            return self.boxes[:count]
        return None

    def _shorten(self, side: int) -> int:
        return self.sums[bisect_right(self.sums, side) - 1]

    def _next_sum(self, at: int) -> int:
        position = bisect_right(self.sums, at)
        return self.sums[position] if position < len(self.sums) else self.ground[0] + 1

    def _fill(self, skyline: _Skyline, spare: int, left: int) -> bool:
        if left == 0:
            return True
        self.steps -= 1
        if self.steps < 0:
            raise OutOfStepsError
        if self.failed.get(skyline, -1) >= spare or self._must_waste(skyline) > spare:
            return False
        dent = min(range(len(skyline)), key=lambda n: skyline[n][1])
        level = skyline[dent][1]
        x = sum(extent for extent, _ in skyline[:dent])
        found = any(
            self._lay(skyline, dent, (x, level), is_standing=is_standing, spare=spare, left=left)
            for is_standing in (False, True)
        )
        if not found:
            found = self._leave(skyline, dent, x, spare, left)
        if not found:
            self.failed[skyline] = max(spare, self.failed.get(skyline, -1))
        return found

    def _lay(
        self,
        skyline: _Skyline,
        dent: int,
        corner: tuple[int, int],
        *,
        is_standing: bool,
        spare: int,
        left: int,
    ) -> bool:
        extent, height = self.box[::-1] if is_standing else self.box
        room, level = skyline[dent]
        if extent > room or level + height > self.ground[1]:
            return False
        self.boxes.append((*corner, is_standing))
        raised = _raise(skyline, dent, extent, level + height)
        if self._fill(raised, spare, left - 1):
            return True
        self.boxes.pop()
        return False

    def _leave(self, skyline: _Skyline, dent: int, x: int, spare: int, left: int) -> bool:
        """Leave the corner of the dent empty: all of it where no box can lie in it."""
        room, level = skyline[dent]
        top = self.ground[1]
        walls = [skyline[n][1] for n in (dent - 1, dent + 1) if 0 <= n < len(skyline)]
        rim = min(walls, default=top)
        width = min(self.box)
        if room < width or level + width > top:
            extent, height = room, rim - level
        else:
            extent = min(self._next_sum(x) - x, room)
            height = min(self._next_sum(level) - level, rim - level)
        cost = extent * height
        if cost > spare or height <= 0:
            return False
        raised = _raise(skyline, dent, extent, level + height)
        return self._fill(raised, spare - cost, left)

    def _must_waste(self, skyline: _Skyline) -> int:
        """Bound the ground that stays empty above a skyline.

        Over every stretch the columns up to the top hold only sums of lengths and widths, and in
        a dent so do the rows up to its lower rim; the larger of the two counts for each stretch.
        """
        top = self.ground[1]
        waste = 0
        last = len(skyline) - 1
        for number, (extent, level) in enumerate(skyline):
            lost = extent * self._lost(top - level)
            before = skyline[number - 1][1] if number else top
            after = skyline[number + 1][1] if number < last else top
            rim = min(before, after)
            if rim > level:
                lost = max(lost, (rim - level) * self._lost(extent))
            waste += lost
        return waste

    def _lost(self, side: int) -> int:
        """Return by how much a side is longer than what boxes can fill."""
        if side not in self.losses:
            self.losses[side] = side - self._shorten(side)
        return self.losses[side]


def _raise(skyline: _Skyline, dent: int, extent: int, height: int) -> _Skyline:
    """Raise the left part of a dent, joining stretches of one level."""
    room, level = skyline[dent]
    middle = [(extent, height)]
    if room > extent:
        middle.append((room - extent, level))
    joined: list[tuple[int, int]] = []
    for stretch in (*skyline[:dent], *middle, *skyline[dent + 1 :]):
        if joined and joined[-1][1] == stretch[1]:
            joined[-1] = (joined[-1][0] + stretch[0], stretch[1])
        else:
            joined.append(stretch)
    return tuple(joined)
