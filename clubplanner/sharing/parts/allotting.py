"""Which squads a part of the ground is shared out among, where everybody could be in many."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.parts.pieces import tied_asks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.parts.looking import Look
    from clubplanner.sharing.parts.pieces import Piece


def allot(
    terrain: Terrain, look: Look, piece: Piece, groups: Sequence[Sequence[int]]
) -> list[tuple[int, ...]]:
    """Give each ask of a piece to one group of its pitches, so that all groups are equally full.

    Whoever has fewest groups to choose from comes first. Asks with a squad or a coach in common
    stay together; one that could not be where most of them go is given to none.

    Args:
        terrain: The problem's columns.
        look: What each ask could have.
        piece: The asks and pitches.
        groups: Its pitches, gathered.

    Returns:
        The asks of each group, in order.
    """
    can = np.stack([look.places[:, list(group)].sum(axis=1) > 0 for group in groups])
    needs = np.stack([_needs(terrain, look, group) for group in groups])
    room = np.array([max(1, int(look.minutes[list(group)].sum())) for group in groups])
    taken = np.zeros(len(groups))
    within = set(piece.asks)
    teams = [team for own in tied_asks(terrain.problem) if (team := sorted(within & set(own)))]
    given: list[list[int]] = [[] for _ in groups]
    for team in sorted(teams, key=lambda team: (int(can[:, team].all(axis=1).sum()), team)):
        count = can[:, team].sum(axis=1)
        if not count.any():
            continue
        fits = np.flatnonzero(count == count.max())
        after = (taken[fits] + needs[fits][:, team].sum(axis=1)) / room[fits]
        group = int(fits[np.argmin(after)])
        own = [ask for ask in team if can[group, ask]]
        given[group] += own
        taken[group] += needs[group, own].sum()
    return [tuple(sorted(own)) for own in given]


def _needs(terrain: Terrain, look: Look, group: Sequence[int]) -> np.ndarray:
    """Estimate for each ask how many minutes of whole pitches it takes in a group."""
    least = look.least[:, list(group)]
    counted = least > 0
    mean = np.divide(
        least.sum(axis=1), counted.sum(axis=1), out=np.zeros(len(least)), where=counted.any(axis=1)
    )
    gap = terrain.problem.changeover_minutes
    minutes = [ask.sessions * (ask.minutes + gap) for ask in terrain.problem.asks]
    return np.asarray(mean * np.array(minutes))
