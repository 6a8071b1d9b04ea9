"""Equal boxes in a box, in whole units: layout, bound and proof.

First come layouts by blocks, which are quick and usually meet the bound. Where they do not, the
search through every layout either finds one more box or proves that there is no room for it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.fitting.packing.blocks import pack_blocks, pack_rows
from clubplanner.fitting.packing.bounds import least_bound, quick_bound
from clubplanner.fitting.packing.scales import Scale, carry_over, other_scales
from clubplanner.fitting.packing.skyline import OutOfStepsError, SkylineSearch
from clubplanner.fitting.packing.straight_cuts import pack_straight

if TYPE_CHECKING:
    from clubplanner.fitting.packing.blocks import Box

BLOCK_STEPS = 3_000
"""Cuts tried by blocks; some 10 milliseconds on an ordinary machine."""
SKYLINE_STEPS = 2_000
"""Dents looked at by the search through every layout; some 20 milliseconds."""
_MOST_SEARCHED = 250
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
    boxes, bound = _pack(sides, (length, width), enough, (block_steps, skyline_steps))
    is_swapped = box[0] < box[1]
    scaled = tuple((x * unit, y * unit, turn != is_swapped) for x, y, turn in boxes)
    return Packing(scaled, bound)


def _pack(
    ground: tuple[int, int], box: tuple[int, int], enough: int | None, steps: tuple[int, int]
) -> tuple[list[Box], int]:
    """Try the cheap things first: bounds and rows, then blocks, then the whole search."""
    bound = quick_bound(ground, box)
    boxes = pack_rows(ground, box)
    if enough is None and len(boxes) >= bound:
        return boxes, bound
    scales = other_scales(ground, box)
    scale = Scale(ground, box)
    if scales is not None:
        bound = min(bound, scales.bound)
        scale = scales.simplest or scale
    if enough is not None and bound < enough:
        return [], bound
    wanted = bound if enough is None else enough
    if len(boxes) >= wanted:
        return boxes, bound
    bound = least_bound(ground, box, bound)
    if enough is not None and bound < enough:
        return [], bound
    wanted = min(wanted, bound)
    better = pack_blocks(scale.ground, scale.box, wanted, steps[0])
    if len(better) < wanted and bound <= _MOST_SEARCHED:
        better, bound = _search(scale, (better, bound), wanted, steps[1])
    if len(better) < min(wanted, bound):
        straight = pack_straight(scale.ground, scale.box, steps[0])
        better = max(better, straight, key=len)
    if len(better) > len(boxes):
        boxes = carry_over(better, scale, box)
    return boxes, bound


def _search(
    scale: Scale, known: tuple[list[Box], int], wanted: int, steps: int
) -> tuple[list[Box], int]:
    """Close the distance between a layout and its bound, from the bound downwards.

    Where fewer boxes than the bound are enough, only those are looked for.
    """
    boxes, bound = known
    is_turned = scale.ground[0] > scale.ground[1]
    search = SkylineSearch((min(scale.ground), max(scale.ground)), scale.box, steps)
    try:
        while len(boxes) < wanted:
            found = search.run(wanted)
            if found is not None:
                boxes = [(y, x, not turn) for x, y, turn in found] if is_turned else found
                break
            wanted -= 1
            bound = min(bound, wanted)
    except OutOfStepsError:
        pass
    return boxes, bound
