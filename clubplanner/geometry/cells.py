"""Cells: the smallest pieces of a pitch that no area cuts.

Areas of one pitch may cross in any way (a third and a half, a smaller pitch lying across). All
their outlines together cut the pitch into cells; an area is the set of its cells, and two areas
clash exactly when the sets meet. A set is held as a bit mask, so a pitch has at most 63 cells.
"""

from __future__ import annotations

from itertools import combinations_with_replacement
from typing import TYPE_CHECKING

import shapely

from clubplanner.geometry.shapes import (
    GRID_M,
    as_polygon,
    common_ground,
    is_sliver,
    largest_part,
    snap,
)

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from shapely import Polygon

MOST_CELLS = 63
"""As many as fit in one signed 64-bit integer of the database."""


class TooManyCellsError(ValueError):
    """The areas of a pitch cut it into more pieces than can be told apart.

    Attributes:
        pieces: How many.
    """

    def __init__(self, pieces: int) -> None:
        super().__init__(f"{pieces} pieces, at most {MOST_CELLS}")
        self.pieces = pieces


def find_cells(areas: Sequence[Polygon]) -> tuple[Polygon, ...]:
    """Cut the ground of all areas into cells.

    Args:
        areas: Valid polygons of one pitch in its own frame, metres.

    Returns:
        Cells from left to right, then from y = 0 upwards; slivers left by hand tracing
        (narrower than 10 cm) are dropped, unless they are all that two areas share of a wider
        overlap. Empty for no areas.

    Raises:
        TooManyCellsError: If there are more than 63.
    """
    if not areas:
        return ()
    outlines = [snap(area).boundary for area in areas]
    faces = shapely.polygonize([shapely.unary_union(outlines, grid_size=GRID_M)]).geoms
    ground = shapely.unary_union(areas)
    shapely.prepare(ground)
    pieces = [as_polygon(face) for face in faces if ground.contains(shapely.point_on_surface(face))]
    cells = [piece for piece in pieces if not is_sliver(piece)]
    cells += _needed_slivers(areas, cells, [piece for piece in pieces if is_sliver(piece)])
    if len(cells) > MOST_CELLS:
        raise TooManyCellsError(len(cells))
    return tuple(sorted(cells, key=lambda cell: _order(cell)))


def cells_of(area: Polygon, cells: Iterable[Polygon]) -> int:
    """Return the bit mask of the cells that lie in an area.

    Args:
        area: Valid polygon that was among those the cells were found from.
        cells: The pitch's cells, in order; cell 0 is the lowest bit.

    Returns:
        The mask; 0 only when the area is nothing but a sliver.
    """
    snapped = snap(area)
    shapely.prepare(snapped)
    mask = 0
    for number, cell in enumerate(cells):
        if snapped.contains(shapely.point_on_surface(cell)):
            mask |= 1 << number
    return mask


def _needed_slivers(
    areas: Sequence[Polygon], cells: Sequence[Polygon], slivers: Sequence[Polygon]
) -> list[Polygon]:
    """Pick slivers so that no overlap vanishes because a third outline cuts it into slivers."""
    if not slivers:
        return []
    of_area = [(cells_of(area, cells), cells_of(area, slivers)) for area in areas]
    needed = 0
    for one, other in combinations_with_replacement(range(len(areas)), 2):
        kept = of_area[one][0] & of_area[other][0]
        shared = of_area[one][1] & of_area[other][1]
        if kept or not shared or shared & needed:
            continue
        if largest_part(common_ground(areas[one], areas[other])) is None:
            continue
        candidates = [n for n in range(len(slivers)) if shared >> n & 1]
        holders = {n: sum(1 for _unused, mask in of_area if mask >> n & 1) for n in candidates}
        needed |= 1 << min(candidates, key=lambda n: (holders[n], -slivers[n].area))
    return [sliver for n, sliver in enumerate(slivers) if needed >> n & 1]


def _order(cell: Polygon) -> tuple[float, float]:
    x0, y0, _unused, _unused = cell.bounds
    return round(x0, 3), round(y0, 3)
