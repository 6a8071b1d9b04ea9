"""The way from where people come in to their own part of a pitch, as one walks it.

One goes round a pitch, not across it: along its edge, leg by leg, until one's own part begins, or
lies abreast. What is said of it stands in `services/showing/ground/way_in_words.py`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely
from shapely import LineString, Point

from clubplanner.domain.ground.orientation.sides import CORNER_M, Sides
from clubplanner.geometry.frame import compass_point
from clubplanner.geometry.walks import TOUCH_M, Walk, find_walk

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon
    from shapely.geometry.base import BaseGeometry

    from clubplanner.domain.ground.grounds import Area, Pitch

    Spot = tuple[float, float]

PASSED_M = 1.0
"""Ground that one goes along for no more than this is not passed."""
LEAST_LEG_M = 1.0
"""A shorter leg, such as the cut corner of an outline, belongs to the one before."""
LINE_M = 0.5
"""How near to a line of the pitch one's own part begins at it."""
ASIDE_M = 0.25


class Hand(StrEnum):
    """Which way one turns."""

    LEFT = "left"
    RIGHT = "right"


class Landmark(StrEnum):
    """What can be found where one's own part begins."""

    HALFWAY = "halfway"
    THIRD = "third"
    QUARTER = "quarter"
    MIDDLE = "middle"
    CORNER = "corner"


@dataclass(frozen=True, slots=True)
class Leg:
    """A stretch of the way along one edge of the pitch.

    Attributes:
        turn: Which way one turns into it: at first looking onto the pitch, later at a corner, as
            one goes.
        edge: "start", "far", "right" or "left"; None for an edge without a name, such as that of
            a notch.
        length_m: How far it goes.
        towards: The compass point it leads to; None where the pitch has no frame.
        passed: Keys of areas that one goes along, in order; none twice on a way.
    """

    turn: Hand
    edge: str | None
    length_m: float
    towards: str | None
    passed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reach:
    """How far one's own part goes from where one reaches it, looking onto the pitch, metres.

    Attributes:
        left_m: Along the edge to the left, at most to the corner.
        right_m: The same to the right.
        deep_m: Straight ahead; 0 in a corner, where that is nowhere.
    """

    left_m: float
    right_m: float
    deep_m: float


@dataclass(frozen=True, slots=True)
class WayIn:
    """From where people come in to their own part.

    Attributes:
        entrance: Where they come in, metres of the pitch's frame; None where nobody said, and the
            way begins at a corner.
        begins: The spot of the outline where it begins.
        off_m: How far the entrance is from that.
        at: The edges there: one, two in a corner, none at an edge without a name.
        legs: Along the outline; none where one's own part lies there already.
        stops: The spot of the outline where the legs end.
        across_m: How far one goes from there straight onto the pitch; 0 at the edge.
        landmark: What can be found where the part begins; None for nothing.
        reach: How far it goes from there.
    """

    entrance: Spot | None
    begins: Spot
    off_m: float
    at: tuple[str, ...]
    legs: tuple[Leg, ...]
    stops: Spot
    across_m: float
    landmark: Landmark | None
    reach: Reach


def find_way_in(
    pitch: Pitch,
    own: Area,
    held: Sequence[Area] = (),
    entrances: Sequence[Spot] | None = None,
) -> WayIn:
    """Find the way to a part of a pitch.

    Args:
        pitch: The pitch.
        own: The part.
        held: Ground on it that others hold when one comes.
        entrances: Where people come in, metres; None for the pitch's own. The best is taken. With
            none at all the way begins at the best corner.

    Returns:
        The way along the outline. Passed are what others hold and, where the part comes from a cut
        into equal parts, those of its parts that nobody holds.
    """
    known = entrances
    if known is None:
        known = () if pitch.entrance is None else (pitch.entrance,)
    sides = Sides.of(pitch.polygon)
    starts: list[tuple[Spot | None, Spot]] = [(spot, sides.outline.spot(spot)) for spot in known]
    ground = shapely.union_all([area.polygon for area in held]) if held else None
    walks = [
        (
            entrance,
            find_walk(pitch.polygon, own.polygon, begin, held=ground, barred=pitch.obstacles),
        )
        for entrance, begin in starts or [(None, corner) for corner in sides.corners()]
    ]
    entrance, walk = min(walks, key=lambda found: (_length(found), not found[1].is_right))
    legs = _legs(pitch, walk, sides, _passable(pitch, own, held))
    begin = walk.line[0]
    return WayIn(
        entrance=entrance,
        begins=begin,
        off_m=0.0 if entrance is None else math.dist(entrance, begin),
        at=sides.at(begin),
        legs=legs,
        stops=walk.line[-1],
        across_m=walk.across_m if walk.across_m > TOUCH_M else 0.0,
        landmark=_landmark(pitch, walk, legs, sides),
        reach=_reach(own.polygon, walk, sides, has_legs=bool(legs)),
    )


def _length(found: tuple[Spot | None, Walk]) -> float:
    entrance, walk = found
    off_m = 0.0 if entrance is None else math.dist(entrance, walk.line[0])
    return round(off_m + walk.along_m + walk.across_m, 2)


def _passable(pitch: Pitch, own: Area, held: Sequence[Area]) -> list[Area]:
    """Return what can be passed: what others hold, and free parts of the same cut."""
    taken = [area for area in held if not area.cells & own.cells]
    cells = own.cells
    for area in held:
        cells |= area.cells
    is_even = own.twelfths is not None
    parts = [a for a in pitch.areas if is_even and a.cut == own.cut and not a.cells & cells]
    return [*taken, *parts]


