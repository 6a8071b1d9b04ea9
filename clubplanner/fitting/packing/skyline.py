"""Search through every layout of equal boxes in a box, as long as the steps last.

Boxes are laid from the bottom up on a skyline. In the lowest, leftmost dent either a box lies, or
one stands, or a little ground stays empty. A layout with a wanted count may leave only so much
ground empty, and only where the remainders allow it, which ends most branches at once. Empty
ground is cut at sums of lengths and widths, since any layout can be pushed left and down until
every box starts at one (Herz 1972). Where ground is missing it costs nothing to leave, and no box
may lie on it; places to start from are then counted from every edge.

Source: J. C. Herz, "Recursive computational procedure for two-dimensional stock cutting", IBM
Journal of Research and Development 16 (1972) 462-469 (from memory).
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, TypeAlias

import numpy as np

from clubplanner.fitting.packing.bounds import combinations
from clubplanner.fitting.packing.residues import Residues
from clubplanner.fitting.packing.square_ground import cuts

if TYPE_CHECKING:
    from clubplanner.fitting.packing.blocks import Box
    from clubplanner.fitting.packing.square_ground import SquareGround

_Skyline: TypeAlias = tuple[tuple[int, int], ...]
"""(extent along x, height) of each level stretch, from left to right."""
_Patch: TypeAlias = tuple[tuple[int, int], tuple[int, int]]
"""Lower left corner, and extents along x and y."""
_LARGEST_MODULUS = 24
"""For longer sides the tables of remainders take too long for what they gain."""


class OutOfStepsError(Exception):
    """The search was cut short; nothing is known about what it did not reach."""


@dataclass(slots=True)
class _Node:
    """A skyline reached, and what was tried there.

    Attributes:
        skyline: The tops of what was laid.
        spare: Ground that may still stay empty.
        left: Boxes still wanted.
        tables: The numbers of its tables of remainders.
        box: What was laid last; None where ground was left empty.
        tried: How many of lying, standing and leaving were tried.
        dent: Which stretch is the lowest, leftmost one.
        corner: Its left end.
    """

    skyline: _Skyline
    spare: int
    left: int
    tables: tuple[int, ...]
    box: Box | None
    tried: int = 0
    dent: int = 0
    corner: tuple[int, int] = (0, 0)

    def __post_init__(self) -> None:
        skyline = self.skyline
        level = min([height for _, height in skyline])
        x = dent = 0
        while skyline[dent][1] != level:
            x += skyline[dent][0]
            dent += 1
        self.dent, self.corner = dent, (x, level)


@dataclass(slots=True)
class SkylineSearch:
    """The search for one wanted count after another.

    Attributes:
        ground: Sides along x and y, units; the search is quicker with x along the shorter one.
        box: Length and width.
        steps: How many dents may still be looked at.
        land: What of the ground there is; None for all of it.
        places: Where boxes may start along x and along y, rising.
        sums: Sums of lengths and widths up to the longer side, rising.
        losses: For each side up to the longer one, by how much it is longer than such a sum.
        residues: Tables of remainders by length and by width.
        failed: For each skyline the most empty ground it is known not to succeed with.
    """

    ground: tuple[int, int]
    box: tuple[int, int]
    steps: int
    land: SquareGround | None = None
    places: tuple[list[int], list[int]] = ([], [])
    sums: list[int] = field(default_factory=list)
    losses: list[int] = field(default_factory=list)
    residues: tuple[Residues, ...] = ()
    failed: dict[_Skyline, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.sums = combinations(max(self.ground), *self.box)
        sums = np.array(self.sums)
        sides = np.arange(max(self.ground) + 1)
        shortened = sums[np.searchsorted(sums, sides, side="right") - 1]
        self.losses = (sides - shortened).tolist()
        if self.land is None:
            self.ground = (int(shortened[self.ground[0]]), int(shortened[self.ground[1]]))
            self.places = (self.sums, self.sums)
        else:
            along_x, along_y = self.land.starts
            self.places = (self._places_from(along_x), self._places_from(along_y))
        self.residues = tuple(Residues(side) for side in self.box if side <= _LARGEST_MODULUS)

    def run(self, count: int) -> list[Box] | None:
        """Look for a layout of `count` boxes.

        Args:
            count: How many boxes are wanted.

        Returns:
            The boxes, or None when there is no such layout.

        Raises:
            OutOfStepsError: If the steps run out first.
        """
        whole = self._on_land((0, 0), self.ground)
        spare = sum(size[0] * size[1] for _, size in whole) - count * self.box[0] * self.box[1]
        tables = tuple(residues.start(whole) for residues in self.residues)
        if spare < 0 or not self._leaves_enough(tables, spare):
            return None
        if count == 0:
            return []
        self.failed.clear()
        path = [_Node(((self.ground[0], 0),), spare, count, tables, None)]
        if self._must_waste(path[0].skyline) > spare:
            return None
        while path:
            following = self._follow(path[-1])
            if following is None:
                node = path.pop()
                known = self.failed.get(node.skyline, -1)
                self.failed[node.skyline] = max(known, node.spare)
                continue
            path.append(following)
            if following.left == 0:
                return [node.box for node in path if node.box is not None]
        return None

    def must_waste(self) -> int:
        """Bound the ground that stays empty in any layout."""
        return self._must_waste(((self.ground[0], 0),))

    def _places_from(self, starts: list[int]) -> list[int]:
        most = max(self.ground)
        return sorted(
            {start + more for start in starts for more in self.sums if start + more < most}
        )

    def _next_place(self, axis: int, at: int) -> int:
        places = self.places[axis]
        position = bisect_right(places, at)
        return places[position] if position < len(places) else max(self.ground) + 1

    def _on_land(self, corner: tuple[int, int], size: tuple[int, int]) -> list[_Patch]:
        """Return the parts of a patch that are ground."""
        if self.land is None:
            return [(corner, size)]
        box = (*corner, corner[0] + size[0], corner[1] + size[1])
        return [((a, b), (c - a, d - b)) for a, b, c, d in cuts(self.land.swollen, box)]

    def _leaves_enough(self, tables: tuple[int, ...], spare: int) -> bool:
        for residues, number in zip(self.residues, tables, strict=True):
            if residues.leasts[number] > spare:
                return False
        return True

    def _follow(self, node: _Node) -> _Node | None:
        """Return the next skyline worth a look from here; None when all were tried."""
        while node.tried < 3:
            node.tried += 1
            following = self._leave(node) if node.tried == 3 else self._lay(node, node.tried == 2)
            if following is None:
                continue
            if following.left == 0:
                return following
            if self.failed.get(following.skyline, -1) >= following.spare:
                continue
            self.steps -= 1
            if self.steps < 0:
                raise OutOfStepsError
            if self._must_waste(following.skyline) <= following.spare:
                return following
        return None

    def _lay(self, node: _Node, is_standing: bool) -> _Node | None:
        width, length = (self.box[1], self.box[0]) if is_standing else self.box
        room, level = node.skyline[node.dent]
        if width > room or level + length > self.ground[1]:
            return None
        if self.land is not None and not self.land.holds(node.corner, (width, length)):
            return None
        raised = _raise(node.skyline, node.dent, width, level + length)
        return _Node(raised, node.spare, node.left - 1, node.tables, (*node.corner, is_standing))

    def _leave(self, node: _Node) -> _Node | None:
        """Leave the corner of the dent empty: all of it where no box can lie in it."""
        dent, skyline = node.dent, node.skyline
        room, level = skyline[dent]
        x, top = node.corner[0], self.ground[1]
        walls = [skyline[n][1] for n in (dent - 1, dent + 1) if 0 <= n < len(skyline)]
        rim = min(walls, default=top)
        if room < self.box[1] or level + self.box[1] > top:
            size = (room, rim - level)
        else:
            size = (
                min(self._next_place(0, x) - x, room),
                min(self._next_place(1, level) - level, rim - level),
            )
        patches = self._on_land(node.corner, size)
        spare = node.spare - sum(extent * height for _, (extent, height) in patches)
        if spare < 0 or size[1] <= 0:
            return None
        tables = tuple(
            residues.leave_all(number, patches)
            for residues, number in zip(self.residues, node.tables, strict=True)
        )
        if not self._leaves_enough(tables, spare):
            return None
        raised = _raise(skyline, dent, size[0], level + size[1])
        return _Node(raised, spare, node.left, tables, None)

    def _must_waste(self, skyline: _Skyline) -> int:
        """Bound the ground that stays empty above a skyline.

        Over every stretch the columns up to the top hold only sums of lengths and widths, and in
        a dent so do the rows up to its lower rim; the larger of the two counts for each stretch.
        """
        top, losses = self.ground[1], self.losses
        waste = 0
        if self.land is not None:
            return self.land.must_waste(skyline, losses)
        before = top
        last = len(skyline) - 1
        for number, (extent, level) in enumerate(skyline):
            lost = extent * losses[top - level]
            after = skyline[number + 1][1] if number < last else top
            rim = before if before < after else after
            if rim > level:
                in_rows = (rim - level) * losses[extent]
                if in_rows > lost:
                    lost = in_rows
            waste += lost
            before = level
        return waste


def _raise(skyline: _Skyline, dent: int, extent: int, height: int) -> _Skyline:
    """Raise the left part of a dent, joining stretches of one level."""
    room, level = skyline[dent]
    before, after = skyline[:dent], skyline[dent + 1 :]
    if before and before[-1][1] == height:
        extent_all = before[-1][0] + extent
        before = before[:-1]
    else:
        extent_all = extent
    if room > extent:
        return (*before, (extent_all, height), (room - extent, level), *after)
    if after and after[0][1] == height:
        return (*before, (extent_all + after[0][0], height), *after[1:])
    return (*before, (extent_all, height), *after)
