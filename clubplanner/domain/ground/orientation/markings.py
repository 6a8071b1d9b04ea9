"""Painted lines by which people find their place, from published dimensions.

No record says which lines a pitch has. They are told from what is recorded: its size, its surface,
and the goals at its ends. What fits no published field gets none; where more than one fits (futsal
and handball share a hall), only those lines are told that all of them have.
"""

from __future__ import annotations

import csv
import io
import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely import LineString, Point, Polygon
from shapely.affinity import affine_transform
from shapely.ops import substring

from clubplanner.domain.ground.formats import STANDINGS

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from shapely.geometry.base import BaseGeometry

    from clubplanner.domain.ground.grounds import Goal, Pitch

SIZE_SLACK_M = 0.5
"""Ground may differ so much from a published size: traced corners are not more exact."""
GOAL_SIZE_SLACK_M = 0.1
GOAL_PLACE_SLACK_M = 1.5
"""A goal stands at an end when the middle of its mouth is no further from that end's middle."""
LEAST_FILLED = 0.93
"""How much of its rectangle clipped ground must fill to have the lines of that rectangle."""
SAME_LINE_M = 0.15
"""Lines of two fields so near each other are the same line to somebody who stands there."""
SAME_SHARE = 0.9
"""A line of one field is a line of another when so much of it is the same line."""
SPOT_M = 0.25
"""Radius at which a spot is drawn: larger than painted, to be seen."""
QUADRANT = 8
"""Straight pieces of a quarter circle."""


@dataclass(frozen=True, slots=True)
class MarkingLine:
    """One kind of painted line; what is at one end is at the other too.

    Attributes:
        shape: One of `_SHAPES`.
        from_end_m: Distance from the end line; of a box its depth, of arcs their centre.
        across_m: Extent across the field; of an "arc" the distance from the end line from which
            it is drawn, of "along" the distance from the side line.
        radius_m: Of circles and arcs.
        dash_m: Length of dashes and of the gaps between; 0.0 for an unbroken line.
        standing: How sure the figures are, one of `STANDINGS`.
        source: Where they are published.
    """

    shape: str
    from_end_m: float
    across_m: float
    radius_m: float
    dash_m: float
    standing: str
    source: str


@dataclass(frozen=True, slots=True)
class MarkedField:
    """A published field: which ground it fits, and its lines.

    Attributes:
        code: Short name: "football-11".
        sport: Such as "football".
        surfaces: Surfaces it is played on.
        length_m: Least and greatest length, metres.
        width_m: Least and greatest width, metres.
        goal_m: Width and height of the goals at its ends; None for a field without goals.
        lines: Its lines, without the outline.
    """

    code: str
    sport: str
    surfaces: frozenset[str]
    length_m: tuple[float, float]
    width_m: tuple[float, float]
    goal_m: tuple[float, float] | None
    lines: tuple[MarkingLine, ...]


def parse_markings(text: str) -> tuple[MarkedField, ...]:
    """Read the table of markings: of each field its own row first, then a row a line.

    Raises:
        ValueError: If a row cannot be read.
    """
    rows: dict[str, list[dict[str, str]]] = {}
    for row in csv.DictReader(io.StringIO(text)):
        if row["standing"] not in STANDINGS or not row["source"]:
            raise ValueError(f"A line needs a standing and a source: {row}")
        rows.setdefault(row["code"], []).append(row)
    return tuple(_field_from_rows(code, found) for code, found in rows.items())


def _field_from_rows(code: str, rows: Sequence[dict[str, str]]) -> MarkedField:
    field, *lines = rows
    if field["shape"] != "field" or any(row["shape"] not in _SHAPES for row in lines):
        raise ValueError(f"{code}: the field first, then lines of the shapes {sorted(_SHAPES)}.")
    goal = (field["goal_width_m"], field["goal_height_m"])
    return MarkedField(
        code=code,
        sport=field["sport"],
        surfaces=frozenset(field["surfaces"].split()),
        length_m=(float(field["length_m_from"]), float(field["length_m_to"])),
        width_m=(float(field["width_m_from"]), float(field["width_m_to"])),
        goal_m=(float(goal[0]), float(goal[1])) if all(goal) else None,
        lines=tuple(_line_from_row(row) for row in lines),
    )


def _line_from_row(row: dict[str, str]) -> MarkingLine:
    names = ("from_end_m", "across_m", "radius_m", "dash_m")
    figures = {name: float(row[name] or 0) for name in names}
    return MarkingLine(row["shape"], **figures, standing=row["standing"], source=row["source"])


