"""A plan as reasons and changes look at it, and who is in whose way."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.places.placements import rows_of_placements
from clubplanner.sharing.rules.book import ground_clashes, people_clashes

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Placement


@dataclass(frozen=True, slots=True)
class Held:
    """The plan as the reasons look at it.

    Attributes:
        terrain: The problem's columns.
        placements: The plan.
        rows: The same as candidates, in the same order.
    """

    terrain: Terrain
    placements: tuple[Placement, ...]
    rows: Candidates


def hold(terrain: Terrain, placements: Sequence[Placement]) -> Held:
    """Look at a plan."""
    return Held(terrain, tuple(placements), rows_of_placements(terrain, placements))


def blocked_by(held: Held, rows: Candidates) -> NDArray[np.bool_]:
    """Tell which sessions of a plan are in the way of which rows: shape (rows, plan)."""
    ground = ground_clashes(held.terrain, rows, held.rows)
    people = people_clashes(held.terrain, rows, held.rows)
    return np.asarray(ground | people)
