"""The values of the coach's question: what a session needs, and a way to play it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import GoalKind
from clubplanner.fitting.outlines.pieces import check_ground, check_lengths
from clubplanner.language import _

if TYPE_CHECKING:
    from shapely import Polygon

    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.fitting.outlines.pieces import Piece
    from clubplanner.fitting.setting_out.formats import PracticeBand
    from clubplanner.fitting.setting_out.rotation import Rotation
    from clubplanner.fitting.setting_out.run_off import Hazard

MOST_PLAYERS = 60
"""More than any one session is likely to hold (common practice, no source)."""
USUAL_GAP_M = 3.0
"""Clear ground between two games side by side (common practice, no source)."""
USUAL_TURN_MINUTES = 4
"""How long one turn lasts where sides take turns (common practice, no source)."""


class EndKind(StrEnum):
    """What stands at an end of a game."""

    FIXED_GOAL = "fixed goal"
    PORTABLE_GOAL = "portable goal"
    TARGET_GOAL = "small target goal"
    END_ZONE = "end zone"


@dataclass(frozen=True, slots=True)
class GoalSpot:
    """A goal on the ground.

    Attributes:
        x_m: Middle of the mouth, along the length.
        y_m: Middle of the mouth, across the width.
        width_m: Between the posts.
        kind: Fixed or portable; a portable one can be carried to where it is wanted.
    """

    x_m: float
    y_m: float
    width_m: float
    kind: GoalKind


@dataclass(frozen=True, slots=True)
class SessionNeed:
    """What a coach asks.

    Attributes:
        ground: The ground to use, metres; holes cannot be used.
        players: How many come, goalkeepers among them.
        goalkeepers: How many of the players keep goal.
        age: The age group, 13 for under 13s; None for adults.
        goals: Goals on the ground.
        portable_goals: Further goals that can be brought on.
        size_m: (length, width) each game is to have; None to choose from the bands.
        bands: Published practice areas to choose from, the preferred source first.
        gap_m: Clear ground between games.
        turn_minutes: Length of one turn where sides take turns.
        target_goals: Small goals that nobody keeps.
        match: The form of the game in which the age group plays its matches: it bounds the ground
            for each and the sides of games; None for adults, and where it is not known.
        hazards: What to keep clear of; empty where nothing is known of the surroundings.
        margin_m: Clear ground to keep from each, metres; 0 for games to the line.
    """

    ground: Polygon
    players: int
    goalkeepers: int
    age: int | None
    goals: tuple[GoalSpot, ...] = ()
    portable_goals: int = 0
    size_m: tuple[float, float] | None = None
    bands: tuple[PracticeBand, ...] = ()
    gap_m: float = USUAL_GAP_M
    turn_minutes: int = USUAL_TURN_MINUTES
    target_goals: int = 0
    match: GameFormat | None = None
    hazards: tuple[Hazard, ...] = ()
    margin_m: float = 0.0

    @property
    def outfield(self) -> int:
        """How many of the players do not keep goal."""
        return self.players - self.goalkeepers

    @property
    def movable_goals(self) -> int:
        """How many goals can be put where they are wanted."""
        standing = sum(goal.kind == GoalKind.PORTABLE for goal in self.goals)
        return self.portable_goals + standing


@dataclass(frozen=True, slots=True)
class End:
    """One end of a game.

    Attributes:
        kind: What is attacked there.
        goalkeeper: Whether a goalkeeper is there.
    """

    kind: EndKind
    goalkeeper: bool


@dataclass(frozen=True, slots=True)
class Game:
    """One game on its ground.

    Attributes:
        piece: Where it is played; the ends are those of its own axis.
        side_a: Outfield players of the larger side.
        side_b: Outfield players of the other.
        ends: First the end at the piece's own corner, then the far one.
    """

    piece: Piece
    side_a: int
    side_b: int
    ends: tuple[End, End]


@dataclass(frozen=True, slots=True)
class Way:
    """One way to play a session.

    Attributes:
        games: All games that are on at once; empty for work without a game.
        extra_role: What players who make a side larger do; None when all sides are equal.
        waiting: Players who wait at any moment, goalkeepers among them.
        rotation: Whose turn it is when; None when nobody waits.
        m2_per_outfield_player: Ground of the games for each outfield player in them; goalkeepers
            are not counted. 0.0 without a game.
        title: A few words: "Two games of 3 v 3".
        notes: Whole sentences a coach needs.
        clear: How much clear ground there is round the games, a sentence; blank where nothing is
            known of the surroundings.
        clear_m: The same, metres from any game to the nearest hazard; None where it is blank.
    """

    games: tuple[Game, ...]
    extra_role: str | None
    waiting: int
    rotation: Rotation | None
    m2_per_outfield_player: float
    title: str
    notes: tuple[str, ...]
    clear: str = ""
    clear_m: float | None = None


def check_need(need: SessionNeed) -> None:
    """Refuse a question that cannot be meant.

    Raises:
        ValueError: If a number cannot be used; the message says which.
    """
    if not 1 <= need.players <= MOST_PLAYERS:
        raise ValueError(f"Give 1 to {MOST_PLAYERS} players, not {need.players}.")
    if not 0 <= need.goalkeepers <= need.players:
        raise ValueError(
            _(
                "%(goalkeepers)s goalkeepers cannot be among %(players)s players; the "
                "players count the goalkeepers.",
                goalkeepers=need.goalkeepers,
                players=need.players,
            )
        )
    if need.portable_goals < 0:
        raise ValueError(f"Give 0 or more portable goals, not {need.portable_goals}.")
    if need.target_goals < 0:
        raise ValueError(f"Give 0 or more small target goals, not {need.target_goals}.")
    if need.turn_minutes < 1:
        raise ValueError(f"Give turns of 1 minute or more, not {need.turn_minutes}.")
    check_lengths(may_be_zero=True, gap_m=need.gap_m, margin_m=need.margin_m)
    if need.size_m is not None:
        check_lengths(length_m=need.size_m[0], width_m=need.size_m[1])
    for goal in need.goals:
        if not (math.isfinite(goal.x_m) and math.isfinite(goal.y_m) and goal.width_m > 0):
            raise ValueError("Give each goal a place in metres and a width of more than 0.")
    check_ground(need.ground)
