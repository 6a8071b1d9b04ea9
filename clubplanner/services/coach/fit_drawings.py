"""Games and practice areas drawn on a squad's ground: one drawing for page, picture and paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

import shapely
from shapely.ops import substring

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.domain.ground.measures import size_in_short
from clubplanner.fitting.games.words import pair_in_words
from clubplanner.fitting.setting_out.ways import EndKind
from clubplanner.geometry.shapes import as_polygon
from clubplanner.language import _
from clubplanner.outputs.drawings.ground_plan import draw_ground_plan
from clubplanner.outputs.drawings.plan_values import (
    AreaRole,
    GroundPlan,
    PlanArea,
    PlanMark,
    PlanPiece,
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.ways import Game, GoalSpot

END_ZONE_M = 3.0
"""Depth of the strip a side plays to where no goal stands (common practice, no source)."""
_GOAL_M, _TARGET_M = 5.0, 1.5
"""How wide a goal and a small target goal are drawn at most; what is brought on may differ."""


def draw_games(
    pitch: Pitch, area: Area, title: str, games: Sequence[Game], goals: Sequence[GoalSpot]
) -> str:
    """Draw games with their ends, each with its number where there are several.

    Args:
        pitch: Where they are played.
        area: The squad's ground.
        title: A short name of the drawing.
        games: The games, at least one.
        goals: Goals that stand there, for the ends that have a fixed one.

    Returns:
        An SVG element.
    """
    pieces = tuple(
        _plan_piece(game, goals, str(number) if len(games) > 1 else "")
        for number, game in enumerate(games, start=1)
    )
    return draw_pieces(pitch, area, title, pieces)


def sides_in_words(game: Game) -> str:
    """Name the sides of a game: "4 v 3"."""
    return pair_in_words(game.side_a, game.side_b)


def _plan_piece(game: Game, goals: Sequence[GoalSpot], number: str) -> PlanPiece:
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
        number=number,
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
        spots = [shapely.Point(goal.x_m, goal.y_m) for goal in goals if goal.kind is GoalKind.FIXED]
        nearest = min(spots, key=line.distance)
        middle = min(max(line.project(nearest), half), line.length - half)
    part = substring(line, middle - half, middle + half)
    return part if isinstance(part, shapely.LineString) else line


def _end_zone(piece: Piece, end: int) -> Polygon:
    depth = min(END_ZONE_M, piece.length_m / 4)
    line = shapely.LineString(_end_points(piece, end))
    zone = shapely.buffer(line, depth, cap_style="flat")
    return as_polygon(shapely.intersection(zone, piece.polygon))


def draw_pieces(pitch: Pitch, area: Area, title: str, pieces: tuple[PlanPiece, ...]) -> str:
    """Draw rectangles on a squad's ground, zoomed to it.

    Returns:
        An SVG element.
    """
    sizes = "; ".join(
        _(
            "%(heading)s on %(length_m)s",
            heading=piece.heading,
            length_m=size_in_short(piece.length_m, piece.width_m),
        )
        for piece in pieces
    )
    plan = GroundPlan(
        pitch=pitch,
        title=title,
        summary=_(
            "%(area)s with %(pieces)s marked out: %(sizes)s.",
            area=area.name,
            pieces=len(pieces),
            sizes=sizes,
        ),
        areas=(PlanArea(area.polygon, area.name, (), AreaRole.OWN),),
        pieces=pieces,
        focus=area.polygon,
    )
    return draw_ground_plan(plan, tallest=300.0)
