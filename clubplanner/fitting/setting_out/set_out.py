"""What to carry out and where to put it: cones, bibs and goals, paced out from a mark.

Distances start at a mark that can be found on the ground: a corner of the pitch, or where the
halfway line meets a side. Each is given in metres, in yards (1 yd = 0.9144 m, exactly) and in the
coach's own paces.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.ground.grounds import yards_from_metres
from clubplanner.domain.ground.measures import USUAL_PACE_M, Measure, chosen_measure
from clubplanner.fitting.outlines.pieces import check_lengths
from clubplanner.fitting.setting_out.ways import EndKind
from clubplanner.language import _, figure, ngettext

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Edges
    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.ways import Game, Way

USUAL_ZONE_M = 3.0
"""Depth of an end zone (common practice, no source)."""
_SHORTEST_PACE_M, _LONGEST_PACE_M = 0.3, 1.5
_SAME_SPOT_M = 0.5
"""Cones nearer to each other than this are one cone."""


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


@dataclass(frozen=True, slots=True)
class Distance:
    """A length to pace out.

    Attributes:
        metres: To a tenth.
        yards: To a half.
        paces: Whole paces, to the nearest.
    """

    metres: float
    yards: float
    paces: int

    @property
    def words(self) -> str:
        """All three: "30 m (33 yd, 33 paces)", or the chosen measure alone."""
        metres = _("%(length)s m", length=figure(self.metres, "g"))
        yards = _("%(length)s yd", length=figure(self.yards, "g"))
        paces = ngettext("%(num)s pace", "%(num)s paces", self.paces)
        alone = {Measure.METRES: metres, Measure.YARDS: yards, Measure.PACES: paces}
        return alone.get(chosen_measure(), f"{metres} ({yards}, {paces})")


@dataclass(frozen=True, slots=True)
class Cone:
    """Where a cone goes.

    Attributes:
        number: In the order of walking, from 1.
        marks: What it marks: "corner of game 1", "end zone of game 2".
        along: From the landmark along the pitch.
        across: From there across it.
        walk: Where from and which way, one sentence.
    """

    number: int
    marks: str
    along: Distance
    across: Distance
    walk: str


@dataclass(frozen=True, slots=True)
class SetOut:
    """The list for one way to play.

    Attributes:
        start: The mark everything is measured from.
        sizes: Length and width of each game.
        cones: Every cone, the nearest to the start first.
        bibs: For each colour, numbered from 1, how many bibs; goalkeepers wear their own.
        goals: Goals to bring on.
        target_goals: Small target goals to bring on.
        lines: Everything in whole sentences, in the order of doing it.
    """

    start: Landmark
    sizes: tuple[tuple[Distance, Distance], ...]
    cones: tuple[Cone, ...]
    bibs: tuple[int, ...]
    goals: int
    target_goals: int
    lines: tuple[str, ...]


def find_landmarks(outline: Polygon, edges: Edges) -> tuple[Landmark, ...]:
    """List the marks of a pitch: its four corners, and the halfway line's ends.

    Args:
        outline: The pitch, metres in its own frame.
        edges: What people call its ends and sides.

    Returns:
        Those that lie on the outline; for a pitch with cut corners only the others.
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
    return tuple(
        mark for mark in marks if rim.distance(shapely.Point(mark.x_m, mark.y_m)) <= _SAME_SPOT_M
    )


def measure(metres: float, pace_m: float = USUAL_PACE_M) -> Distance:
    """Write a length in metres, yards and paces.

    Args:
        metres: 0 or more.
        pace_m: Length of one pace.

    Raises:
        ValueError: If a pace is shorter or longer than a person's.
    """
    check_lengths(may_be_zero=True, metres=metres)
    if not (math.isfinite(pace_m) and _SHORTEST_PACE_M <= pace_m <= _LONGEST_PACE_M):
        raise ValueError(
            f"Give a pace of {_SHORTEST_PACE_M:g} to {_LONGEST_PACE_M:g} m, not {pace_m:g}."
        )
    yards = round(2 * yards_from_metres(metres)) / 2
    return Distance(round(metres, 1), yards, round(metres / pace_m))


def list_set_out(
    way: Way,
    landmarks: Sequence[Landmark],
    edges: Edges,
    *,
    pace_m: float = USUAL_PACE_M,
    zone_m: float = USUAL_ZONE_M,
) -> SetOut:
    """List what to set out for a way to play.

    Args:
        way: Its games.
        landmarks: Marks to start from, at least one; the one nearest to a cone is taken.
        edges: What people call ends and sides, to say which way to walk.
        pace_m: Length of the coach's pace.
        zone_m: Depth of an end zone.

    Returns:
        The list; without cones when the way has no game.

    Raises:
        ValueError: If there is no mark, or a length cannot be used.
    """
    if not landmarks:
        raise ValueError("Give at least one mark of the pitch to measure from.")
    check_lengths(zone_m=zone_m)
    spots = _spots(way.games, zone_m)
    corners = [spot for spot, _unused in spots] or [(landmarks[0].x_m, landmarks[0].y_m)]
    start = min(
        landmarks,
        key=lambda mark: (
            min(math.dist((mark.x_m, mark.y_m), spot) for spot in corners),
            mark.name,
        ),
    )
    ordered = sorted(spots, key=lambda item: math.dist((start.x_m, start.y_m), item[0]))
    cones = tuple(
        _cone(number, item, start, edges, pace_m) for number, item in enumerate(ordered, start=1)
    )
    sizes = tuple(
        (measure(game.piece.length_m, pace_m), measure(game.piece.width_m, pace_m))
        for game in way.games
    )
    bibs = _bibs(way.games)
    kinds = [end.kind for game in way.games for end in game.ends]
    goals, targets = kinds.count(EndKind.PORTABLE_GOAL), kinds.count(EndKind.TARGET_GOAL)
    found = SetOut(start, sizes, cones, bibs, goals, targets, ())
    return replace(found, lines=tuple(_lines(found, way)))


