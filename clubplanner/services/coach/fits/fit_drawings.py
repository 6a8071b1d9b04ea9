"""Games and practice areas drawn on a squad's ground: one drawing for page, picture and paper."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import shapely
from shapely.ops import substring

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.domain.ground.orientation.facing import edge_at_bottom
from clubplanner.domain.ground.orientation.measures import size_in_short
from clubplanner.fitting.games.words import pair_in_words
from clubplanner.fitting.setting_out.ground_lines import ON_LINE_M
from clubplanner.fitting.setting_out.pacing import measure
from clubplanner.fitting.setting_out.run_off import clear_as_told_m, measure_clearance
from clubplanner.fitting.setting_out.ways import EndKind
from clubplanner.geometry.shapes import as_polygon
from clubplanner.language import _
from clubplanner.outputs.drawings.plan_values import (
    AreaRole,
    GroundPlan,
    PlanArea,
    PlanMark,
    PlanPiece,
    PlanRunOff,
)
from clubplanner.outputs.drawings.plans.ground_plan import draw_ground_plan
from clubplanner.outputs.drawings.plans.plan_cones import PlanCone, PlanDimension, lay_cones
from clubplanner.outputs.drawings.plans.plan_sheet import view_of
from clubplanner.services.showing.ground.plans import painted_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Goal
    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.set_out import SetOut
    from clubplanner.fitting.setting_out.ways import Game, GoalSpot
    from clubplanner.services.coach.fits.fit_places import FitGround

END_ZONE_M = 3.0
"""Depth of the strip a side plays to where no goal stands (common practice, no source)."""
_GOAL_M, _TARGET_M = 5.0, 1.5
"""How wide a goal and a small target goal are drawn at most; what is brought on may differ."""
TALLEST, TALLEST_OF_MANY = 300.0, 430.0
"""Units that the ground may take in height; more where there are many numbers to tell apart."""
MANY_CONES = 20


def draw_games(ground: FitGround, title: str, games: Sequence[Game], found: SetOut) -> str:
    """Draw games with their ends, each with its name where there are several.

    Args:
        ground: Where they are played.
        title: A short name of the drawing.
        games: The games, at least one.
        found: What is set out for them: cones and carried goals with their numbers.

    Returns:
        An SVG element.
    """
    pieces = tuple(
        _plan_piece(
            game,
            ground.need.goals,
            _("Game %(count)s", count=number) if len(games) > 1 else "",
        )
        for number, game in enumerate(games, start=1)
    )
    return draw_pieces(ground, title, pieces, found, [game.piece for game in games])


def sides_in_words(game: Game) -> str:
    """Name the sides of a game: "4 v 3"."""
    return pair_in_words(game.side_a, game.side_b)


def _plan_piece(game: Game, goals: Sequence[GoalSpot], name: str) -> PlanPiece:
    lines, zones, marks = [], [], []
    for n, end in enumerate(game.ends):
        if end.kind is EndKind.END_ZONE:
            zones.append(_end_zone(game.piece, n))
        else:
            lines.append(_goal_line(game.piece, n, end.kind, goals))
        if end.goalkeeper:
            marks.append(_inside(game.piece, n, 0.5, _("GK")))
    keepers = sum(end.goalkeeper for end in game.ends)
    sides = sides_in_words(game)
    return PlanPiece(
        polygon=game.piece.polygon,
        heading=sides
        if not keepers
        else _("%(sides)s + %(keepers)s GK", sides=sides, keepers=keepers),
        length_m=game.piece.length_m,
        width_m=game.piece.width_m,
        goals=tuple(lines),
        end_zones=tuple(zones),
        marks=tuple(marks),
        name=name,
    )


def _end_points(piece: Piece, end: int) -> tuple[tuple[float, float], tuple[float, float]]:
    a, b, c, d = piece.corners
    return (a, d) if end == 0 else (b, c)


def _inside(piece: Piece, end: int, part: float, words: str) -> PlanMark:
    """Place a mark inside a game's end, some part of the way from its first corner."""
    near, far = _end_points(piece, end)
    x, y = near[0] + part * (far[0] - near[0]), near[1] + part * (far[1] - near[1])
    middle = piece.polygon.centroid
    return PlanMark(x, y, words, (middle.x, middle.y))


def _goal_line(
    piece: Piece, end: int, kind: EndKind, goals: Sequence[GoalSpot]
) -> shapely.LineString:
    """Return the goal line of an end: before the fixed goal, or in the middle of the end."""
    line = shapely.LineString(_end_points(piece, end))
    middle = line.length / 2
    widest = _TARGET_M if kind is EndKind.TARGET_GOAL else _GOAL_M
    half = min(widest, middle) / 2
    if kind is EndKind.FIXED_GOAL:
        fixed = [goal for goal in goals if goal.kind is GoalKind.FIXED]
        spots = [shapely.Point(goal.x_m, goal.y_m) for goal in fixed]
        nearest = min(range(len(spots)), key=lambda n: line.distance(spots[n]))
        half = min(fixed[nearest].width_m / 2, middle)
        middle = min(max(line.project(spots[nearest]), half), line.length - half)
    part = substring(line, middle - half, middle + half)
    return part if isinstance(part, shapely.LineString) else line


