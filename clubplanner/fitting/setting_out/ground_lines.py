"""Lines and marks that can be found on the ground, by the names people give them.

Distances are paced from the straight lines round a squad's own part: a pitch's ends and sides, and
where the part ends within the pitch its own lines, which are told from the pitch's. Along a line
one starts at its corners, at the posts of a goal that is fixed there, or at the halfway mark.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, TypeAlias

import shapely

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.domain.ground.orientation.facing import Edge
from clubplanner.language import _

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Edges
    from clubplanner.fitting.setting_out.ways import GoalSpot

Spot: TypeAlias = tuple[float, float]
"""(x, y) in metres."""
ON_LINE_M = 0.05
"""What is nearer to a line than this is on it: it is paced, not surveyed."""
SHORTEST_LINE_M = 3.0
"""A shorter piece of an outline is not seen as a line (common practice, no source)."""
_LONG_ENOUGH = 0.4
"""The outermost line of those at least so long, of the longest, has the name to itself."""
_SQUARE_DEG = 0.6
_GOAL_REACH_M = 0.5


_ALONG = {
    Edge.FAR: (Edge.RIGHT, Edge.LEFT),
    Edge.LEFT: (Edge.FAR, Edge.START),
    Edge.START: (Edge.LEFT, Edge.RIGHT),
    Edge.RIGHT: (Edge.START, Edge.FAR),
}
"""With the ground on one's left: what lies behind and before whoever walks along a line."""


class LineKind(StrEnum):
    """Whose line it is."""

    EDGE = "end or side of the pitch"
    INNER = "further edge of a pitch that is no rectangle"
    OWN = "where the own part ends within the pitch"
    HALFWAY = "halfway line"


class MarkKind(StrEnum):
    """What one paces from along a line."""

    SQUARE = "square corner"
    CORNER = "corner"
    GOAL = "goal post"
    HALFWAY = "halfway mark"


@dataclass(frozen=True, slots=True)
class LineMark:
    """Something on a line to pace from.

    Attributes:
        at_m: How far along the line.
        kind: What it is.
        line: Number of the line that meets there; None for a goal or the halfway mark.
        side: Of a goal post on which side of it one paces: -1 towards the line's start, 1 towards
            its end; 0 for both.
    """

    at_m: float
    kind: MarkKind
    line: int | None = None
    side: int = 0


@dataclass(frozen=True, slots=True)
class GroundLine:
    """A straight line that can be found on the ground, with the ground on its left.

    Attributes:
        facing: Which way the ground ends there.
        edge: What people call the edge of the pitch that way.
        start: Where it begins, metres.
        end: Where it ends.
        along: What people call the edges towards its start and towards its end.
        kind: Whose line it is.
        marks: What to pace from along it.
    """

    facing: Edge
    edge: str
    start: Spot
    end: Spot
    along: tuple[str, str]
    kind: LineKind = LineKind.EDGE
    marks: tuple[LineMark, ...] = ()

    @property
    def length_m(self) -> float:
        """From end to end."""
        return math.dist(self.start, self.end)

    @property
    def direction_deg(self) -> float:
        """From start to end, degrees counter-clockwise from x."""
        dx, dy = self.end[0] - self.start[0], self.end[1] - self.start[1]
        return math.degrees(math.atan2(dy, dx))

    @property
    def words(self) -> str:
        """As one says from where: "the Railway end"."""
        return {
            LineKind.EDGE: _("the %(edge)s", edge=self.edge),
            LineKind.INNER: _("the inner edge towards the %(edge)s", edge=self.edge),
            LineKind.OWN: _("your line towards the %(edge)s", edge=self.edge),
            LineKind.HALFWAY: _("the halfway line"),
        }[self.kind]

    @property
    def line_words(self) -> str:
        """As one says on what: "the Railway end line"."""
        if self.kind is LineKind.EDGE:
            return _("the %(edge)s line", edge=self.edge)
        return self.words

    @property
    def must_be_found(self) -> bool:
        """Whether one has to be told where it is before one can pace from it."""
        return self.kind in (LineKind.INNER, LineKind.OWN)

    def measure_to(self, spot: Spot) -> tuple[float, float]:
        """Return how far along the line the foot of a spot is, and how far it lies to the left."""
        long = self.length_m
        ux, uy = (self.end[0] - self.start[0]) / long, (self.end[1] - self.start[1]) / long
        dx, dy = spot[0] - self.start[0], spot[1] - self.start[1]
        return dx * ux + dy * uy, dy * ux - dx * uy

    def spot_at(self, at_m: float) -> Spot:
        """Return the spot so far along the line."""
        part = at_m / self.length_m
        return (
            self.start[0] + part * (self.end[0] - self.start[0]),
            self.start[1] + part * (self.end[1] - self.start[1]),
        )


