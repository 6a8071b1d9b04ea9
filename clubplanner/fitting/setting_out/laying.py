"""Laying games on the ground so that fixed goals stand at their ends where that can be had.

All pieces of one layout have one size. They are first packed, then moved together: to where a
fixed goal stands nearest the middle of an end, else to the middle of the ground. Where no such
move brings a goal into play, one game is put in front of the goal and the others round it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import islice, pairwise
from typing import TYPE_CHECKING, TypeAlias

import shapely

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.fitting.outlines.known import fit_pieces_again
from clubplanner.fitting.outlines.pieces import Piece
from clubplanner.fitting.packing.spans import rectangle_frame, sin_cos

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from shapely import Polygon

    from clubplanner.fitting.setting_out.ways import GoalSpot, SessionNeed

Size: TypeAlias = tuple[float, float]
"""(length, width) of a game, metres."""
Spot: TypeAlias = tuple[float, float]
"""(x, y) in metres."""
REACH_M = 1.5
"""A fixed goal serves an end line no further away than this (common practice, no source)."""
OVERHANG_M = 0.5
"""So far a goal's post may stand beyond the corner of a game."""
WELL_PLACED_M = 2.0
"""A goal this near the middle of an end needs no better place."""
_MOST_MOVES = 24
_EFFORT = 0.2
_MOST_PULLED = 4


