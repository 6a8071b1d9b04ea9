"""Sessions that make way for another: each goes to the best place that is then free."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.candidates import join
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.held import still_free

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.reasons.held import Held
    from clubplanner.sharing.values.problem import Placement


@dataclass(frozen=True, slots=True)
class Step:
    """A session of another squad that would make way.

    Attributes:
        squad_name: Whose it is.
        old: Where it is.
        new: Where it would be.
        points: Wish points it gains, negative for a loss.
    """

    squad_name: str
    old: Placement
    new: Placement
    points: int


def make_way(held: Held, newcomer: Candidates, holders: Sequence[int]) -> tuple[Step, ...] | None:
    """Move those who hold a place, one after the other, each to the best that is then free.

    Args:
        held: The plan, without the newcomer.
        newcomer: The place, one row.
        holders: Numbers of the plan's sessions that hold it, in the order in which they move.

    Returns:
        Where each goes; None if one of them is pinned or has nowhere to go.
    """
    terrain = held.terrain
    come = newcomer
    steps: list[Step] = []
    for holder in holders:
        old, number = held.placements[holder], int(held.rows.ask[holder])
        ask = terrain.problem.asks[number]
        if any(pin.session == old.session for pin in ask.pinned):
            return None
        rows = still_free(held, number, holders, come)
        if not len(rows):
            return None
        best = rows.take(np.array([np.argmax(rows.score)]))
        new = placement_of(terrain, best, 0, old.session)
        points = int(best.score[0]) - int(held.rows.score[holder])
        steps.append(Step(ask.squad_name, old, new, points))
        come = join([come, best])
    return tuple(steps)
