"""Who plays and who rests when there are more sides than room: fair turns in plain words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from clubplanner.language import _

Match: TypeAlias = tuple[int, int]
"""Two sides by number, the lower first."""
MOST_TURNS = 12
"""A longer list than this is no use on a training ground (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Rotation:
    """A fair order of play.

    Attributes:
        turns: The matches of each turn; sides are numbered from 1.
        sides: How many sides there are.
        minutes_a_turn: Length of one turn.
        plays_minutes: How long each side plays over all turns.
        rests_minutes: How long each side rests over all turns.
    """

    turns: tuple[tuple[Match, ...], ...]
    sides: int
    minutes_a_turn: int
    plays_minutes: int
    rests_minutes: int

    @property
    def lines(self) -> tuple[str, ...]:
        """The turns in words, one sentence each."""
        return tuple(
            (_("Turn %(count)s:", count=number) + " ")
            + ", ".join(
                _("side %(one)s v side %(other)s", one=one, other=other) for one, other in turn
            )
            + _resting(turn, self.sides)
            for number, turn in enumerate(self.turns, start=1)
        )

    @property
    def summary(self) -> str:
        """The whole rotation in one sentence."""
        return _(
            "%(turns)s turns of %(minutes_a_turn)s minutes: every side plays "
            "%(plays_minutes)s and rests %(rests_minutes)s minutes.",
            turns=len(self.turns),
            minutes_a_turn=self.minutes_a_turn,
            plays_minutes=self.plays_minutes,
            rests_minutes=self.rests_minutes,
        )


def plan_rotation(sides: int, games: int, minutes_a_turn: int) -> Rotation:
    """Make turns in which every side plays equally often.

    Args:
        sides: How many sides there are, more than can play at once.
        games: How many games are on at once, 1 or more, at most half the sides.
        minutes_a_turn: Length of one turn.

    Returns:
        The shortest fair list in which as few opponents as possible come twice.

    Raises:
        ValueError: If the sides do not need to take turns.
    """
    if games < 1 or sides < 2 * games:
        raise ValueError(f"{sides} sides cannot fill {games} games at once.")
    plays = _plays_each(sides, games)
    turns: list[tuple[Match, ...]] = []
    met: dict[Match, int] = {}
    played = dict.fromkeys(range(1, sides + 1), 0)
    for _unused in range(sides * plays // (2 * games)):
        turn = _next_turn(games, played, met)
        for one, other in turn:
            met[one, other] = met.get((one, other), 0) + 1
            played[one] += 1
            played[other] += 1
        turns.append(turn)
    rests = len(turns) - plays
    return Rotation(
        tuple(turns), sides, minutes_a_turn, plays * minutes_a_turn, rests * minutes_a_turn
    )


def _plays_each(sides: int, games: int) -> int:
    """Return how often each side plays: against every other where the list stays short."""
    fair = [n for n in range(1, 2 * games * sides + 1) if sides * n % (2 * games) == 0]
    short = [n for n in fair if n < sides and sides * n // (2 * games) <= MOST_TURNS]
    return max(short, default=fair[0])


def _next_turn(games: int, played: dict[int, int], met: dict[Match, int]) -> tuple[Match, ...]:
    """Let those play who played least, against those they have met least."""
    waiting = sorted(played, key=lambda side: (played[side], side))
    turn: list[Match] = []
    while len(turn) < games:
        one = waiting.pop(0)
        ranked = [
            (played[side], met.get((min(one, side), max(one, side)), 0), side) for side in waiting
        ]
        other = min(ranked)[2]
        waiting.remove(other)
        turn.append((min(one, other), max(one, other)))
    return tuple(turn)


def _resting(turn: tuple[Match, ...], sides: int) -> str:
    busy = {side for match in turn for side in match}
    resting = [str(side) for side in range(1, sides + 1) if side not in busy]
    if not resting:
        return "."
    if len(resting) == 1:
        return _("; side %(resting)s rests.", resting=resting[0])
    return _(
        "; sides %(others)s and %(last)s rest.",
        others=", ".join(resting[:-1]),
        last=resting[-1],
    )
