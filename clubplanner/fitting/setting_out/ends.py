"""What stands at each end of each game, and which goalkeeper goes where."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.fitting.packing.spans import sin_cos
from clubplanner.fitting.setting_out.laying import REACH_M, WELL_PLACED_M, goals_at_ends
from clubplanner.fitting.setting_out.ways import End, EndKind

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.ways import GoalSpot, SessionNeed


@dataclass(frozen=True, slots=True)
class EndPlan:
    """The ends of all games of a layout.

    Attributes:
        ends: For each game its two ends.
        without_goal: Goalkeepers who stand in an end zone since there is no goal for them.
        without_end: Goalkeepers for whom there is no end at all.
        off_middle: For each fixed goal in play that stands off the middle of its end: (number of
            the game, metres off the middle).
        inside: Numbers of games inside which a fixed goal stands.
    """

    ends: tuple[tuple[End, End], ...]
    without_goal: int
    without_end: int
    off_middle: tuple[tuple[int, float], ...]
    inside: tuple[int, ...]

    @property
    def shortfall(self) -> tuple[int, int]:
        """What a smaller size might mend: goalkeepers without a goal, goals badly placed."""
        return self.without_goal, len(self.off_middle) + len(self.inside)


def plan_ends(pieces: Sequence[Piece], fixed: Sequence[GoalSpot], need: SessionNeed) -> EndPlan:
    """Put goals and goalkeepers to the ends.

    Each game gets a goalkeeper before any gets a second; fixed goals are used first, then goals
    that can be carried, first where a goalkeeper is. What is left over goes to further ends in
    pairs of games. Small target goals stand where nobody keeps goal: first opposite a goal or a
    goalkeeper, then two for a game, so that both sides play to the same. An end without a goal is
    an end zone.

    Args:
        pieces: The games, at least one.
        fixed: Fixed goals on the ground.
        need: The coach's question.

    Returns:
        The ends.
    """
    served = goals_at_ends(pieces, fixed)
    kinds = {(game, end): EndKind.END_ZONE for game in range(len(pieces)) for end in range(2)}
    kinds.update({(game, end): EndKind.FIXED_GOAL for game, end, _, _ in served})
    kept = _posts(kinds, need.goalkeepers)
    movable = need.movable_goals
    for post in [*kept, *_by_fewest_goals(kinds)]:
        if movable > 0 and kinds[post] == EndKind.END_ZONE:
            kinds[post] = EndKind.PORTABLE_GOAL
            movable -= 1
    _place_targets(kinds, kept, need.target_goals)
    ends = tuple(
        (
            End(kinds[game, 0], (game, 0) in kept),
            End(kinds[game, 1], (game, 1) in kept),
        )
        for game in range(len(pieces))
    )
    return EndPlan(
        ends,
        sum(kinds[post] == EndKind.END_ZONE for post in kept),
        need.goalkeepers - len(kept),
        tuple((game, abs(off)) for game, _, _, off in served if abs(off) > WELL_PLACED_M),
        _games_with_goal_inside(pieces, fixed),
    )


def _posts(kinds: dict[tuple[int, int], EndKind], goalkeepers: int) -> list[tuple[int, int]]:
    """Choose the ends that get a goalkeeper: games without one first, then ends with a goal."""
    kept: list[tuple[int, int]] = []
    for _ in range(min(goalkeepers, len(kinds))):
        free = [post for post in kinds if post not in kept]
        ranked = [
            (sum(post[0] == other[0] for other in kept), kinds[post] == EndKind.END_ZONE, post)
            for post in free
        ]
        kept.append(min(ranked)[2])
    return kept


def _place_targets(
    kinds: dict[tuple[int, int], EndKind], kept: Sequence[tuple[int, int]], targets: int
) -> None:
    """Put small target goals to ends that are still open."""
    open_ends = [p for p in kinds if kinds[p] == EndKind.END_ZONE and p not in kept]
    games = sorted({game for game, _ in open_ends})
    by_game = [[post for post in open_ends if post[0] == game] for game in games]
    for posts in sorted(by_game, key=len):
        if len(posts) <= targets:
            kinds.update(dict.fromkeys(posts, EndKind.TARGET_GOAL))
            targets -= len(posts)


def _by_fewest_goals(kinds: dict[tuple[int, int], EndKind]) -> list[tuple[int, int]]:
    goals = {
        game: sum(kinds[game, end] != EndKind.END_ZONE for end in range(2)) for game, _ in kinds
    }
    return sorted(kinds, key=lambda post: (goals[post[0]] + post[1], post))


def _games_with_goal_inside(pieces: Sequence[Piece], fixed: Sequence[GoalSpot]) -> tuple[int, ...]:
    return tuple(
        game
        for game, piece in enumerate(pieces)
        if any(_is_inside(piece, (goal.x_m, goal.y_m)) for goal in fixed)
    )


def _is_inside(piece: Piece, spot: tuple[float, float]) -> bool:
    """Tell whether a spot lies further than `REACH_M` inside a game's edges."""
    sin, cos = sin_cos(piece.angle_deg)
    x, y = spot[0] - piece.x_m, spot[1] - piece.y_m
    along, across = x * cos + y * sin, y * cos - x * sin
    return REACH_M < along < piece.length_m - REACH_M and REACH_M < across < piece.width_m - REACH_M