@dataclass(frozen=True, slots=True)
class Landmark:
    """A mark that can be found on the ground.

    Attributes:
        name: As people say it: "corner of the Mill end and the Road side".
        x_m: Along the pitch.
        y_m: Across the pitch.
    """

    name: str
    x_m: float
    y_m: float


def find_landmarks(outline: Polygon, edges: Edges) -> tuple[Landmark, ...]:
    """List the marks of a pitch: its four corners, and the halfway line's ends.

    Args:
        outline: The pitch, metres in its own frame.
        edges: What people call its ends and sides.

    Returns:
        Those that lie on the outline; where none does, the outermost spot of each edge.
    """
    x0, y0, x1, y1 = outline.bounds
    ends = ((edges.start, x0), (edges.far, x1))
    sides = ((edges.right, y0), (edges.left, y1))
    marks = [
        Landmark(_("corner of the %(end)s and the %(side)s", end=end, side=side), x, y)
        for end, x in ends
        for side, y in sides
    ]
    marks += [
        Landmark(_("halfway mark on the %(side)s", side=side), (x0 + x1) / 2, y)
        for side, y in sides
    ]
    rim = outline.exterior
    found = [
        mark for mark in marks if rim.distance(shapely.Point(mark.x_m, mark.y_m)) <= _GOAL_REACH_M
    ]
    return tuple(found or _outermost(outline, edges))


def _outermost(outline: Polygon, edges: Edges) -> Iterator[Landmark]:
    corners = [(float(x), float(y)) for x, y, *_z in outline.exterior.coords[:-1]]
    for edge, x, y in (
        (edges.start, -1, 0),
        (edges.far, 1, 0),
        (edges.right, 0, -1),
        (edges.left, 0, 1),
    ):
        spot = max(corners, key=lambda corner: (round(x * corner[0] + y * corner[1], 6), corner))
        yield Landmark(_("outermost spot towards the %(edge)s", edge=edge), *spot)


def pitch_lines(outline: Polygon, edges: Edges) -> tuple[GroundLine, ...]:
    """Return the straight lines round a pitch, for each of its names one: the outermost long one.

    Args:
        outline: The pitch, metres in its own frame.
        edges: What people call its ends and sides.
    """
    ring = _straight_ring(outline, edges)
    return _with_corners(ring, _one_for_each_name(ring))


def part_lines(
    part: Polygon,
    outline: Polygon,
    edges: Edges,
    goals: Sequence[GoalSpot] = (),
    *,
    halfway_m: float | None = None,
) -> tuple[GroundLine, ...]:
    """Return the straight lines round the own part of a pitch.

    Args:
        part: The ground, metres in the pitch's frame.
        outline: The pitch.
        edges: What people call its ends and sides.
        goals: Goals on the part; fixed ones on a line serve as marks.
        halfway_m: Where the halfway line crosses the length; None where none is marked.
    """
    pitch = pitch_lines(outline, edges)
    named = {(line.start, line.end) for line in pitch}
    around = [
        line for line in _straight_ring(outline, edges) if (line.start, line.end) not in named
    ]
    ring = [
        replace(line, kind=_kind_of(line, pitch, around, halfway_m))
        for line in _straight_ring(part, edges)
    ]
    kept: list[GroundLine] = []
    for kinds in ((LineKind.EDGE,), (LineKind.INNER,), (LineKind.OWN, LineKind.HALFWAY)):
        some = [line for line in ring if line.kind in kinds and _can_be_found(line, pitch)]
        kept += _one_for_each_name(some)
    lines = _with_corners(ring, sorted(kept, key=ring.index))
    return tuple(
        replace(line, marks=(*line.marks, *_further_marks(line, goals, halfway_m)))
        for line in lines
    )