@dataclass(slots=True)
class Layouts:
    """The layouts of one ground, each worked out once.

    Attributes:
        need: The coach's question.
        fixed: The goals that stay where they are.
        reach: The ground, a hair wider, for checking places.
        stands: For each fixed goal where it meets the edge, and the direction from there.
        known: Layouts by size and number of games; None where they do not fit.
        packed: For each size the most games laid so far, before they were moved.
        too_many: For each size the smallest number of games known not to fit.
    """

    need: SessionNeed
    fixed: tuple[GoalSpot, ...]
    reach: Polygon
    stands: tuple[tuple[Spot, float], ...]
    known: dict[tuple[Size, int], tuple[Piece, ...] | None] = field(default_factory=dict)
    packed: dict[Size, tuple[Piece, ...]] = field(default_factory=dict)
    too_many: dict[Size, int] = field(default_factory=dict)

    @classmethod
    def of(cls, need: SessionNeed) -> Layouts:
        """Start without any layout."""
        reach = shapely.buffer(need.ground, 2e-3, join_style="mitre")
        shapely.prepare(reach)
        fixed = tuple(goal for goal in need.goals if goal.kind == GoalKind.FIXED)
        stands = tuple(stand_at(goal, need.ground) for goal in fixed)
        return cls(need, fixed, reach, stands)

    def lay(self, size: Size, count: int) -> tuple[Piece, ...] | None:
        """Lay a number of games of one size.

        Args:
            size: (length, width), metres.
            count: How many games, 1 or more.

        Returns:
            Their pieces, those with a fixed goal first; None when so many were not placed.
        """
        key = (size, count)
        if key not in self.known:
            self.known[key] = self._lay(size, count)
        return self.known[key]

    def covers(self, pieces: Iterable[Piece]) -> bool:
        """Tell whether pieces lie on the ground."""
        shapes = shapely.polygons([piece.corners for piece in pieces])
        return bool(shapely.covers(self.reach, shapes).all())

    def _lay(self, size: Size, count: int) -> tuple[Piece, ...] | None:
        if count * size[0] * size[1] > self.reach.area:
            return None
        packed = self._packed(size, count)
        if packed is None:
            return None
        hoped = (-min(len(self.fixed), count), WELL_PLACED_M)
        offers: list[tuple[Piece, ...]] = []
        for base in (packed, *(self._grids(size, count) if self.fixed else ())):
            near = sorted(base, key=self._distance_to_goal)[:count]
            offers.append(self._settled(near))
            if self._misfit(offers[-1]) <= hoped:
                break
        else:
            offers += filter(None, [self._in_front(size, count) if self.fixed else None])
        best = min(offers, key=self._misfit)
        served = {game for game, _, _, _ in goals_at_ends(best, self.fixed)}
        order = sorted(range(count), key=lambda game: game not in served)
        return tuple(best[game] for game in order)

    def _packed(self, size: Size, count: int) -> tuple[Piece, ...] | None:
        """Pack games, not asking again what is known from this size or a smaller one."""
        if len(self.packed.get(size, ())) >= count:
            return self.packed[size]
        for (length, width), failed in self.too_many.items():
            if failed <= count and length <= size[0] and width <= size[1]:
                return None
        fit = fit_pieces_again(
            self.need.ground, *size, gap_m=self.need.gap_m, enough=count, effort=_EFFORT
        )
        if fit.count < count:
            self.too_many[size] = count
            return None
        self.packed[size] = fit.pieces
        return fit.pieces

    def _grids(self, size: Size, count: int) -> Iterator[tuple[Piece, ...]]:
        """Lay all games along or all across a rectangular ground, as different ends may serve."""
        frame = rectangle_frame(self.need.ground)
        if frame is None:
            return
        x, y, angle_deg, along_m, across_m = frame
        sin, cos = sin_cos(angle_deg)
        gap = self.need.gap_m
        for turn, (extent, height) in ((0.0, size), (90.0, size[::-1])):
            columns = int((along_m + gap + 1e-3) / (extent + gap))
            rows = int((across_m + gap + 1e-3) / (height + gap))
            if columns * rows < count:
                continue
            shift = size[1] if turn else 0.0
            corners = [
                (column * (extent + gap) + shift, row * (height + gap))
                for column in range(columns)
                for row in range(rows)
            ]
            yield tuple(
                Piece(x + u * cos - v * sin, y + u * sin + v * cos, *size, angle_deg + turn)
                for u, v in corners
            )

    def _distance_to_goal(self, piece: Piece) -> float:
        middles = [middle for middle, _ in ends_of(piece)]
        return min(
            (math.dist((goal.x_m, goal.y_m), middle) for goal in self.fixed for middle in middles),
            default=0.0,
        )

    def _misfit(
        self, pieces: Sequence[Piece], goals: Sequence[GoalSpot] | None = None
    ) -> tuple[int, float]:
        """Rank a layout: more goals in play first, then the best placed one."""
        served = goals_at_ends(pieces, self.fixed if goals is None else goals)
        return -len(served), min((abs(item[3]) for item in served), default=math.inf)

    def _settled(self, pieces: Sequence[Piece]) -> tuple[Piece, ...]:
        """Move all pieces together to the best place among some."""
        best = tuple(pieces)
        best_rank = (*self._misfit(best), math.inf)
        off_x, off_y = _off_centre(pieces, self.need.ground)
        moves = dict.fromkeys((round(dx, 6), round(dy, 6)) for dx, dy in self._moves(pieces))
        for dx, dy in islice(moves, _MOST_MOVES):
            # moving the goals the other way looks the same from the games, and is less work
            goals = [replace(goal, x_m=goal.x_m - dx, y_m=goal.y_m - dy) for goal in self.fixed]
            rank = (*self._misfit(pieces, goals), math.hypot(off_x + dx, off_y + dy))
            if rank >= best_rank:
                continue
            moved = tuple(
                replace(piece, x_m=piece.x_m + dx, y_m=piece.y_m + dy) for piece in pieces
            )
            if self.covers(moved):
                best, best_rank = moved, rank
        return best

    def _moves(self, pieces: Sequence[Piece]) -> Iterable[tuple[float, float]]:
        """List moves worth trying: each goal to each end as far as there is room; to the middle."""
        x0, y0, x1, y1 = self.need.ground.bounds
        boxes = [piece.polygon.bounds for piece in pieces]
        left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
        right, high = max(box[2] for box in boxes), max(box[3] for box in boxes)
        yield (x0 + x1 - left - right) / 2, (y0 + y1 - low - high) / 2
        for goal in self.fixed:
            for piece in pieces[:_MOST_PULLED]:
                for (x, y), _ in ends_of(piece):
                    dx = min(max(goal.x_m - x, x0 - left), x1 - right)
                    dy = min(max(goal.y_m - y, y0 - low), y1 - high)
                    yield dx, dy

    def _in_front(self, size: Size, count: int) -> tuple[Piece, ...] | None:
        """Put games in front of fixed goals and the others round them."""
        placed: list[Piece] = []
        rest: list[Piece] = []
        for stand in self.stands:
            first = piece_at_goal(*stand, size)
            if len(placed) == count or not self.covers([first]):
                continue
            others = self._around([*placed, first], size, count - len(placed) - 1)
            if others is not None:
                placed.append(first)
                rest = others
        return (*placed, *rest) if placed else None

    def _around(self, placed: Sequence[Piece], size: Size, count: int) -> list[Piece] | None:
        gap = self.need.gap_m
        taken = [shapely.buffer(piece.polygon, gap, join_style="mitre") for piece in placed]
        clash = any(
            shapely.intersection(one.polygon, other, grid_size=1e-3).area > 1e-3
            for number, one in enumerate(placed)
            for other in taken[:number]
        )
        if clash:
            return None
        if count == 0:
            return []
        left = shapely.difference(self.need.ground, shapely.union_all(taken), grid_size=1e-3)
        if left.area < count * size[0] * size[1]:
            return None
        fit = fit_pieces_again(left, *size, gap_m=gap, enough=count, effort=_EFFORT)
        return list(fit.pieces[:count]) if fit.count >= count else None


