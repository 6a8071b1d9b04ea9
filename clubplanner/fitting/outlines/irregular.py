"""Equal rectangles on ground that is no rectangle: L-shapes, slants, halls with pillars.

In each direction that the ground's own edges have, pieces are laid in rows across the ground, of
one height from the best place to start or of both (`rows.py`), and then by exchange among all
places such rows offer: one piece out, two in. The count is compared with a bound by area, which
holds for any direction.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

import shapely
from shapely import Polygon

from clubplanner.fitting.outlines.exchange import choose_places
from clubplanner.fitting.outlines.rows import pack_rows, stack_rows
from clubplanner.fitting.packing.bands import Bands, is_convex
from clubplanner.fitting.packing.spans import (
    MANY_EDGES,
    edges_of,
    own_angles,
    polygons_in,
    sin_cos,
    transposed,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.fitting.outlines.rows import Spot

Place: TypeAlias = tuple[float, float, float, float, float]
"""(x, y, length, width, angle in degrees), as a piece is written."""
_MOST_SPOTS = 700
_MOST_CHOSEN = 250
"""Beyond so many pieces rows are only stacked; choosing among places would take too long."""
_ROUND = 1.002
"""Arcs are drawn as chords, up to 0.12 % too near; a bound must not lose ground by that."""


def bound_count(parts: Sequence[Polygon], length_m: float, width_m: float, gap_m: float) -> int:
    """Bound the count by the ground that a piece can reach at all.

    The middle line of a piece keeps half the shorter side from every edge, and every point of the
    piece lies within that half × √2 of the line. Pieces a gap apart stay apart when each is
    swollen by half the gap.

    Args:
        parts: The ground, metres.
        length_m: Length of a piece.
        width_m: Width of a piece.
        gap_m: Distance kept between any two.

    Returns:
        The most pieces that fit, in whatever direction they lie.
    """
    half = min(length_m, width_m) / 2
    swollen = length_m * width_m + (length_m + width_m) * gap_m + math.pi * gap_m**2 / 4
    total = 0
    for part in parts:
        core = shapely.buffer(part, -(half - 1e-3))
        areas = []
        for room in polygons_in(core):
            around = shapely.buffer(room, _ROUND * half * math.sqrt(2) + 2e-3)
            reach = shapely.intersection(part, around, grid_size=1e-4)
            areas.append(shapely.buffer(reach, _ROUND * gap_m / 2 + 1e-3).area)
        total += sum(int(area / swollen) for area in areas)
    return total


def place_pieces(
    parts: Sequence[Polygon],
    size_m: tuple[float, float],
    gap_m: float,
    bound: int,
    effort: float = 1.0,
) -> list[Place]:
    """Lay as many equal pieces as can be found.

    Args:
        parts: The ground, metres.
        size_m: Length and width of a piece.
        gap_m: Distance between any two, along one of their sides.
        bound: Where to stop: no layout holds more.
        effort: Work allowed; below 1 fewer heights and places are looked at.

    Returns:
        The places of the best layout found, each checked to lie on the ground.
    """
    best: list[Place] = []
    if bound == 0:
        return best
    reach = shapely.buffer(shapely.union_all(list(parts)), 1.5e-3, join_style="mitre")
    shapely.prepare(reach)
    part = math.sqrt(min(effort, 1.0))
    smooth = is_convex(parts)
    for angle_deg in _directions(parts, smooth):
        edges = edges_of(parts, -angle_deg)
        frames = tuple(Bands.of(view, is_convex=smooth) for view in (edges, transposed(edges)))
        spots = _pack_turned(frames, size_m, gap_m, max(bound, 1), part)
        places = [_place_from_spot(spot, size_m, angle_deg) for spot in spots]
        places = [place for place in places if reach.covers(_outline(place))]
        if len(places) > len(best):
            best = places
        if len(best) >= bound:
            break
    return best


def _directions(parts: Sequence[Polygon], smooth: bool) -> list[float]:
    """List the directions to lay pieces in; of a disc its edges say little, so 0 is one."""
    angles = own_angles(parts)
    if smooth and len(parts[0].exterior.coords) > MANY_EDGES:
        return list(dict.fromkeys([angles[0], 0.0]))
    return angles


def _pack_turned(
    frames: Sequence[Bands],
    size_m: tuple[float, float],
    gap_m: float,
    bound: int,
    part: float,
) -> list[Spot]:
    """Lay pieces along the axes of one turned frame, looking at a part of all heights."""
    upright, across = frames
    offers: list[list[Spot]] = []
    for is_standing in (False,) if size_m[0] == size_m[1] else (False, True):
        offers.append(stack_rows(upright, is_standing, size_m, gap_m, bound))
        if len(offers[-1]) >= bound:
            return offers[-1]
        columns = stack_rows(across, is_standing, size_m, gap_m, bound)
        offers.append([_swapped(spot) for spot in columns])
        if len(offers[-1]) >= bound:
            return offers[-1]
    best = max(offers, key=len)
    if len(best) >= bound or bound > _MOST_CHOSEN:
        return best
    rows, spots = pack_rows(upright, size_m, gap_m, part)
    columns, more = pack_rows(across, size_m, gap_m, part)
    best = max(best, rows, [_swapped(spot) for spot in columns], key=len)
    if len(best) >= bound:
        return best
    pool = list(dict.fromkeys([*spots, *(_swapped(spot) for spot in more)]))
    pool = pool[:: 1 + len(pool) // round(_MOST_SPOTS * part)]
    better = choose_places([*best, *pool], best, size_m, gap_m)
    return max(best, better, key=len)


def _swapped(spot: Spot) -> Spot:
    return spot[1], spot[0], not spot[2]


def _place_from_spot(spot: Spot, size_m: tuple[float, float], angle_deg: float) -> Place:
    x, y, is_standing = spot
    corner = x + (size_m[1] if is_standing else 0.0)
    sin, cos = sin_cos(angle_deg)
    turn = angle_deg + (90.0 if is_standing else 0.0)
    return corner * cos - y * sin, corner * sin + y * cos, size_m[0], size_m[1], turn


def _outline(place: Place) -> Polygon:
    x, y, length, width, angle_deg = place
    sin, cos = sin_cos(angle_deg)
    reach = ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))
    return Polygon([(x + u * cos - v * sin, y + u * sin + v * cos) for u, v in reach])