def _kind_of(
    line: GroundLine,
    pitch: Sequence[GroundLine],
    around: Sequence[GroundLine],
    halfway_m: float | None,
) -> LineKind:
    """Tell whose line an edge of the part is."""
    if any(_lies_on(line, other) for other in pitch):
        return LineKind.EDGE
    if any(_lies_on(line, other) for other in around):
        return LineKind.INNER
    spots = (line.start, line.end)
    if halfway_m is not None and max(abs(x - halfway_m) for x, _y in spots) <= ON_LINE_M:
        return LineKind.HALFWAY
    return LineKind.OWN


def _straight_ring(outline: Polygon, edges: Edges) -> list[GroundLine]:
    """Return an outline's edges in their order, those in one line joined to one."""
    plain = shapely.simplify(shapely.Polygon(outline.exterior), ON_LINE_M)
    ring = shapely.orient_polygons(plain).exterior
    spots = [(float(x), float(y)) for x, y, *_z in ring.coords[:-1]]
    spots = _without_flat_corners(spots)
    found = []
    for start, end in zip(spots, [*spots[1:], *spots[:1]], strict=True):
        facing = _facing(start, end)
        names = [getattr(edges, facing.value) for facing in (facing, *_ALONG[facing])]
        found.append(GroundLine(facing, names[0], start, end, (names[1], names[2])))
    return found


def _without_flat_corners(spots: list[Spot]) -> list[Spot]:
    """Leave out corners that lie on the line between the two beside them."""
    kept = [
        spot
        for before, spot, after in zip(
            [spots[-1], *spots], spots, [*spots[1:], spots[0]], strict=False
        )
        if shapely.LineString([before, after]).distance(shapely.Point(spot)) > ON_LINE_M
    ]
    return kept if len(kept) > 2 else spots