@dataclass(frozen=True, slots=True)
class _Frame:
    """The rectangle of a field: x along it from one end line, y from its middle to the left."""

    origin: tuple[float, float]
    along: tuple[float, float]
    length_m: float
    width_m: float

    def placed(self, shape: BaseGeometry) -> BaseGeometry:
        (x, y), (dx, dy) = self.origin, self.along
        return affine_transform(shape, [dx, -dy, dy, dx, x, y])

    def ends(self) -> tuple[Point, Point]:
        """Return the middles of both end lines."""
        (x, y), (dx, dy) = self.origin, self.along
        return Point(x, y), Point(x + dx * self.length_m, y + dy * self.length_m)


def pitch_markings(
    pitch: Pitch, fields: Sequence[MarkedField], held: Iterable[str] = ()
) -> tuple[BaseGeometry, ...]:
    """Return the painted lines of a pitch, and of smaller pitches marked on it that are in use.

    Args:
        pitch: The pitch.
        fields: The published fields.
        held: Keys of the areas shown; of those that are markings, their own lines take the place
            of the pitch's.

    Returns:
        Lines in metres of the pitch's frame, clipped to it; none where no field fits.
    """
    marked = [area.polygon for area in pitch.areas if area.cut == "markings" and area.key in held]
    whole = lines_on(pitch.polygon, pitch.surface, pitch.goals, fields)
    rest = [shapely.difference(line, shapely.union_all(marked)) for line in whole]
    small = [
        line for ground in marked for line in lines_on(ground, pitch.surface, pitch.goals, fields)
    ]
    return tuple(line for line in (*rest, *small) if not line.is_empty)


def lines_on(
    ground: Polygon, surface: str, goals: Sequence[Goal], fields: Sequence[MarkedField]
) -> tuple[BaseGeometry, ...]:
    """Return the painted lines of one field's ground; none where no published field fits it.

    Args:
        ground: The field with its own outline, metres.
        surface: What it is made of.
        goals: All goals of the pitch.
        fields: The published fields.
    """
    frame = _frame_of(ground)
    if frame is None:
        return ()
    fitting = [field for field in fields if _fits(field, frame, surface, goals)]
    if not fitting:
        return ()
    first, *others = [_lines_of(field, frame) for field in fitting]
    for other in others:
        near = shapely.buffer(shapely.union_all(other), SAME_LINE_M)
        first = [
            line
            for line in first
            if shapely.intersection(line, near).length >= SAME_SHARE * line.length
        ]
    clipped = [shapely.intersection(frame.placed(line), ground) for line in first]
    return tuple(line for line in clipped if not line.is_empty)


def _frame_of(ground: Polygon) -> _Frame | None:
    """Return the rectangle of ground that is one, or one with a corner or edge cut off."""
    around = shapely.oriented_envelope(ground)
    if not isinstance(around, Polygon) or ground.area < LEAST_FILLED * around.area:
        return None
    a, b, c, d = around.exterior.coords[:4]
    if math.dist(a, b) < math.dist(b, c):
        a, b, c, d = b, c, d, a
    length, width = math.dist(a, b), math.dist(b, c)
    along = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    return _Frame(((a[0] + d[0]) / 2, (a[1] + d[1]) / 2), along, length, width)


def _fits(field: MarkedField, frame: _Frame, surface: str, goals: Sequence[Goal]) -> bool:
    if surface not in field.surfaces:
        return False
    for size, (least, most) in (
        (frame.length_m, field.length_m),
        (frame.width_m, field.width_m),
    ):
        if not least - SIZE_SLACK_M <= size <= most + SIZE_SLACK_M:
            return False
    at_ends = [_goals_at(end, goals) for end in frame.ends()]
    if field.goal_m is None:
        return not any(at_ends)
    wide, high = field.goal_m
    return all(
        any(
            abs(goal.width_m - wide) <= GOAL_SIZE_SLACK_M
            and abs(goal.height_m - high) <= GOAL_SIZE_SLACK_M
            for goal in there
        )
        for there in at_ends
    )


def _goals_at(end: Point, goals: Sequence[Goal]) -> list[Goal]:
    return [goal for goal in goals if Point(goal.x_m, goal.y_m).distance(end) <= GOAL_PLACE_SLACK_M]


