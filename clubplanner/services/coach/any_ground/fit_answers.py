"""The values of questions about a ground without a club, and of their answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import date

    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.services.coach.any_ground.fit_set_out import SetOutAnswer


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """A rectangle on the ground.

    Attributes:
        x: Lower left corner before turning, metres.
        y: The same corner.
        length: Extent along x before turning.
        width: Extent along y before turning.
        angle: Turned about the corner, degrees counter-clockwise, 0 ≤ angle < 90.
    """

    x: float
    y: float
    length: float
    width: float
    angle: float


@dataclass(frozen=True, slots=True)
class PiecesAnswer:
    """How many equal pieces fit.

    Attributes:
        count: How many were laid.
        bound: No layout holds more, of those that `bound_for` tells.
        bound_for: "any layout", or "pieces along the edges" where turned ones may fit in greater
            number.
        proved: Whether no such layout can hold more than were laid.
        pieces: Where they lie.
        set_out: Their corners as cones, by number; None where that was not asked for.
    """

    count: int
    bound: int
    bound_for: str
    proved: bool
    pieces: tuple[LaidPiece, ...]
    set_out: SetOutAnswer | None = None


@dataclass(frozen=True, slots=True)
class GameEnd:
    """What stands at one end of a game.

    Attributes:
        kind: "fixed goal", "portable goal", "small target goal" or "end zone".
        goalkeeper: Whether a goalkeeper is there.
        x: Middle of the end line, metres.
        y: The same spot.
    """

    kind: str
    goalkeeper: bool
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class PublishedGround:
    """Ground published for each outfield player of a game of so many a side, square metres."""

    side: int
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Turns:
    """Sides that take turns.

    Attributes:
        sides: How many there are, numbered from 1.
        turns: For each turn the pairs of sides that play.
        minutes_a_turn: Length of one turn.
        plays_minutes: How long each side plays over all turns.
        rests_minutes: How long each side rests over all turns.
    """

    sides: int
    turns: tuple[tuple[tuple[int, int], ...], ...]
    minutes_a_turn: int
    plays_minutes: int
    rests_minutes: int


@dataclass(frozen=True, slots=True)
class OtherNightAnswer:
    """What changes on another night, in whole sentences."""

    occasion: str
    lines: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LaidGame:
    """One game.

    Attributes:
        players: Outfield players of the two sides, the larger first.
        goalkeepers: How many goalkeepers are in it.
        rectangle: Where it is played.
        goals: Its two ends.
    """

    players: tuple[int, int]
    goalkeepers: int
    rectangle: LaidPiece
    goals: tuple[GameEnd, GameEnd]


@dataclass(frozen=True, slots=True)
class WayAnswer:
    """A way to play.

    Attributes:
        title: A few words.
        games: The games that are on at once.
        extras: Players by whom sides of these games are larger than the other side.
        extra_role: What they do; None without any.
        waiting: Players who wait at any moment.
        turns: Whose turn it is when, in words; empty when nobody waits.
        rotation: The same as numbers; None when nobody waits.
        m2_per_player: Ground for each outfield player in the games, goalkeepers not counted.
        published_m2: What practice areas give for the sides of these games.
        spare: The largest rectangle left beside the games, for a warm-up or a second coach; None
            when there is none of use.
        notes: Whole sentences a coach needs.
        too_hard: What to change when it is too hard; blank without a game.
        too_easy: What to change when it is too easy.
        clear: How much clear ground there is round the games, a sentence.
        clear_metres: The same, from any game to the nearest edge or neighbour; None without games.
        set_out: What to set out, cones by number.
    """

    title: str
    games: tuple[LaidGame, ...]
    extras: int
    extra_role: str | None
    waiting: int
    turns: tuple[str, ...]
    rotation: Turns | None
    m2_per_player: float
    published_m2: tuple[PublishedGround, ...]
    spare: LaidPiece | None
    notes: tuple[str, ...]
    too_hard: str
    too_easy: str
    clear: str
    clear_metres: float | None
    set_out: SetOutAnswer


@dataclass(frozen=True, slots=True)
class Wanted:
    """Who comes, and what there is to play with.

    Attributes:
        players: How many, goalkeepers among them.
        goalkeepers: Of them.
        age: Age group, 13 for under 13s; None for adults.
        goals: Goals that can be put where they are wanted.
        target_goals: Small goals that nobody keeps.
        size: Length and width each game is to have, as "30x20"; None for published sizes.
        on: The date for which it is asked: forms of the game change from season to season.
        own: The club's own table of sizes.
        margin: Clear metres to keep from edges and neighbours; None for none from edges, and from
            neighbours as published.
        neighbours: Grounds on which others are at that time, as well-known text.
        entrance: Where people come in, as "x,y"; cones are numbered from there.
    """

    players: int
    on: date
    goalkeepers: int = 0
    age: int | None = None
    goals: int = 0
    target_goals: int = 0
    size: str | None = None
    own: tuple[GameFormat, ...] = ()
    margin: float | None = None
    neighbours: tuple[str, ...] = ()
    entrance: str | None = None
