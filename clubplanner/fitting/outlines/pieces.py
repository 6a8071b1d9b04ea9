"""How many equal rectangles fit on a piece of ground, and where they lie.

Two pieces keep a gap when they stand at least that far apart along one of their sides. Giving
every piece the gap along two sides, and the ground too, turns the question into one without gaps.
Lengths are rounded to the nearest millimetre, so a piece may reach over the edge by that much; on
a turned rectangle by two, since its corners may be rounded to millimetres as well.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shapely import MultiPolygon, Polygon

from clubplanner.fitting.outlines.irregular import bound_count, place_pieces
from clubplanner.fitting.outlines.square_search import SQUARE_STEPS, square_question
from clubplanner.fitting.packing.rectangles import BLOCK_STEPS, SKYLINE_STEPS, pack_rectangle
from clubplanner.fitting.packing.spans import inner_ground, rectangle_frame, sin_cos

if TYPE_CHECKING:
    from collections.abc import Iterable

LONGEST_GROUND_M = 2000.0
"""Beyond any sports ground: most likely feet, or degrees, or a slip of the pen."""
MOST_PIECES = 20_000
"""Beyond any use on a ground: most likely centimetres taken for metres."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A rectangle on the ground.

    Attributes:
        x_m: Corner about which it is turned; the lower left one before turning.
        y_m: The same corner.
        length_m: Extent along its own axis.
        width_m: Extent across its own axis.
        angle_deg: Direction of its own axis, degrees counter-clockwise from x.
    """

    x_m: float
    y_m: float
    length_m: float
    width_m: float
    angle_deg: float

    @property
    def corners(self) -> tuple[tuple[float, float], ...]:
        """The four corners, counter-clockwise from (x_m, y_m)."""
        sin, cos = sin_cos(self.angle_deg)
        reach = ((0.0, 0.0), (self.length_m, 0.0), (self.length_m, self.width_m))
        return tuple(
            (self.x_m + u * cos - v * sin, self.y_m + u * sin + v * cos)
            for u, v in (*reach, (0.0, self.width_m))
        )

    @property
    def polygon(self) -> Polygon:
        """Its outline, metres."""
        return Polygon(self.corners)

    @property
    def area_m2(self) -> float:
        """Its ground in square metres."""
        return self.length_m * self.width_m


@dataclass(frozen=True, slots=True)
class PieceFit:
    """Equal pieces laid on a ground.

    Attributes:
        pieces: Where each lies; empty when none fits.
        bound: No layout with pieces along the ground's edges, or across them, holds more.
        turned_bound: No layout holds more, however its pieces are turned; `bound` or above.
    """

    pieces: tuple[Piece, ...]
    bound: int
    turned_bound: int

    @property
    def count(self) -> int:
        """How many pieces were laid."""
        return len(self.pieces)

    @property
    def is_proved(self) -> bool:
        """Whether no layout can hold more, in the sense of `bound`."""
        return self.count >= self.bound

    @property
    def holds_turned(self) -> bool:
        """Whether what `bound` says holds for turned pieces, too."""
        return self.turned_bound <= self.bound


def fit_pieces(
    ground: Polygon | MultiPolygon,
    length_m: float,
    width_m: float,
    *,
    gap_m: float = 0.0,
    margin_m: float = 0.0,
    enough: int | None = None,
    effort: float = 1.0,
) -> PieceFit:
    """Lay as many equal rectangles on a ground as can be found.

    Args:
        ground: Valid polygon, metres, or several apart; holes are ground that cannot be used.
        length_m: Length of each piece; quarter turns are allowed.
        width_m: Width of each piece.
        gap_m: Distance between any two pieces, along one of their sides.
        margin_m: Distance from the ground's edge and holes.
        enough: Stop looking once so many are placed; more may still be returned, and none where
            the bound rules so many out. None to look for as many as can be found.
        effort: Work allowed, 1 for an answer while a person waits.

    Returns:
        The layout; the same for the same question always.

    Raises:
        ValueError: If a number cannot be used, or the ground or the count is absurdly large.
    """
    check_lengths(length_m=length_m, width_m=width_m)
    check_lengths(may_be_zero=True, gap_m=gap_m, margin_m=margin_m)
    check_ground(ground)
    parts = inner_ground(ground, margin_m)
    _check_count(sum(part.area for part in parts), length_m, width_m)
    frame = rectangle_frame(parts[0]) if len(parts) == 1 else None
    if frame is not None:
        return _fit_on_rectangle(frame, (length_m, width_m), gap_m, enough, effort)
    bound = turned_bound = bound_count(parts, length_m, width_m, gap_m)
    square = square_question(parts, (length_m, width_m), gap_m) if bound else None
    if square is not None:
        bound = min(bound, square.bound)
    if enough is not None and bound < enough:
        return PieceFit((), bound, turned_bound)
    wanted = bound if enough is None else enough
    placed = place_pieces(parts, (length_m, width_m), gap_m, wanted, effort)
    if square is not None and len(placed) < wanted:
        placed, bound = square.search((placed, bound), wanted, round(SQUARE_STEPS * effort))
    pieces = tuple(Piece(*place) for place in placed)
    return PieceFit(pieces, bound, turned_bound)


def check_ground(ground: Polygon | MultiPolygon) -> None:
    """Refuse a ground that cannot be meant.

    Raises:
        ValueError: If it is not valid, or longer than any sports ground.
    """
    if ground.is_empty:
        return
    if not all(math.isfinite(value) for value in ground.bounds) or not ground.is_valid:
        raise ValueError("The ground's outline cannot be used; draw it without crossings.")
    x0, y0, x1, y1 = ground.bounds
    if max(x1 - x0, y1 - y0) > LONGEST_GROUND_M:
        raise ValueError(
            f"The ground is {max(x1 - x0, y1 - y0):.6g} m long; give one of at most "
            f"{LONGEST_GROUND_M:.0f} m, in metres of the pitch's own frame."
        )


def check_lengths(*, may_be_zero: bool = False, **lengths: float) -> None:
    """Refuse lengths that cannot be meant.

    Args:
        may_be_zero: Whether 0 is allowed.
        **lengths: Metres, by the name to show.

    Raises:
        ValueError: If one is negative, not a number, endless, or below a millimetre where 0 is
            not allowed.
    """
    for name, value in lengths.items():
        least = 0.0 if may_be_zero else 1e-3
        if not math.isfinite(value) or value < least or value > LONGEST_GROUND_M:
            kind = "0 or more" if may_be_zero else "more than 0"
            raise ValueError(f"Give {name} as metres, {kind}, not {value!r}.")


def _check_count(area_m2: float, length_m: float, width_m: float) -> None:
    if area_m2 > MOST_PIECES * length_m * width_m:
        raise ValueError(
            f"More than {MOST_PIECES} pieces of {length_m:g} × {width_m:g} m could fit. "
            "Give the sizes in metres."
        )


def _fit_on_rectangle(
    frame: tuple[float, float, float, float, float],
    size_m: tuple[float, float],
    gap_m: float,
    enough: int | None,
    effort: float,
) -> PieceFit:
    x, y, angle_deg, along_m, across_m = frame
    gap = round(gap_m * 1000)
    packing = pack_rectangle(
        (round(along_m * 1000) + gap, round(across_m * 1000) + gap),
        (round(size_m[0] * 1000) + gap, round(size_m[1] * 1000) + gap),
        enough=enough,
        block_steps=round(BLOCK_STEPS * effort),
        skyline_steps=round(SKYLINE_STEPS * effort),
    )
    placed = ((u / 1000, v / 1000, is_standing) for u, v, is_standing in packing.boxes)
    pieces = tuple(_pieces_from_local((x, y, angle_deg), size_m, placed))
    turned_bound = _bound_turned((round(along_m, 3), round(across_m, 3)), size_m, gap_m)
    return PieceFit(pieces, min(packing.bound, turned_bound), turned_bound)


def _bound_turned(sides_m: tuple[float, float], size_m: tuple[float, float], gap_m: float) -> int:
    """Bound the pieces on a rectangle by its area and its width, however they are turned."""
    if min(size_m) > min(sides_m) + 1e-3 or max(size_m) > math.hypot(*sides_m) + 2e-3:
        return 0
    ground, piece = (
        one * other + (one + other) * gap_m + math.pi * gap_m**2 / 4
        for one, other in (sides_m, size_m)
    )
    return int(ground / piece + 1e-9)


def _pieces_from_local(
    frame: tuple[float, float, float],
    size_m: tuple[float, float],
    placed: Iterable[tuple[float, float, bool]],
) -> Iterable[Piece]:
    x, y, angle_deg = frame
    sin, cos = sin_cos(angle_deg)
    for u, v, is_standing in placed:
        corner = u + (size_m[1] if is_standing else 0.0)
        yield Piece(
            x + corner * cos - v * sin,
            y + corner * sin + v * cos,
            size_m[0],
            size_m[1],
            angle_deg + (90.0 if is_standing else 0.0),
        )
