"""What a re-share changes, session by session."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.sharing.places.displacement import by_ask, match_sessions
from clubplanner.sharing.values.problem import (
    Placement,  # noqa: TC001 - the shapes of files read it at run time
)

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Problem


@dataclass(frozen=True, slots=True)
class Move:
    """A session that is not where it was.

    Attributes:
        ask: Key of the ask.
        squad_name: Whose it is.
        old: Where it was; None for one that had no place.
        new: Where it is; None for one that has none any more.
    """

    ask: str
    squad_name: str
    old: Placement | None
    new: Placement | None


def list_moves(
    before: Problem, now: Problem, old: Sequence[Placement], new: Sequence[Placement]
) -> tuple[Move, ...]:
    """List what is different between two plans, by the sessions of each ask.

    Args:
        before: The problem of the old plan.
        now: That of the new one.
        old: The plan that stood.
        new: The plan that is to be.
    """
    moves: list[Move] = []
    by_old, by_new = by_ask(old), by_ask(new)
    for ask in {ask.key: ask for ask in (*before.asks, *now.asks)}.values():
        olds, news = by_old.get(ask.key, []), by_new.get(ask.key, [])
        pairs = match_sessions(now, olds, news)
        met = [other for _unused, other in pairs]
        moves += [
            Move(ask.key, ask.squad_name, one, other)
            for one, other in pairs
            if other is None or _where(one) != _where(other)
        ]
        moves += [Move(ask.key, ask.squad_name, None, item) for item in news if item not in met]
    return tuple(moves)


def _where(item: Placement) -> tuple[int, str, int, int]:
    return item.day, item.ground, item.start_min, item.end_min
