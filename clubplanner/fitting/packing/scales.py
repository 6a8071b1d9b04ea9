"""The same question in other units: bounds from them, and the simplest of them to search in.

What counts of a side is only which numbers of lengths and widths fit along it together. With
other measures l' and w' for the box, a ground long enough for the same combinations along x and
along y holds every layout the true ground holds, so any bound for it is a bound for the true one.
Where it holds no further combination either, the two questions are the same, and a layout of one
is carried over by pushing every box left and down.

Source: K. A. Dowsland, "The three-dimensional pallet chart: an analysis of the factors affecting
the set of feasible layouts for a class of two-dimensional packing problems", Journal of the
Operational Research Society 35 (1984) 895-905 (from memory; the argument above stands by itself).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.fitting.packing.blocks import Box

    _Sides = NDArray[np.int64]

_LARGEST = 24
"""Longest box, in units, among the other measures tried."""
_MOST_ALONG = 60
"""Beyond so many lengths along a side other measures are not looked for."""


@dataclass(frozen=True, slots=True)
class Scale:
    """A question in other units.

    Attributes:
        ground: Sides along x and y.
        box: Length and width.
    """

    ground: tuple[int, int]
    box: tuple[int, int]


@dataclass(frozen=True, slots=True)
class Scales:
    """What other units say about a question.

    Attributes:
        bound: No layout holds more.
        simplest: The same question in small units; None where there is none.
    """

    bound: int
    simplest: Scale | None


@lru_cache(maxsize=256)
def other_scales(ground: tuple[int, int], box: tuple[int, int]) -> Scales | None:
    """Look at a question in all small units.

    Args:
        ground: Sides along x and y, at least one box long and wide.
        box: Length and width, the length not shorter.

    Returns:
        The best bound by area and by Barnes' argument over all of them, and the units with the
        least ground over; None where there are too many combinations to look at.
    """
    if max(ground) // box[0] > _MOST_ALONG:
        return None
    lengths, widths = _measures()
    across, most_across = _reach(ground[0], box, lengths, widths)
    along, most_along = _reach(ground[1], box, lengths, widths)
    areas = across * along
    wastes = np.maximum(_wastes(across, along, lengths), _wastes(across, along, widths))
    bounds = (areas - wastes) // (lengths * widths)
    same = np.flatnonzero((across < most_across) & (along < most_along))
    simplest = None
    if same.size:
        over = areas[same] / (lengths[same] * widths[same])
        pick = same[np.lexsort((lengths[same], np.round(over, 9)))[0]]
        simplest = Scale(
            (int(across[pick]), int(along[pick])), (int(lengths[pick]), int(widths[pick]))
        )
    return Scales(int(bounds.min()), simplest)


def carry_over(boxes: list[Box], scale: Scale, box: tuple[int, int]) -> list[Box]:
    """Lay a layout in other units on the true ground.

    Args:
        boxes: The layout in the units of `scale`.
        scale: Those units.
        box: True length and width.

    Returns:
        The same boxes, each pushed as far left and down as those before it allow.
    """
    if not boxes:
        return []
    standing = np.array([is_standing for _, _, is_standing in boxes])
    placed = []
    for axis in range(2):
        starts = np.array([item[axis] for item in boxes])
        is_long = standing == bool(axis)
        ends = starts + np.where(is_long, *scale.box)
        extents = np.where(is_long, *box)
        true = np.zeros(len(boxes), dtype=np.int64)
        for number in np.argsort(starts, kind="stable"):
            before = ends <= starts[number]
            true[number] = np.max(true[before] + extents[before], initial=0)
        placed.append(true)
    return [
        (int(x), int(y), bool(turn)) for x, y, turn in zip(*placed, standing.tolist(), strict=True)
    ]


@lru_cache(maxsize=1)
def _measures() -> tuple[_Sides, _Sides]:
    """List all pairs of a length and a shorter width without a common factor."""
    lengths, widths = np.meshgrid(np.arange(2, _LARGEST + 1), np.arange(1, _LARGEST))
    is_good = (widths < lengths) & (np.gcd(lengths, widths) == 1)
    return lengths[is_good], widths[is_good]


def _reach(
    side: int, box: tuple[int, int], lengths: _Sides, widths: _Sides
) -> tuple[_Sides, _Sides]:
    """Return the shortest side with the same combinations, and the first that has more."""
    number = np.arange(side // box[0] + 1)
    beside = (side - number * box[0]) // box[1]
    spans = np.outer(lengths, number) + np.outer(widths, beside)
    more = np.minimum(spans.min(axis=1) + widths, lengths * len(number))
    return spans.max(axis=1), more


def _wastes(across: _Sides, along: _Sides, bar: _Sides) -> _Sides:
    """Return what bars of each length leave empty (Barnes)."""
    r, s = across % bar, along % bar
    wastes: _Sides = np.where(r + s <= bar, r * s, (bar - r) * (bar - s))
    return wastes