def _spots(games: Iterable[Game], zone_m: float) -> list[tuple[tuple[float, float], str]]:
    """List where cones go, and what each marks; what nearly meets is one cone."""
    found: list[tuple[tuple[float, float], str]] = []
    for number, game in enumerate(games, start=1):
        wanted = [
            (corner, _("corner of game %(count)s", count=number)) for corner in game.piece.corners
        ]
        for end, kind in enumerate(item.kind for item in game.ends):
            if kind == EndKind.END_ZONE:
                wanted += [
                    (spot, _("end zone of game %(count)s", count=number))
                    for spot in _zone_corners(game.piece, end, zone_m)
                ]
        for spot, marks in wanted:
            near = [
                n
                for n, (other, _unused) in enumerate(found)
                if math.dist(spot, other) < _SAME_SPOT_M
            ]
            if near:
                other, before = found[near[0]]
                found[near[0]] = (other, f"{before}, {marks}")
            else:
                found.append((spot, marks))
    return found


def _zone_corners(piece: Piece, end: int, zone_m: float) -> list[tuple[float, float]]:
    """Return where an end zone's inner line meets the sides."""
    a, b, c, d = piece.corners
    part = min(zone_m / piece.length_m, 0.25)
    sides = ((a, b), (d, c)) if end == 0 else ((b, a), (c, d))
    return [
        (near[0] + part * (far[0] - near[0]), near[1] + part * (far[1] - near[1]))
        for near, far in sides
    ]


def _cone(
    number: int,
    item: tuple[tuple[float, float], str],
    start: Landmark,
    edges: Edges,
    pace_m: float,
) -> Cone:
    (x, y), marks = item
    dx, dy = x - start.x_m, y - start.y_m
    along, across = measure(abs(dx), pace_m), measure(abs(dy), pace_m)
    parts = []
    if along.metres:
        parts.append(
            _(
                "%(distance)s towards the %(edge)s",
                distance=along.words,
                edge=edges.far if dx > 0 else edges.start,
            )
        )
    if across.metres:
        parts.append(
            _(
                "%(distance)s towards the %(edge)s",
                distance=across.words,
                edge=edges.left if dy > 0 else edges.right,
            )
        )
    way = _(", then ").join(parts) or _("on the mark itself")
    return Cone(
        number,
        marks,
        along,
        across,
        _("Cone %(count)s (%(marks)s): %(way)s.", count=number, marks=marks, way=way),
    )


def _bibs(games: Sequence[Game]) -> tuple[int, ...]:
    """Count bibs by colour: two colours serve all games, each side one."""
    if not games:
        return ()
    return sum(game.side_a for game in games), sum(game.side_b for game in games)


def _lines(found: SetOut, way: Way) -> Iterable[str]:
    yield _("Start at the %(start)s.", start=found.start.name)
    for number, (length, width) in enumerate(found.sizes, start=1):
        yield _(
            "Game %(count)s has a length of %(length)s and a width of %(width)s.",
            count=number,
            length=length.words,
            width=width.words,
        )
    for cone in found.cones:
        yield cone.walk
    if found.bibs:
        first, second = found.bibs
        by_game = "; ".join(
            _(
                "game %(count)s: %(side_a)s and %(side_b)s",
                count=number,
                side_a=game.side_a,
                side_b=game.side_b,
            )
            for number, game in enumerate(way.games, start=1)
        )
        yield _(
            "Bibs: %(first)s of one colour and %(second)s of another (%(by_game)s).",
            first=first,
            second=second,
            by_game=by_game,
        )
    keepers = sum(end.goalkeeper for game in way.games for end in game.ends)
    if keepers:
        yield ngettext(
            "%(num)s goalkeeper wears a further colour.",
            "%(num)s goalkeepers wear a further colour.",
            keepers,
        )
    if found.goals:
        yield ngettext(
            "Bring %(num)s portable goal, enough people to carry each, and anchors; anchor every "
            "goal before anyone plays.",
            "Bring %(num)s portable goals, enough people to carry each, and anchors; anchor every "
            "goal before anyone plays.",
            found.goals,
        )
    if found.target_goals:
        yield ngettext(
            "Bring a small target goal to the middle of its end; peg or weight them as their maker "
            "says.",
            "Bring %(num)s small target goals, each to the middle of its end; peg or weight them "
            "as their maker says.",
            found.target_goals,
        )