def _end_zone(piece: Piece, end: int) -> Polygon:
    depth = min(END_ZONE_M, piece.length_m / 4)
    line = shapely.LineString(_end_points(piece, end))
    zone = shapely.buffer(line, depth, cap_style="flat")
    return as_polygon(shapely.intersection(zone, piece.polygon))


def draw_pieces(
    ground: FitGround,
    title: str,
    pieces: tuple[PlanPiece, ...],
    found: SetOut,
    laid: Sequence[Piece],
) -> str:
    """Draw rectangles within their pitch, zoomed to a squad's part of it.

    Args:
        ground: Where they lie.
        title: A short name of the drawing.
        pieces: The rectangles, at least one.
        found: What is set out: cones and carried goals with their numbers.
        laid: The rectangles as they were laid, in the same order.

    Returns:
        An SVG element.
    """
    pitch, area = ground.pitch, ground.area
    plan = GroundPlan(
        pitch=replace(pitch, goals=_goals_left(pitch.goals, pieces, found.goals)),
        title=title,
        summary=_(
            "%(area)s with %(pieces)s marked out: %(sizes)s.",
            area=area.name,
            pieces=len(pieces),
            sizes="; ".join(_sizes_in_words(pieces)),
        ),
        areas=(PlanArea(area.polygon, area.name, (), AreaRole.OWN),),
        pieces=pieces,
        focus=area.polygon,
        markings=painted_lines(pitch, [area.key]),
        at_bottom=edge_at_bottom(pitch),
        run_off=_run_off(ground, laid),
    )
    within = shapely.intersection(view_of(pitch.polygon, area.polygon), pitch.polygon)
    cones = lay_cones(_cones(pieces, found), _dimensions(ground, pieces, found), as_polygon(within))
    tallest = TALLEST if len(found.cones) <= MANY_CONES else TALLEST_OF_MANY
    return draw_ground_plan(plan, tallest=tallest, overlay=cones)


def _run_off(ground: FitGround, laid: Sequence[Piece]) -> PlanRunOff | None:
    """Return the clear ground that the rectangles have, as the words beside the drawing say it."""
    clear = clear_as_told_m(measure_clearance(laid, ground.need), ground.need.margin_m)
    if not clear:
        return None
    return PlanRunOff(clear, _("%(length)s clear", length=measure(clear, ground.pace_m).short))


def _goals_left(
    goals: Sequence[Goal], pieces: Sequence[PlanPiece], carried: int
) -> tuple[Goal, ...]:
    """Leave out goals that are carried away from where they stand: those in a game first."""
    laid = shapely.union_all([piece.polygon for piece in pieces])
    movable = [goal for goal in goals if goal.kind is GoalKind.PORTABLE]
    movable.sort(key=lambda goal: round(goal.mouth.distance(laid), 3))
    taken = movable[:carried]
    return tuple(goal for goal in goals if goal not in taken)


def _sizes_in_words(pieces: Sequence[PlanPiece]) -> Iterator[str]:
    """Say what each rectangle is and how large; equal ones once."""
    words = [
        _("%(heading)s on %(length_m)s", heading=piece.heading, length_m=size)
        if piece.heading and not piece.heading.isdigit()
        else size
        for piece in pieces
        for size in [size_in_short(piece.length_m, piece.width_m)]
    ]
    for one, count in Counter(words).items():
        yield one if count == 1 else f"{count} × ({one})"


def _cones(pieces: Sequence[PlanPiece], found: SetOut) -> list[PlanCone]:
    """Put cones on the plan, their numbers rather outside of the game they belong to."""
    cones = []
    for cone in found.cones:
        spot = shapely.Point(cone.x_m, cone.y_m)
        own = min(pieces, key=lambda piece: round(piece.polygon.distance(spot), 6))
        middle = own.polygon.centroid
        number, is_goal = str(cone.number), cone.kind.is_carried
        cones.append(PlanCone(cone.x_m, cone.y_m, number, is_goal, (middle.x, middle.y)))
    return cones


def _dimensions(
    ground: FitGround, pieces: Sequence[PlanPiece], found: SetOut
) -> list[PlanDimension]:
    """List distances of the set-out list that can be drawn without crossing a game, each once."""
    laid = shapely.union_all([piece.polygon for piece in pieces])
    shapely.prepare(laid)
    edge = shapely.buffer(ground.area.polygon.exterior, ON_LINE_M)
    shown: dict[tuple[float, int], PlanDimension] = {}
    for cone in found.cones:
        for start, end in cone.legs:
            length = math.dist(start, end)
            way = round(math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))) % 360
            key = (round(length, 1), way)
            if length <= ON_LINE_M or key in shown:
                continue
            line = shapely.LineString([start, end])
            if shapely.intersection(line, laid).length > ON_LINE_M:
                continue
            words = measure(length, ground.pace_m).short
            out = _outwards(line, ground.area.polygon) if edge.covers(line) else (0.0, 0.0)
            shown[key] = PlanDimension(start, end, words, out)
    return list(shown.values())


def _outwards(line: shapely.LineString, part: Polygon) -> tuple[float, float]:
    """Return the direction out of a part over one of its edges, of length 1."""
    (x0, y0), (x1, y1) = line.coords
    across = ((y1 - y0) / line.length, (x0 - x1) / line.length)
    middle = line.centroid
    beside = shapely.Point(middle.x + across[0], middle.y + across[1])
    return (-across[0], -across[1]) if part.covers(beside) else across
