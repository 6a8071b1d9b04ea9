"""Cutting a pitch: strips along its length, a grid, smaller pitches lying across it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.geometry.shapes import as_polygon, common_ground, largest_part, rectangle, snap
from clubplanner.language import _

if TYPE_CHECKING:
    from shapely import Polygon


def cut_strips(pitch: Polygon, count: int) -> tuple[Polygon, ...]:
    """Cut a pitch across its length into strips of equal length.

    Args:
        pitch: Valid polygon in its own frame, metres; holes are kept.
        count: How many strips, 1 or more.

    Returns:
        The strips from x = 0 upwards. On an irregular outline the strips are of equal length,
        not of equal area; where a strip falls apart its largest part is kept.

    Raises:
        ValueError: If count is below 1.
    """
    return cut_grid(pitch, count, 1)


def cut_grid(pitch: Polygon, columns: int, rows: int) -> tuple[Polygon, ...]:
    """Cut a pitch into a grid of equal boxes.

    Args:
        pitch: Valid polygon in its own frame, metres.
        columns: Boxes along the length, 1 or more.
        rows: Boxes across the width, 1 or more.

    Returns:
        The pieces, column by column from x = 0, each from y = 0 upwards; pieces that hold no
        ground are left out.

    Raises:
        ValueError: If columns or rows is below 1.
    """
    if columns < 1 or rows < 1:
        raise ValueError(
            _(
                "Cut into 1 piece or more each way, not %(columns)s × %(rows)s.",
                columns=columns,
                rows=rows,
            )
        )
    x0, y0, x1, y1 = pitch.bounds
    length, width = (x1 - x0) / columns, (y1 - y0) / rows
    boxes = (
        rectangle(x0 + column * length, y0 + row * width, length, width)
        for column in range(columns)
        for row in range(rows)
    )
    return tuple(piece for box in boxes if (piece := _largest_part(pitch, box)) is not None)


def lay_across(
    pitch: Polygon, count: int, length_m: float, width_m: float, *, across: bool = True
) -> tuple[Polygon, ...]:
    """Lay equal smaller pitches on a pitch, evenly spaced along its length.

    Args:
        pitch: Valid polygon in its own frame, metres.
        count: How many smaller pitches, 1 or more.
        length_m: Length of each (goal to goal).
        width_m: Width of each.
        across: True when their length lies across the pitch, False when along it.

    Returns:
        The rectangles from x = 0 upwards, centred across the width. They may reach over the
        outline or over each other: the caller decides whether that is a fault.

    Raises:
        ValueError: If count is below 1.
    """
    if count < 1:
        raise ValueError(_("Lay 1 pitch or more, not %(count)s.", count=count))
    x0, y0, x1, y1 = pitch.bounds
    size_x, size_y = (width_m, length_m) if across else (length_m, width_m)
    slot = (x1 - x0) / count
    y = y0 + (y1 - y0 - size_y) / 2
    boxes = (rectangle(x0 + slot * (n + 0.5) - size_x / 2, y, size_x, size_y) for n in range(count))
    return tuple(as_polygon(snap(box)) for box in boxes)


def _largest_part(pitch: Polygon, box: Polygon) -> Polygon | None:
    return largest_part(snap(common_ground(pitch, box)))