@lru_cache(maxsize=4096)
def ends_of(piece: Piece) -> tuple[tuple[tuple[float, float], float], ...]:
    """Return the middle of each end and the direction out of the game there, degrees."""
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = piece.corners
    return (
        (((ax + dx) / 2, (ay + dy) / 2), piece.angle_deg + 180.0),
        (((bx + cx) / 2, (by + cy) / 2), piece.angle_deg),
    )


def goals_at_ends(
    pieces: Sequence[Piece], goals: Sequence[GoalSpot]
) -> list[tuple[int, int, GoalSpot, float]]:
    """Find which fixed goal stands at which end.

    Args:
        pieces: The games.
        goals: Fixed goals; each serves one end at most, and an end has one goal at most.

    Returns:
        (number of the game, number of the end, the goal, metres off the end's middle), the best
        placed first.
    """
    offers: list[tuple[float, float, int, int, int]] = []
    for number, goal in enumerate(goals):
        for game, piece in enumerate(pieces):
            for end, ((x, y), out_deg) in enumerate(ends_of(piece)):
                if abs(goal.x_m - x) + abs(goal.y_m - y) > 2 * (REACH_M + piece.width_m):
                    continue
                sin, cos = sin_cos(out_deg)
                along = (goal.x_m - x) * cos + (goal.y_m - y) * sin
                across = (goal.y_m - y) * cos - (goal.x_m - x) * sin
                room = piece.width_m / 2 + OVERHANG_M - goal.width_m / 2
                if abs(along) <= REACH_M and abs(across) <= room:
                    offers.append((round(abs(across), 6), across, game, end, number))
    served: list[tuple[int, int, GoalSpot, float]] = []
    used_goals: set[int] = set()
    used_ends: set[tuple[int, int]] = set()
    for _, across, game, end, number in sorted(offers):
        if number in used_goals or (game, end) in used_ends:
            continue
        used_goals.add(number)
        used_ends.add((game, end))
        served.append((game, end, goals[number], across))
    return served


def stand_at(goal: GoalSpot, ground: Polygon) -> tuple[tuple[float, float], float]:
    """Return where a goal meets the ground's edge, and the direction from there into the ground.

    Args:
        goal: On the edge, or near it.
        ground: Where the game is to be.

    Returns:
        The goal's own place, or that of the nearest edge when it is within `REACH_M`; and the
        direction square to that edge, degrees.
    """
    spot = shapely.Point(goal.x_m, goal.y_m)
    ring = list(shapely.orient_polygons(ground).exterior.coords)
    edges = [shapely.LineString(ends) for ends in pairwise(ring)]
    edge = min(edges, key=lambda line: float(line.distance(spot)))
    (x0, y0, *_), (x1, y1, *_) = edge.coords
    inward_deg = round(math.degrees(math.atan2(y1 - y0, x1 - x0)) + 90.0, 6)
    if edge.distance(spot) > REACH_M:
        return (goal.x_m, goal.y_m), inward_deg
    foot = edge.interpolate(edge.project(spot))
    return (float(foot.x), float(foot.y)), inward_deg


def piece_at_goal(place: tuple[float, float], axis_deg: float, size: Size) -> Piece:
    """Put a game with the middle of its first end at a place."""
    sin, cos = sin_cos(axis_deg)
    half = size[1] / 2
    return Piece(place[0] + half * sin, place[1] - half * cos, size[0], size[1], axis_deg)


def _off_centre(pieces: Sequence[Piece], ground: Polygon) -> Spot:
    """Return how far the middle of all pieces lies from that of the ground."""
    x0, y0, x1, y1 = ground.bounds
    corners = [corner for piece in pieces for corner in piece.corners]
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    return (min(xs) + max(xs) - x0 - x1) / 2, (min(ys) + max(ys) - y0 - y1) / 2
