"""A pitch laid out in one dimension, so that who has how much of it can be drawn along a time.

The smallest pieces of a pitch lie one after the other, each as wide as its share of the ground. So
a third is a third of the whole wherever it is drawn, and ground that two squads can hold at once
never lies on the same lane. Pieces that lie beside each other on the grass follow each other here:
how much is exact, where is exact along one direction only.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from clubplanner.geometry.cells import cells_of, find_cells

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Area, Pitch

Lane = tuple[float, float]
"""From and up to which part of the pitch, 0 to 1, counted from its start."""

SAME = 1e-6
"""Lanes that end and begin so near each other are one."""
GUIDES = ("thirds", "halves", "quarters", "grid")
"""The first of these cuts that a pitch has is drawn as lines to find one's way by."""


def lanes_of(pitch: Pitch, used: Collection[str] | None = None) -> Mapping[str, tuple[Lane, ...]]:
    """Return the lanes of areas of a pitch, by the area's key.

    Args:
        pitch: The pitch.
        used: Keys of the areas that are to be drawn: the fewer they are, the less one cuts the
            other's lane; None for all.

    Returns:
        Lanes in order, none of which touch; their lengths add up to the area's share of the pitch.
        Mostly one; more where the area's pieces do not follow each other.
    """
    whole, *parts = pitch.areas
    return _lanes((whole, *(area for area in parts if used is None or area.key in used)))


def guides_of(pitch: Pitch) -> tuple[float, ...]:
    """Return where the pitch's usual cut divides it, parts of the whole between 0 and 1."""
    for cut in GUIDES:
        keys = [area.key for area in pitch.areas if area.cut == cut]
        if keys:
            lanes = lanes_of(pitch, keys)
            ends = {round(end, 6) for key in keys for lane in lanes[key] for end in lane}
            return tuple(sorted(end for end in ends if SAME < end < 1 - SAME))
    return ()


@lru_cache(maxsize=500)
def _lanes(areas: tuple[Area, ...]) -> Mapping[str, tuple[Lane, ...]]:
    cells = find_cells([area.polygon for area in areas])
    masks = {area.key: cells_of(area.polygon, cells) for area in areas}
    total = sum(cell.area for cell in cells)
    if not total:
        return dict.fromkeys(masks, ())
    along, across = _by(cells, first=0), _by(cells, first=1)
    orders = (along, across, _kept_together(masks.values(), along))
    laid = [
        {key: _runs(mask, order, cells, total) for key, mask in masks.items()} for order in orders
    ]
    return min(laid, key=lambda lanes: sum(len(each) for each in lanes.values()))


def _by(cells: Sequence[Polygon], *, first: int) -> list[int]:
    """Return the numbers of the cells along the length (0) or across it (1)."""
    bounds = [tuple(round(value, 2) for value in cell.bounds) for cell in cells]
    return sorted(range(len(cells)), key=lambda n: (bounds[n][first], bounds[n][1 - first]))


def _kept_together(masks: Iterable[int], order: Sequence[int]) -> list[int]:
    """Return the cells so that those of an area follow each other, smaller areas first.

    Areas that lie one in the other, as quarters in halves, all come out in one piece.
    """
    groups = [[number] for number in order]
    for mask in sorted(masks, key=int.bit_count):
        inside = [group for group in groups if all(mask >> n & 1 for n in group)]
        if len(inside) > 1:
            place = groups.index(inside[0])
            groups[place] = [n for group in inside for n in group]
            groups = [g for g in groups if g not in inside[1:]]
    return [n for group in groups for n in group]


def _runs(
    mask: int, order: Sequence[int], cells: Sequence[Polygon], total: float
) -> tuple[Lane, ...]:
    """Return the lanes of the cells in a mask, neighbours joined."""
    runs: list[Lane] = []
    start = 0.0
    for number in order:
        end = start + cells[number].area / total
        if mask >> number & 1:
            if runs and start - runs[-1][1] < SAME:
                runs[-1] = runs[-1][0], end
            else:
                runs.append((start, end))
        start = end
    return tuple(runs)
