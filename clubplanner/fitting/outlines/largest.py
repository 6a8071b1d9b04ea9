"""The largest single rectangle on a piece of ground.

Directions tried are the axes and the directions of the ground's own longest edges. Where all
edges lie along one direction or across it (holes too), the answer in that direction is exact, to
the millimetres to which corners are rounded: the sides of a largest rectangle lie on lines
through corners. For other outlines levels between the
corners are tried too and the best of them moved until nothing is gained; on a triangle, a disc
and slanted quadrilaterals that came within 0.5 % of the best area.
"""

from __future__ import annotations

import heapq
import math
from typing import TYPE_CHECKING, TypeAlias

import shapely

from clubplanner.fitting.outlines.pieces import Piece, check_ground, check_lengths
from clubplanner.fitting.packing.spans import (
    MANY_EDGES,
    ROUNDED_M,
    TOUCH_M,
    edges_of,
    free_spans,
    inner_ground,
    own_angles,
    sin_cos,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

    from clubplanner.fitting.packing.spans import Edge

_Box: TypeAlias = tuple[float, float, float, float, float]
"""(area, x, y, extent along x, extent along y) in a turned frame."""
_Level: TypeAlias = tuple[float, float]
"""(y, y) of the lowest and the highest corner on one line: of a rectangle below the line the
lowest counts, of one above it the highest."""
_NOTHING: _Box = (0.0, 0.0, 0.0, 0.0, 0.0)
_MOST_CORNERS = 80
_LEVELS = 24
_REFINED = 3


def fit_largest(
    ground: Polygon, *, aspect: float | None = None, margin_m: float = 0.0
) -> Piece | None:
    """Find the largest rectangle on a ground.

    Args:
        ground: Valid polygon, metres; holes are ground that cannot be used.
        aspect: Length over width, either way round; None for any shape.
        margin_m: Distance from the ground's edge and holes.

    Returns:
        The rectangle, its length the longer side; None when the ground holds none a millimetre
        wide.

    Raises:
        ValueError: If a number cannot be used or the ground is absurdly large.
    """
    check_lengths(may_be_zero=True, margin_m=margin_m)
    if aspect is not None and not (math.isfinite(aspect) and 0.05 <= aspect <= 20):
        raise ValueError(f"Give aspect as length over width between 0.05 and 20, not {aspect!r}.")
    check_ground(ground)
    parts = inner_ground(ground, margin_m)
    best, best_angle = _NOTHING, 0.0
    for angle_deg in dict.fromkeys([*own_angles(parts), 0.0]):
        for part in parts:
            found = _largest_turned(edges_of([part], -angle_deg), aspect)
            if found[0] > best[0] + TOUCH_M:
                best, best_angle = found, angle_deg
    if best[0] <= 0:
        return None
    return _shrunk_to(ground, _piece_from_box(best, best_angle))


def _largest_turned(edges: Sequence[Edge], aspect: float | None) -> _Box:
    """Find the largest rectangle along the axes of one frame."""
    corners = _levels_of(edges)
    is_square = all(_is_level(edge) or abs(edge[2] - edge[0]) <= ROUNDED_M for edge in edges)
    levels = _thinned(corners, _MOST_CORNERS if is_square else _LEVELS)
    low, high = corners[0][0], corners[-1][1]
    if not is_square:
        count = _LEVELS if len(edges) <= MANY_EDGES else _LEVELS // 2
        between = [low + (high - low) * n / count for n in range(1, count)]
        levels = sorted([*_thinned(levels, count), *((level, level) for level in between)])
    offers = [
        (_best_in_band(edges, bottom, top, aspect), bottom, top)
        for number, (_, bottom) in enumerate(levels)
        for top, _ in levels[number + 1 :]
    ]
    if not offers:
        return _NOTHING
    if is_square:
        return max(offers)[0]
    step = (high - low) / _LEVELS
    return max(
        _refined(edges, bottom, top, aspect, step)
        for _, bottom, top in heapq.nlargest(_REFINED, offers)
    )


def _is_level(edge: Edge) -> bool:
    return edge[3] - edge[1] <= ROUNDED_M


def _levels_of(edges: Sequence[Edge]) -> list[_Level]:
    """List the levels of all corners, rising; those nearer than corners are known are one."""
    ends = sorted({y for edge in edges for y in (edge[1], edge[3])})
    found: list[_Level] = []
    for y in ends:
        if found and y - found[-1][0] <= ROUNDED_M:
            found[-1] = (found[-1][0], y)
        else:
            found.append((y, y))
    return found


def _thinned(levels: Sequence[_Level], most: int) -> list[_Level]:
    """Beyond a number of levels keep only every so many-th, and the last."""
    return sorted({*levels[:: -(-len(levels) // most) or 1], *levels[-1:]})


def _best_in_band(edges: Sequence[Edge], low: float, high: float, aspect: float | None) -> _Box:
    tall = high - low
    if tall < 1e-3:
        return _NOTHING
    best = _NOTHING
    for left, right in free_spans(edges, low, high):
        wide = right - left
        if aspect is None:
            best = max(best, (wide * tall, left, low, wide, tall))
            continue
        for ratio in (aspect, 1 / aspect):
            x_size = min(wide, tall * ratio)
            y_size = x_size / ratio
            x, y = left + (wide - x_size) / 2, low + (tall - y_size) / 2
            best = max(best, (x_size * y_size, x, y, x_size, y_size))
    return best


def _refined(
    edges: Sequence[Edge], low: float, high: float, aspect: float | None, step: float
) -> _Box:
    """Move the two sides of a band up and down as long as the rectangle grows."""
    best = _best_in_band(edges, low, high, aspect)
    while step > 5e-4:
        moves = ((0, step), (0, -step), (step, 0), (-step, 0), (step, step), (-step, -step))
        for down, up in (*moves, (step, -step), (-step, step)):
            found = _best_in_band(edges, low + down, high + up, aspect)
            if found[0] > best[0] + TOUCH_M:
                best, low, high = found, low + down, high + up
                break
        else:
            step /= 2
    return best


def _piece_from_box(box: _Box, angle_deg: float) -> Piece:
    _, x, y, x_size, y_size = box
    sin, cos = sin_cos(angle_deg)
    is_standing = y_size > x_size
    corner = x + (x_size if is_standing else 0.0)
    return Piece(
        corner * cos - y * sin,
        corner * sin + y * cos,
        max(x_size, y_size),
        min(x_size, y_size),
        angle_deg + (90.0 if is_standing else 0.0),
    )


def _shrunk_to(ground: Polygon, piece: Piece) -> Piece | None:
    """Verify that a rectangle lies on the ground, taking off a millimetre where it does not."""
    reach = shapely.buffer(ground, 1e-5, join_style="mitre")
    for inset in (0.0, 1e-4, 1e-3, ROUNDED_M):
        length, width = piece.length_m - 2 * inset, piece.width_m - 2 * inset
        if width <= 0:
            break
        sin, cos = sin_cos(piece.angle_deg)
        x = piece.x_m + inset * (cos - sin)
        y = piece.y_m + inset * (sin + cos)
        smaller = Piece(x, y, length, width, piece.angle_deg)
        if reach.covers(smaller.polygon):
            return smaller
    return None
