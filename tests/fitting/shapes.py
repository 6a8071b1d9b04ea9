"""Awkward grounds, and exact answers by trying everything, for the tests of fitting."""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import shapely
from shapely import MultiPolygon, Polygon

from clubplanner.fitting import parse_formats, parse_practice_bands
from clubplanner.geometry.shapes import as_polygon

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.fitting import GameFormat, Piece, PracticeBand

PUBLISHED = Path(__file__).parents[2] / "seed_data" / "published"

SEASON_25, SEASON_26 = date(2025, 11, 5), date(2026, 11, 4)
"""Dates in the seasons before and after the FA's formats changed their ages."""
THIRD = shapely.box(0, 0, 33.333, 64)
"""A third of a pitch of 100 × 64 m, cut across its length."""
L_SHAPE = Polygon([(0, 0), (60, 0), (60, 30), (30, 30), (30, 64), (0, 64)])
SLANTED = Polygon([(0, 0), (100, 0), (85, 60), (20, 64)])
TRIANGLE = Polygon([(0, 0), (50, 0), (0, 40)])
SLIVER = Polygon([(0, 0), (50, 0), (50, 0.4)])
DISC = shapely.Point(30, 30).buffer(30, quad_segs=8)
HALL = as_polygon(
    shapely.difference(
        shapely.box(0, 0, 33, 18),
        shapely.union_all([shapely.box(11, 8, 12, 9), shapely.box(22, 8, 23, 9)]),
    )
)
"""A sports hall with two pillars."""
AWKWARD = {
    "L-shape": L_SHAPE,
    "L-shape turned": shapely.affinity.rotate(L_SHAPE, 17),
    "slanted": SLANTED,
    "triangle": TRIANGLE,
    "sliver": SLIVER,
    "disc": DISC,
    "hall with pillars": HALL,
    "third turned": shapely.affinity.rotate(THIRD, 23.7),
}


def read_formats() -> tuple[GameFormat, ...]:
    """Read the published formats the product ships."""
    return parse_formats((PUBLISHED / "formats.csv").read_text(encoding="utf-8"))


def read_bands() -> tuple[PracticeBand, ...]:
    """Read the published practice areas the product ships."""
    return parse_practice_bands((PUBLISHED / "practice_areas.csv").read_text(encoding="utf-8"))


def fault_in_layout(
    pieces: Sequence[Piece], ground: Polygon | MultiPolygon, gap_m: float = 0.0
) -> str | None:
    """Say what is wrong with a layout, or None: on the ground, apart by the gap, to 2 mm."""
    reach = shapely.buffer(ground, 2e-3, join_style="mitre")
    for number, piece in enumerate(pieces):
        if not reach.covers(piece.polygon):
            return f"piece {number} leaves the ground"
        for other in pieces[:number]:
            core = shapely.buffer(piece.polygon, -2e-3, join_style="mitre")
            if core.distance(other.polygon) < max(gap_m, 1e-6):
                return f"piece {number} comes too near another"
    return None


def most_on_cells(cells: frozenset[tuple[int, int]], length: int, width: int) -> int:
    """Count by trying everything how many boxes fit on ground made of unit squares."""
    order = sorted(cells)
    where = {cell: number for number, cell in enumerate(order)}
    shapes: list[list[int]] = []
    for x, y in order:
        masks = []
        for a, b in {(length, width), (width, length)}:
            box = [(x + i, y + j) for i in range(a) for j in range(b)]
            if all(cell in where for cell in box):
                masks.append(sum(1 << where[cell] for cell in box))
        shapes.append(masks)

    @cache
    def best(first: int, taken: int) -> int:
        if first == len(order):
            return 0
        found = best(first + 1, taken & ~(1 << first))
        if taken >> first & 1:
            return found
        for mask in shapes[first]:
            if not mask & taken:
                found = max(found, 1 + best(first + 1, (taken | mask) & ~(1 << first)))
        return found

    return best(0, 0)