def _lines_of(field: MarkedField, frame: _Frame) -> list[BaseGeometry]:
    """Return a field's lines in its own frame; what is at one end at both."""
    floor = shapely.box(0, -frame.width_m / 2, frame.length_m, frame.width_m / 2)
    found: list[BaseGeometry] = []
    for line in field.lines:
        near = shapely.intersection(_SHAPES[line.shape](line, frame), floor)
        far = affine_transform(near, [-1, 0, 0, -1, frame.length_m, 0])
        both = [near] if line.shape in _IN_THE_MIDDLE else [near, far]
        found.extend(_dashed(shape, line.dash_m) for shape in both)
    return found


def _dashed(shape: BaseGeometry, dash_m: float) -> BaseGeometry:
    """Break a line into dashes of about a length, with one at each of its ends."""
    if not dash_m:
        return shape
    dashes = []
    for part in shapely.get_parts(shapely.line_merge(shape)):
        count = 2 * max(0, round((part.length / dash_m - 1) / 2)) + 1
        long = part.length / count
        dashes += [substring(part, n * long, (n + 1) * long) for n in range(0, count, 2)]
    return shapely.union_all(dashes)


def _upright(x: float, across: float) -> LineString:
    return LineString([(x, -across / 2), (x, across / 2)])


def _halfway(_line: MarkingLine, frame: _Frame) -> BaseGeometry:
    return _upright(frame.length_m / 2, frame.width_m)


def _centre_circle(line: MarkingLine, frame: _Frame) -> BaseGeometry:
    return Point(frame.length_m / 2, 0).buffer(line.radius_m, quad_segs=QUADRANT).exterior


def _across(line: MarkingLine, frame: _Frame) -> BaseGeometry:
    return _upright(line.from_end_m, frame.width_m)


def _along(line: MarkingLine, frame: _Frame) -> BaseGeometry:
    y = frame.width_m / 2 - line.across_m
    return LineString([(0, y), (frame.length_m, y)])


def _box(line: MarkingLine, _frame: _Frame) -> BaseGeometry:
    half = line.across_m / 2
    return LineString([(0, -half), (line.from_end_m, -half), (line.from_end_m, half), (0, half)])


def _bar(line: MarkingLine, _frame: _Frame) -> BaseGeometry:
    return _upright(line.from_end_m, line.across_m)


def _spot(line: MarkingLine, _frame: _Frame) -> BaseGeometry:
    return Point(line.from_end_m, 0).buffer(SPOT_M, quad_segs=2).exterior


def _arc(line: MarkingLine, frame: _Frame) -> BaseGeometry:
    circle = Point(line.from_end_m, 0).buffer(line.radius_m, quad_segs=2 * QUADRANT).exterior
    beyond = shapely.box(line.across_m, -frame.width_m, frame.length_m, frame.width_m)
    return shapely.line_merge(shapely.intersection(circle, beyond))


def _corner(line: MarkingLine, frame: _Frame) -> BaseGeometry:
    half = frame.width_m / 2
    return shapely.union_all(
        [
            shapely.intersection(
                Point(0, y).buffer(line.radius_m, quad_segs=QUADRANT).exterior,
                shapely.box(0, -half, frame.length_m, half),
            )
            for y in (-half, half)
        ]
    )


def _round_goal(line: MarkingLine, frame: _Frame) -> BaseGeometry:
    posts = LineString([(0, -line.across_m / 2), (0, line.across_m / 2)])
    return _inside(shapely.buffer(posts, line.radius_m, quad_segs=QUADRANT), frame)


def _far_arc(line: MarkingLine, frame: _Frame) -> BaseGeometry:
    basket = Point(line.from_end_m, 0).buffer(line.radius_m, quad_segs=2 * QUADRANT)
    half = line.across_m / 2
    behind = shapely.box(0, -half, line.from_end_m, half)
    strip = shapely.box(-frame.length_m, -half, frame.length_m, half)
    return _inside(shapely.intersection(shapely.union(basket, behind), strip), frame)


def _inside(shape: BaseGeometry, frame: _Frame) -> BaseGeometry:
    """Return the edge of a shape as far as it lies within the end line."""
    within = shapely.box(0.001, -frame.width_m, frame.length_m, frame.width_m)
    return shapely.line_merge(shapely.intersection(shape.boundary, within))


_SHAPES: dict[str, Callable[[MarkingLine, _Frame], BaseGeometry]] = {
    "halfway": _halfway,
    "centre circle": _centre_circle,
    "across": _across,
    "along": _along,
    "box": _box,
    "bar": _bar,
    "spot": _spot,
    "arc": _arc,
    "corner": _corner,
    "round goal": _round_goal,
    "far arc": _far_arc,
}
_IN_THE_MIDDLE = frozenset(("halfway", "centre circle"))
