"""Equal boxes in a box, in whole units: layout, bound and proof."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.fitting.blocks import pack_blocks
from clubplanner.fitting.bounds import least_bound
from clubplanner.fitting.skyline import OutOfStepsError, SkylineSearch

if TYPE_CHECKING:
    from clubplanner.fitting.blocks import Box

BLOCK_STEPS = 5_000
"""Cuts tried by blocks; some 20 milliseconds on an ordinary machine."""
SKYLINE_STEPS = 2_000
"""Dents looked at by the search through every layout."""
_MOST_SEARCHED = 150
"""Beyond so many boxes the search through every layout has no chance and is left out."""


@dataclass(frozen=True, slots=True)
class Packing:
    """Equal boxes laid in a box.

    Attributes:
        boxes: Lower left corner of each, and whether its length lies along y.
        bound: No layout parallel to the sides holds more.
        is_proved: Whether the layout holds as many as any can.
    """

    boxes: tuple[Box, ...]
    bound: int

    @property
    def is_proved(self) -> bool:
        """Whether the layout holds as many as any can."""
        return len(self.boxes) >= self.bound


def pack_rectangle(
    ground: tuple[int, int],
    box: tuple[int, int],
    *,
    enough: int | None = None,
    block_steps: int = BLOCK_STEPS,
    skyline_steps: int = SKYLINE_STEPS,
) -> Packing:
    """Lay as many equal boxes as can be found in a box, quarter turns allowed.

    Args:
        ground: Sides along x and y, whole units, 0 or more.
        box: Length and width, whole units, 1 or more; the shorter may come first.
        enough: Stop looking once so many are placed, or at once where the bound rules so many
            out; None for as many as can be found.
        block_steps: Work allowed for layouts by blocks.
        skyline_steps: Work allowed for the search through every layout.

    Returns:
        The layout; the same for the same question always.
    """
    unit = math.gcd(*box)
    length, width = max(box) // unit, min(box) // unit
    sides = (ground[0] // unit, ground[1] // unit)
    if min(sides) < width or max(sides) < length:
        return Packing((), 0)
    bound = least_bound(sides, (length, width))
    if enough is not None and bound < enough:
        return Packing((), bound)
    wanted = bound if enough is None else enough
    boxes = pack_blocks(sides, (length, width), wanted, block_steps)
    if len(boxes) < wanted and bound <= _MOST_SEARCHED:
        boxes, bound = _search(sides, (length, width), (boxes, bound), skyline_steps)
    is_swapped = box[0] < box[1]
    scaled = tuple((x * unit, y * unit, turn != is_swapped) for x, y, turn in boxes)
    return Packing(scaled, bound)


def _search(
    ground: tuple[int, int], box: tuple[int, int], known: tuple[list[Box], int], steps: int
) -> tuple[list[Box], int]:
    """Close the distance between a layout and its bound, from the bound downwards."""
    boxes, bound = known
    search = SkylineSearch(ground, box, steps)
    try:
        while len(boxes) < bound:
            found = search.run(bound)
            if found is not None:
                return list(found), bound
            bound -= 1
    except OutOfStepsError:
        pass
    return boxes, bound