def _facing(start: Spot, end: Spot) -> Edge:
    """Tell which way one leaves the ground over an edge that has it on its left."""
    out_deg = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])) - 90.0
    order = (Edge.FAR, Edge.LEFT, Edge.START, Edge.RIGHT)
    return order[int(((round(out_deg, 6) + 45.0) % 360.0) // 90.0)]


def _one_for_each_name(ring: Sequence[GroundLine]) -> list[GroundLine]:
    """Keep one line for each way it may face."""
    kept = []
    for facing in Edge:
        lines = [
            line for line in ring if line.facing is facing and line.length_m >= SHORTEST_LINE_M
        ]
        if lines:
            longest = max(line.length_m for line in lines)
            long = [line for line in lines if line.length_m >= _LONG_ENOUGH * longest]
            kept.append(max(long, key=lambda line: (round(_outwards(line), 3), line.length_m)))
    return sorted(kept, key=ring.index)


def _outwards(line: GroundLine) -> float:
    """Return how far out the middle of a line lies, the way it faces."""
    x, y = (line.start[0] + line.end[0]) / 2, (line.start[1] + line.end[1]) / 2
    return {Edge.FAR: x, Edge.START: -x, Edge.LEFT: y, Edge.RIGHT: -y}[line.facing]


def _with_corners(ring: Sequence[GroundLine], kept: Sequence[GroundLine]) -> tuple[GroundLine, ...]:
    """Add to each kept line the corners at which it meets another that is kept."""
    numbers = {(line.start, line.end): number for number, line in enumerate(kept)}
    found = []
    for line in kept:
        at = next(n for n, one in enumerate(ring) if (one.start, one.end) == (line.start, line.end))
        before, after = ring[at - 1], ring[(at + 1) % len(ring)]
        marks = [
            LineMark(at_m, _corner_kind(*pair), numbers[other.start, other.end])
            for other, at_m, pair in (
                (before, 0.0, (before, line)),
                (after, line.length_m, (line, after)),
            )
            if (other.start, other.end) in numbers
        ]
        found.append(replace(line, marks=tuple(marks)))
    return tuple(found)


def _corner_kind(line: GroundLine, after: GroundLine) -> MarkKind:
    """Tell whether two lines enclose a quarter: at an inner corner they enclose three."""
    turn = (after.direction_deg - line.direction_deg) % 360.0
    return MarkKind.SQUARE if abs(turn - 90.0) <= _SQUARE_DEG else MarkKind.CORNER


def _lies_on(line: GroundLine, other: GroundLine) -> bool:
    """Tell whether a part's edge lies on a line of the pitch."""
    for spot in (line.start, line.end):
        along, left = other.measure_to(spot)
        if abs(left) > ON_LINE_M or not -ON_LINE_M <= along <= other.length_m + ON_LINE_M:
            return False
    return True


def parallel_to(line: GroundLine, pitch: Sequence[GroundLine]) -> list[tuple[float, GroundLine]]:
    """Return the pitch's lines that run beside one of a part's, each with how far away, m."""
    away = [
        (abs(other.measure_to(line.start)[1]), other)
        for other in pitch
        if abs((line.direction_deg - other.direction_deg + 90.0) % 180.0 - 90.0) <= _SQUARE_DEG
    ]
    return sorted(away, key=lambda one: (round(one[0], 3), one[1].facing != line.facing))


def serving(spot: Spot, lines: Sequence[GroundLine]) -> Iterator[tuple[GroundLine, LineMark]]:
    """List lines and marks from which a spot can be told: square into the ground from a line."""
    for line in lines:
        along, left = line.measure_to(spot)
        if left < -ON_LINE_M or not -ON_LINE_M <= along <= line.length_m + ON_LINE_M:
            continue
        for mark in line.marks:
            is_beside = mark.side * (along - mark.at_m) >= 0 and left <= ON_LINE_M
            if mark.kind is not MarkKind.GOAL or is_beside:
                yield line, mark


def _can_be_found(line: GroundLine, pitch: Sequence[GroundLine]) -> bool:
    """Tell whether a part's own line can be told from the pitch's lines."""
    if not line.must_be_found or parallel_to(line, pitch):
        return True
    return all(any(serving(spot, pitch)) for spot in (line.start, line.end))


def _further_marks(
    line: GroundLine, goals: Sequence[GoalSpot], halfway_m: float | None
) -> Iterator[LineMark]:
    """List posts of the one fixed goal on a line, and where the halfway line meets a side."""
    here = [
        (line.measure_to((goal.x_m, goal.y_m))[0], goal.width_m)
        for goal in goals
        if goal.kind is GoalKind.FIXED
        and abs(line.measure_to((goal.x_m, goal.y_m))[1]) <= _GOAL_REACH_M
    ]
    if len(here) == 1:  # of several nobody would know which is meant
        ((along, width),) = here
        for side in (-1, 1):
            if 0.0 <= along + side * width / 2 <= line.length_m:
                yield LineMark(along + side * width / 2, MarkKind.GOAL, side=side)
    is_side = abs(line.end[1] - line.start[1]) <= ON_LINE_M
    if halfway_m is not None and is_side and line.kind is LineKind.EDGE:
        dx = (line.end[0] - line.start[0]) / line.length_m
        at_m = (halfway_m - line.start[0]) / dx
        if SHORTEST_LINE_M <= at_m <= line.length_m - SHORTEST_LINE_M:
            yield LineMark(at_m, MarkKind.HALFWAY)
