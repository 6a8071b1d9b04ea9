"""An outline traced on a picture as cells of a form: two points of the scale, and the corners."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from shapely import Polygon

from clubplanner.domain.problems import Problem
from clubplanner.geometry.shapes import explain_fault, rectangle
from clubplanner.geometry.tracing import Measured, TracedOutline, measure, metres_per_point, trace
from clubplanner.inputs.ground_files.pitch_parts import LONGEST_M, SHORTEST_M
from clubplanner.inputs.ground_files.pitch_sheet import MOST_CORNERS
from clubplanner.language import _, figure

if TYPE_CHECKING:
    from collections.abc import Mapping

    from clubplanner.geometry.tracing import Spot

MOST_POINTS = 100_000
"""No picture is that wide."""
SHORTEST_KNOWN_M, LONGEST_KNOWN_M = 1.0, 1000.0
DIGITS = 1
"""Of a metre: a picture is not more exact than a decimetre."""


@dataclass(frozen=True, slots=True)
class TracingRead:
    """What was traced.

    Attributes:
        outline: In the pitch's own frame; None when there is a problem.
        measured: As traced, before it was squared up; None when there is a problem.
        problems: Every fault; `where` is the cell.
    """

    outline: TracedOutline | None
    measured: Measured | None
    problems: tuple[Problem, ...]


def read_tracing(cells: Mapping[str, str]) -> TracingRead:
    """Read a traced outline.

    Args:
        cells: `a_x`, `a_y`, `b_x`, `b_y` in points of the picture, `distance` in metres, and
            `corner_1_x`, `corner_1_y` and so on, in order round the edge.
    """
    reader = _Reader(cells)
    known = [reader.spot("a"), reader.spot("b")]
    distance_m = reader.distance()
    corners = reader.corners()
    if reader.problems:
        return TracingRead(None, None, tuple(reader.problems))
    one, other = (spot or (0.0, 0.0) for spot in known)
    try:
        scale_m = metres_per_point(one, other, distance_m)
    except ValueError:
        reader.fault("b_x", _("Both points of the known distance are the same; move one of them."))
        return TracingRead(None, None, tuple(reader.problems))
    reason = explain_fault(Polygon(corners))
    if reason:
        reader.fault("corner_1_x", f"{reason[:1].upper()}{reason[1:]}.")
        return TracingRead(None, None, tuple(reader.problems))
    outline = trace(corners, scale_m)
    _check_size(reader, outline)
    if reader.problems:
        return TracingRead(None, None, tuple(reader.problems))
    return TracingRead(outline, measure(corners, scale_m), ())


def sheet_of_outline(outline: TracedOutline) -> dict[str, str]:
    """Write an outline as cells of the pitch's sheet, to the decimetre."""
    polygon = outline.polygon
    _x0, _y0, x1, y1 = polygon.bounds
    if polygon.equals(rectangle(0.0, 0.0, x1, y1)):
        return {"length": _text(x1), "width": _text(y1)}
    cells: dict[str, str] = {}
    for n, (x, y) in enumerate(list(polygon.exterior.coords)[:-1], start=1):
        cells |= {f"corner_{n}_x": _text(x), f"corner_{n}_y": _text(y)}
    return cells


@dataclass(slots=True)
class _Reader:
    cells: Mapping[str, str]
    problems: list[Problem] = field(default_factory=list)

    def fault(self, cell: str, message: str) -> None:
        self.problems.append(Problem(cell, "tracing", message))

    def spot(self, stem: str) -> Spot | None:
        """Read a point; None where it is blank or no point, which is noted."""
        found = [_number(self.cells.get(f"{stem}_{axis}", "")) for axis in "xy"]
        x, y = found
        if x is None or y is None or max(abs(x), abs(y)) > MOST_POINTS:
            cell = f"{stem}_y" if x is not None and abs(x) <= MOST_POINTS else f"{stem}_x"
            self.fault(cell, _("Mark this point on the picture, or enter two numbers."))
            return None
        return x, y

    def distance(self) -> float:
        value = _number(self.cells.get("distance", ""))
        if value is None or not SHORTEST_KNOWN_M <= value <= LONGEST_KNOWN_M:
            words = _(
                "Enter how far the two points lie apart on the ground, %(low)s to %(high)s m.",
                low=figure(SHORTEST_KNOWN_M, "g"),
                high=figure(LONGEST_KNOWN_M, "g"),
            )
            self.fault("distance", words)
            return 0.0
        return value

    def corners(self) -> list[Spot]:
        rows = [
            n
            for n in range(1, MOST_CORNERS + 1)
            if any(self.cells.get(f"corner_{n}_{axis}", "").strip() for axis in "xy")
        ]
        if len(rows) < 3:
            self.fault("corner_1_x", _("Mark at least three corners, in order round the edge."))
            return []
        found = [self.spot(f"corner_{n}") for n in rows]
        return [spot for spot in found if spot is not None]


def _check_size(reader: _Reader, outline: TracedOutline) -> None:
    _x0, _y0, length, width = outline.polygon.bounds
    if not (SHORTEST_M <= width <= LONGEST_M and SHORTEST_M <= length <= LONGEST_M):
        words = _(
            "This would be a pitch of %(length)s × %(width)s m; one has %(low)s to %(high)s m each "
            "way. Correct the known distance or its two points.",
            length=figure(length, ".1f"),
            width=figure(width, ".1f"),
            low=figure(SHORTEST_M, "g"),
            high=figure(LONGEST_M, "g"),
        )
        reader.fault("distance", words)


def _number(text: str) -> float | None:
    try:
        value = float(text.strip().replace(",", ".").replace("−", "-"))
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def _text(value: float) -> str:
    return f"{round(float(value), DIGITS):g}"
