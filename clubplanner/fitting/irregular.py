"""Equal rectangles on ground that is no rectangle: L-shapes, slants, halls with pillars.

In each direction that the ground's own edges have, pieces are laid in rows across the ground, the
rows chosen by dynamic programming, and then by exchange among all places such rows offer: one
piece out, two in. The count is compared with a bound by area, which holds for any direction.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from typing import TYPE_CHECKING, TypeAlias

import shapely
from shapely import Polygon

from clubplanner.fitting.exchange import choose_places
from clubplanner.fitting.spans import (
    TOUCH_M,
    edges_of,
    free_spans,
    own_angles,
    polygons_in,
    sin_cos,
    transposed,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.fitting.spans import Edge

Place: TypeAlias = tuple[float, float, float, float, float]
"""(x, y, length, width, angle in degrees), as a piece is written."""
Spot: TypeAlias = tuple[float, float, bool]
"""Lower left corner in the turned frame, and whether the length lies along y."""
_MOST_LEVELS = 40
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
    for angle_deg in own_angles(parts):
        edges = edges_of(parts, -angle_deg)
        spots = _pack_turned(edges, size_m, gap_m, max(bound, 1), part)
        places = [_place_from_spot(spot, size_m, angle_deg) for spot in spots]
        places = [place for place in places if reach.covers(_outline(place))]
        if len(places) > len(best):
            best = places
        if len(best) >= bound:
            break
    return best


def _pack_turned(
    edges: Sequence[Edge],
    size_m: tuple[float, float],
    gap_m: float,
    bound: int,
    part: float,
) -> list[Spot]:
    """Lay pieces along the axes of one turned frame, looking at a part of all heights."""
    turned = transposed(edges)
    offers: list[list[Spot]] = []
    for is_standing in (False, True):
        offers.append(_stack_rows(edges, is_standing, size_m, gap_m))
        if len(offers[-1]) >= bound:
            return offers[-1]
        columns = _stack_rows(turned, is_standing, size_m, gap_m)
        offers.append([_swapped(spot) for spot in columns])
        if len(offers[-1]) >= bound:
            return offers[-1]
    best = max(offers, key=len)
    if len(best) >= bound or bound > _MOST_CHOSEN:
        return best
    rows, spots = _pack_rows(edges, size_m, gap_m, part)
    columns, more = _pack_rows(turned, size_m, gap_m, part)
    best = max(best, rows, [_swapped(spot) for spot in columns], key=len)
    if len(best) >= bound:
        return best
    pool = list(dict.fromkeys([*spots, *(_swapped(spot) for spot in more)]))
    pool = pool[:: 1 + len(pool) // round(_MOST_SPOTS * part)]
    better = choose_places([*best, *pool], best, size_m, gap_m)
    return max(best, better, key=len)


def _pack_rows(
    edges: Sequence[Edge], size_m: tuple[float, float], gap_m: float, part: float
) -> tuple[list[Spot], list[Spot]]:
    """Lay rows of pieces across the ground, choosing the rows by dynamic programming.

    Returns:
        The spots of the best rows, and every spot that was looked at.
    """
    levels = _levels(edges, size_m, gap_m, round(_MOST_LEVELS * part))
    count = [0] * (len(levels) + 1)
    chosen: list[tuple[list[Spot], int] | None] = [None] * len(levels)
    seen: list[Spot] = []
    for number in range(len(levels) - 1, -1, -1):
        count[number] = count[number + 1]
        for is_standing in (False, True):
            row, offered = _row(edges, levels[number], is_standing, size_m, gap_m)
            seen += offered
            height = size_m[0] if is_standing else size_m[1]
            after = bisect_left(levels, levels[number] + height + gap_m - TOUCH_M)
            if len(row) + count[after] > count[number]:
                count[number], chosen[number] = len(row) + count[after], (row, after)
    best: list[Spot] = []
    number = 0
    while number < len(levels):
        pick = chosen[number]
        if pick is None or count[number] == count[number + 1]:
            number += 1
            continue
        best += pick[0]
        number = pick[1]
    return best, seen


def _stack_rows(
    edges: Sequence[Edge], is_standing: bool, size_m: tuple[float, float], gap_m: float
) -> list[Spot]:
    """Lay equal rows one above the other from the lowest corner up, for very many pieces."""
    low, high = min(edge[1] for edge in edges), max(edge[3] for edge in edges)
    step = (size_m[0] if is_standing else size_m[1]) + gap_m
    count = int((high - low + gap_m + TOUCH_M) / step)
    found: list[Spot] = []
    for number in range(count):
        found += _row(edges, low + number * step, is_standing, size_m, gap_m)[0]
    return found


def _row(
    edges: Sequence[Edge], y: float, is_standing: bool, size_m: tuple[float, float], gap_m: float
) -> tuple[list[Spot], list[Spot]]:
    """Fill one row from the left; also offer the same row pushed to the right."""
    extent, height = size_m[::-1] if is_standing else size_m
    row: list[Spot] = []
    offered: list[Spot] = []
    start = -math.inf
    for left, right in free_spans(edges, y, y + height):
        start = max(left, start)
        fitting = int((right - start + gap_m + TOUCH_M) / (extent + gap_m))
        if fitting <= 0:
            continue
        xs = [start + n * (extent + gap_m) for n in range(fitting)]
        row += [(x, y, is_standing) for x in xs]
        slack = right - xs[-1] - extent
        offered += [(x + shift, y, is_standing) for x in xs for shift in {0.0, max(slack, 0.0)}]
        start = xs[-1] + extent + gap_m
    return row, offered


def _levels(
    edges: Sequence[Edge], size_m: tuple[float, float], gap_m: float, most: int
) -> list[float]:
    """List heights at which a row may start: at corners, and whole rows above or below them."""
    corners = sorted({round(y, 4) for edge in edges for y in (edge[1], edge[3])})
    low, high = corners[0], corners[-1]
    steps = sorted({size_m[0] + gap_m, size_m[1] + gap_m})
    found: dict[float, None] = dict.fromkeys(corners)
    for corner in corners:
        for step in steps:
            found.setdefault(round(corner - step + gap_m, 4), None)
    frontier = list(found)
    while frontier and len(found) < most:
        frontier = [
            level
            for base in frontier
            for move in (*steps, *(-step for step in steps))
            if low <= (level := round(base + move, 4)) <= high and level not in found
        ]
        found.update(dict.fromkeys(frontier))
    least = high - min(size_m) + TOUCH_M
    usable = [level for level in found if low - TOUCH_M <= level <= least]
    return sorted(usable[:most])


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