def _legs(pitch: Pitch, walk: Walk, sides: Sides, grounds: Sequence[Area]) -> tuple[Leg, ...]:
    legs = []
    before: list[Spot] = []
    passed: set[str] = set()
    for side, corners in _stretches(walk, sides):
        turn = _turn(before, corners) if before else Hand.RIGHT if walk.is_right else Hand.LEFT
        along = [key for key in _along(LineString(corners), grounds) if key not in passed]
        passed.update(along)
        length = float(LineString(corners).length)
        towards = _towards(pitch, corners)
        legs.append(Leg(turn, sides.edge(side), length, towards, tuple(along)))
        before = corners
    return tuple(legs)


def _stretches(walk: Walk, sides: Sides) -> list[tuple[int, list[Spot]]]:
    """Part a way where it comes to another side; crumbs belong to what is beside them."""
    found: list[tuple[int, list[Spot]]] = []
    for one, two in pairwise(walk.line):
        if one == two:
            continue
        side = sides.side_of(one, two)
        if found and (side == found[-1][0] or math.dist(one, two) < LEAST_LEG_M):
            found[-1][1].append(two)
        elif found and LineString(found[-1][1]).length < LEAST_LEG_M:
            found[-1] = (side, [*found[-1][1], two])
        else:
            found.append((side, [one, two]))
    if len(found) == 1 and LineString(found[0][1]).length <= TOUCH_M:
        return []
    return found


def _turn(before: Sequence[Spot], after: Sequence[Spot]) -> Hand:
    """Tell which way one turns from one stretch into the next."""
    x, y = _heading(before[::-1])
    next_x, next_y = _heading(after)
    return Hand.RIGHT if x * next_y - y * next_x > 0 else Hand.LEFT  # before looks back


def _heading(corners: Sequence[Spot]) -> Spot:
    """Return whither a stretch goes at its beginning, crumbs left out."""
    pairs = list(pairwise(corners))
    long = [pair for pair in pairs if math.dist(*pair) >= LEAST_LEG_M]
    one, two = long[0] if long else max(pairs, key=lambda pair: math.dist(*pair))
    return two[0] - one[0], two[1] - one[1]


def _along(line: LineString, grounds: Sequence[Area]) -> list[str]:
    """Return the keys of the ground that a line goes along, the first that is come to first."""
    met = []
    for ground in grounds:
        beside = shapely.intersection(line, shapely.buffer(ground.polygon, TOUCH_M))
        if beside.length > PASSED_M + 2 * TOUCH_M:
            first = min(line.project(Point(spot)) for spot in shapely.get_coordinates(beside))
            met.append((round(first, 2), ground.key))
    return [key for _unused, key in sorted(met)]


def _towards(pitch: Pitch, corners: Sequence[Spot]) -> str | None:
    if pitch.frame is None:
        return None
    (x, y), (end_x, end_y) = corners[0], corners[-1]
    return compass_point(pitch.frame.bearing_deg - math.degrees(math.atan2(end_y - y, end_x - x)))


def _landmark(pitch: Pitch, walk: Walk, legs: Sequence[Leg], sides: Sides) -> Landmark | None:
    """Name the line or corner where the part begins."""
    if not legs or walk.across_m > TOUCH_M:
        return None
    x, y = walk.line[-1]
    if sides.is_corner((x, y)):
        return Landmark.CORNER
    x0, y0, x1, y1 = pitch.polygon.bounds
    cuts = {area.cut for area in pitch.areas}
    if legs[-1].edge in ("start", "far"):
        is_middle = "grid" in cuts and abs(y - (y0 + y1) / 2) <= LINE_M
        return Landmark.MIDDLE if is_middle else None
    lines = (
        (Landmark.HALFWAY, {"halves", "quarters", "grid"}, (1 / 2,)),
        (Landmark.THIRD, {"thirds"}, (1 / 3, 2 / 3)),
        (Landmark.QUARTER, {"quarters"}, (1 / 4, 3 / 4)),
    )
    for landmark, of_cuts, shares in lines:
        near = any(abs(x0 + share * (x1 - x0) - x) <= LINE_M for share in shares)
        if near and cuts & of_cuts:
            return landmark
    return None


def _reach(own: Polygon, walk: Walk, sides: Sides, *, has_legs: bool) -> Reach:
    """Measure how far the part goes from where it is reached."""
    stop = walk.line[-1]
    ground = shapely.buffer(own, TOUCH_M, join_style="mitre")
    along = {
        is_right: _run(ground, sides.to_corner(stop, is_right=is_right))
        for is_right in (True, False)
    }
    if has_legs:
        along[not walk.is_right] = 0.0
        aside = walk.is_right
    else:
        aside = along[True] >= along[False]
    if walk.across_m > TOUCH_M:
        along = {True: 0.0, False: 0.0}
    deep_m = 0.0 if sides.is_corner(stop) and not has_legs else _deep(own, stop, sides, aside)
    return Reach(left_m=along[False], right_m=along[True], deep_m=deep_m)


def _run(ground: BaseGeometry, line: LineString) -> float:
    """Return how far a line stays within ground from its beginning."""
    if line.length == 0:
        return 0.0
    rest = shapely.difference(line, ground)
    if rest.is_empty:
        return float(line.length)
    first = min(line.project(Point(spot)) for spot in shapely.get_coordinates(rest))
    return max(0.0, float(first) - TOUCH_M)


def _deep(own: Polygon, stop: Spot, sides: Sides, is_right: bool) -> float:
    """Return how far the part goes straight ahead, a little aside of where it begins."""
    ray = sides.ray(stop, aside_m=ASIDE_M, is_right=is_right)
    inside = shapely.intersection(ray, own)
    parts = [part for part in getattr(inside, "geoms", (inside,)) if part.length > CORNER_M]
    if not parts:
        return 0.0
    return float(min(parts, key=lambda part: part.distance(Point(stop))).length)
