"""What fits on a squad's ground tonight: ways to play, and practice areas of a size."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import shapely
from shapely.ops import substring

from clubplanner.domain.grounds import Area, Pitch, goals_on, usable_ground
from clubplanner.errors import RefusedError
from clubplanner.fitting.cautions import cautions
from clubplanner.fitting.changes import see_changes
from clubplanner.fitting.formats import parse_practice_bands
from clubplanner.fitting.largest import fit_largest
from clubplanner.fitting.pieces import Piece, fit_pieces
from clubplanner.fitting.sessions import list_ways
from clubplanner.fitting.set_out import USUAL_PACE_M, find_landmarks, list_set_out
from clubplanner.fitting.ways import EndKind, Game, GoalSpot, SessionNeed, Way
from clubplanner.outputs.ground_plan import draw_ground_plan
from clubplanner.outputs.plan_values import (
    AreaRole,
    GroundPlan,
    PlanArea,
    PlanPiece,
    metres_in_words,
    size_in_words,
)
from clubplanner.resources import published_table

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

END_ZONE_M = 3.0
"""Depth of the strip a side plays to where no goal stands (common practice, no source)."""
SHOWN_WAYS = 4
CLEARANCE_M = 1.0
"""Kept from pillars and other obstacles (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class FitWish:
    """What a coach typed.

    Attributes:
        players: Expected tonight, goalkeepers among them.
        goalkeepers: Of them.
        length_m: Length of a practice area; None for no wish.
        width_m: Its width; None for no wish.
        age: Years of the age group; None for adults.
        portable_goals: Goals that can be brought on; None for those the pitch has.
        pace_m: Length of the coach's own pace; None for a usual one.
    """

    players: int
    goalkeepers: int
    length_m: float | None
    width_m: float | None
    age: int | None
    portable_goals: int | None = None
    pace_m: float | None = None


@dataclass(frozen=True, slots=True)
class WayShown:
    """A way to play, in words and drawn, with the list of what to set out."""

    title: str
    sizes: tuple[str, ...]
    extra: str
    waiting: str
    notes: tuple[str, ...]
    set_out: tuple[str, ...]
    drawing: str


@dataclass(frozen=True, slots=True)
class OtherNight:
    """What changes when one player more comes, or less ground is to be had."""

    occasion: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlacedShown:
    """Something placed on the ground: a sentence and its drawing, blank where nothing fits."""

    sentence: str
    drawing: str


@dataclass(frozen=True, slots=True)
class FitShown:
    """Everything that fits on one area.

    Attributes:
        ways: Ways to play, best first.
        largest: The largest single game, everybody in it; None where there is no room for one.
        practice: Practice areas of the wished size; None without a wish.
        cautions: The usual cautions.
        others: How the best way changes when the night does.
    """

    ways: tuple[WayShown, ...]
    largest: PlacedShown | None
    practice: PlacedShown | None
    cautions: tuple[str, ...]
    others: tuple[OtherNight, ...] = ()


def see_what_fits(pitch: Pitch, area: Area, wish: FitWish) -> FitShown:
    """Work out what fits on an area.

    Args:
        pitch: The pitch, with its goals and obstacles.
        area: The booked area.
        wish: What the coach typed.

    Raises:
        RefusedError: If a number cannot be used, saying which.
    """
    ground = usable_ground(area, pitch.obstacles, clearance_m=CLEARANCE_M)
    standing = goals_on(area, pitch.goals)
    spots = tuple(GoalSpot(g.x_m, g.y_m, g.width_m, g.kind) for g in standing)
    has_size = wish.length_m is not None and wish.width_m is not None
    size = (wish.length_m or 0.0, wish.width_m or 0.0) if has_size else None
    portable = pitch.portable_goals if wish.portable_goals is None else wish.portable_goals
    care = cautions(wish.age, wish.players, spots, portable, is_indoor=pitch.is_indoor)
    if ground is None:
        nothing = PlacedShown("Obstacles leave no ground on this area to play on.", "")
        return FitShown((), None, nothing, care)
    try:
        need = SessionNeed(
            ground=ground,
            players=wish.players,
            goalkeepers=wish.goalkeepers,
            age=wish.age,
            goals=spots,
            portable_goals=portable,
            size_m=size,
            bands=parse_practice_bands(published_table("practice_areas.csv")),
        )
        pace_m = USUAL_PACE_M if wish.pace_m is None else wish.pace_m
        return FitShown(
            ways=tuple(_see_way(pitch, area, way, pace_m) for way in list_ways(need)[:SHOWN_WAYS]),
            largest=_see_largest(pitch, area, ground, wish),
            practice=None if size is None else _see_practice(pitch, area, ground, size),
            cautions=care,
            others=tuple(
                OtherNight(change.occasion, change.lines)
                for change in see_changes(need, other_ground=_smaller_part(pitch, area))
            ),
        )
    except ValueError as fault:
        raise RefusedError(str(fault)) from fault


def _smaller_part(pitch: Pitch, area: Area) -> Polygon | None:
    """Return the ground of the largest other area that lies within this one."""
    within = [
        other
        for other in pitch.areas
        if other.cells != area.cells and other.cells & area.cells == other.cells
    ]
    if not within:
        return None
    largest = max(within, key=lambda other: other.area_m2)
    return usable_ground(largest, pitch.obstacles, clearance_m=CLEARANCE_M)


def _see_largest(pitch: Pitch, area: Area, ground: Polygon, wish: FitWish) -> PlacedShown | None:
    """Lay the largest rectangle of the ground, and say the sides of a game of everybody on it."""
    piece = fit_largest(ground)
    outfield = wish.players - wish.goalkeepers
    if piece is None or outfield < 2:
        return None
    sides = f"{(outfield + 1) // 2} v {outfield // 2}"
    sentence = f"{sides} on {size_in_words(piece.length_m, piece.width_m)}, everybody in one game."
    drawn = PlanPiece(piece.polygon, sides, piece.length_m, piece.width_m)
    return PlacedShown(sentence, _draw(pitch, area, sentence, (drawn,)))


def _see_practice(
    pitch: Pitch, area: Area, ground: Polygon, size: tuple[float, float]
) -> PlacedShown:
    fit = fit_pieces(ground, *size)
    count = len(fit.pieces)
    words = size_in_words(*size)
    if count == 0:
        return PlacedShown(f"No practice area of {words} fits here.", "")
    areas = "1 practice area" if count == 1 else f"{count} practice areas"
    verb = "fits" if count == 1 else "fit"
    sure = "and no more" if fit.is_proved else f"perhaps up to {fit.bound}"
    sentence = f"{areas} of {words} {verb}, {sure}, edge to edge."
    pieces = tuple(
        PlanPiece(piece.polygon, str(n), piece.length_m, piece.width_m)
        for n, piece in enumerate(fit.pieces, start=1)
    )
    return PlacedShown(sentence, _draw(pitch, area, sentence, pieces))


def _see_way(pitch: Pitch, area: Area, way: Way, pace_m: float) -> WayShown:
    pieces = tuple(_plan_piece(game) for game in way.games)
    sizes = tuple(
        f"{_sides(game)} on {size_in_words(game.piece.length_m, game.piece.width_m)}"
        for game in way.games
    )
    waiting = f"{way.waiting} wait and rotate." if way.waiting else ""
    return WayShown(
        title=way.title,
        sizes=tuple(_counted(sizes)),
        extra=way.extra_role or "",
        waiting=waiting,
        notes=way.notes,
        set_out=_set_out_lines(pitch, way, pace_m),
        drawing=_draw(pitch, area, way.title, pieces) if pieces else "",
    )


def _set_out_lines(pitch: Pitch, way: Way, pace_m: float) -> tuple[str, ...]:
    marks = find_landmarks(pitch.polygon, pitch.edges)
    if not marks or not way.games:
        return ()
    return list_set_out(way, marks, pitch.edges, pace_m=pace_m, zone_m=END_ZONE_M).lines


def _counted(sizes: Sequence[str]) -> list[str]:
    """Say equal games once, with their number."""
    counts = {size: sizes.count(size) for size in sizes}
    return [size if count == 1 else f"{count} × {size}" for size, count in counts.items()]


def _sides(game: Game) -> str:
    return f"{game.side_a} v {game.side_b}"


def _plan_piece(game: Game) -> PlanPiece:
    goals, zones = [], []
    for n, end in enumerate(game.ends):
        if end.kind is EndKind.END_ZONE:
            zones.append(_end_zone(game.piece, n))
        else:
            goals.append(_goal_line(game.piece, n))
    keepers = sum(end.goalkeeper for end in game.ends)
    heading = _sides(game) if not keepers else f"{_sides(game)} + {keepers} GK"
    return PlanPiece(
        polygon=game.piece.polygon,
        heading=heading,
        length_m=game.piece.length_m,
        width_m=game.piece.width_m,
        goals=tuple(goals),
        end_zones=tuple(zones),
    )


def _end_points(piece: Piece, end: int) -> tuple[tuple[float, float], tuple[float, float]]:
    a, b, c, d = piece.corners
    return (a, d) if end == 0 else (b, c)


def _goal_line(piece: Piece, end: int) -> shapely.LineString:
    """Return the middle of an end as a goal line, at most 5 m and half the end wide."""
    line = shapely.LineString(_end_points(piece, end))
    half = min(2.5, line.length / 4)
    middle = line.length / 2
    return substring(line, middle - half, middle + half)


def _end_zone(piece: Piece, end: int) -> Polygon:
    depth = min(END_ZONE_M, piece.length_m / 4)
    line = shapely.LineString(_end_points(piece, end))
    return shapely.intersection(shapely.buffer(line, depth, cap_style="flat"), piece.polygon)


def _draw(pitch: Pitch, area: Area, title: str, pieces: tuple[PlanPiece, ...]) -> str:
    sizes = "; ".join(
        f"{piece.heading} on {metres_in_words(piece.length_m)} by "
        f"{metres_in_words(piece.width_m)} metres"
        for piece in pieces
    )
    plan = GroundPlan(
        pitch=pitch,
        title=title,
        summary=f"{area.name} with {len(pieces)} marked out: {sizes}.",
        areas=(PlanArea(area.polygon, area.name, (), AreaRole.OWN),),
        pieces=pieces,
        focus=area.polygon,
    )
    return draw_ground_plan(plan, tallest=300.0)
