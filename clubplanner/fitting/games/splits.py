"""Splitting a number of players into games: equal sides first, one side larger where it must be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

SMALLEST_ROTATING_SIDE = 2
LARGEST_SIDE = 11
"""Players a side in the games that take turns (football, hockey)."""
LARGEST_SINGLE_SIDE = 15
"""Players a side in one game for everyone (rugby union plays 15)."""
MOST_GAMES = 15


@dataclass(frozen=True, slots=True)
class Split:
    """A way to put outfield players into sides.

    Attributes:
        side: Players of a usual side.
        sides: For each side its players, larger ones first.
        games: How many games are on at once; sides beyond twice as many wait.
    """

    side: int
    sides: tuple[int, ...]
    games: int

    @property
    def pairs(self) -> tuple[tuple[int, int], ...]:
        """The sides that play first, the larger of each pair in front."""
        playing = self.sides[: 2 * self.games]
        return tuple(zip(playing[::2], playing[1::2], strict=True))

    @property
    def waiting(self) -> int:
        """Outfield players who wait at first."""
        return sum(self.sides[2 * self.games :])

    @property
    def uneven_games(self) -> int:
        """Games in which one side has a player more."""
        return sum(a != b for a, b in self.pairs)

    @property
    def is_mixed(self) -> bool:
        """Whether some games are between larger sides than others."""
        return len({b for _, b in self.pairs}) > 1


def everyone_plays(outfield: int) -> Iterator[Split]:
    """List the splits in which nobody waits, fewest games first.

    Args:
        outfield: Players who do not keep goal.

    Yields:
        One split for each number of games; its sides differ by one player at most. Games of 1
        v 1 beside games of 2 v 2 are left out: nobody sets that up.
    """
    for games in range(1, min(outfield // 2, MOST_GAMES) + 1):
        side, extra = divmod(outfield, 2 * games)
        if side > (LARGEST_SINGLE_SIDE if games == 1 else LARGEST_SIDE):
            continue
        if side == 1 and extra > 1:
            continue
        sides = (side + 1,) * extra + (side,) * (2 * games - extra)
        yield Split(side, sides, games)


def take_turns(outfield: int, side: int, most_games: int) -> Split | None:
    """Split into sides of one size of which some wait.

    Args:
        outfield: Players who do not keep goal.
        side: Players of a side.
        most_games: How many games the ground holds at once.

    Returns:
        The split; None when nobody would have to wait, or more would wait than play.
    """
    count, extra = divmod(outfield, side)
    games = min(most_games, count // 2)
    waiting = count - 2 * games
    if games < 1 or waiting < 1 or waiting > 2 * games or extra > count:
        return None
    return Split(side, (side + 1,) * extra + (side,) * (count - extra), games)
