"""Sessions that make way for another: each goes to the best place that is then free."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.listing import ask_candidates
from clubplanner.sharing.places.placements import placement_of, rows_of_placements
from clubplanner.sharing.reasons.held import blocked_by, hold
from clubplanner.sharing.rules.book import too_many

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.ground.terrain import Terrain
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


def make_way(
    terrain: Terrain, plan: Sequence[Placement], place: Placement, holders: Sequence[Placement]
) -> tuple[Step, ...] | None:
    """Move those who hold a place, one after the other, each to the best that is then free."""
    asks = {ask.key: n for n, ask in enumerate(terrain.problem.asks)}
    now = [item for item in plan if item not in holders] + [place]
    steps: list[Step] = []
    for holder in holders:
        number = asks[holder.ask]
        ask = terrain.problem.asks[number]
        if any(pin.session == holder.session for pin in ask.pinned):
            return None
        held = hold(terrain, now)
        rows = ask_candidates(terrain, ask, number)
        free = ~blocked_by(held, rows).any(axis=1) & ~too_many(terrain, rows, held.rows)
        fitting = np.flatnonzero(free)
        if not len(fitting):
            return None
        best = int(fitting[np.argmax(rows.score[fitting])])
        new = placement_of(terrain, rows, best, holder.session)
        before = int(rows_of_placements(terrain, [holder]).score[0])
        steps.append(Step(ask.squad_name, holder, new, int(rows.score[best]) - before))
        now.append(new)
    return tuple(steps)
