"""One pitch on one evening by itself: which sessions gain most, whatever happens elsewhere."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.solvers import new_solver, was_cut
from clubplanner.sharing.places.merging import merge

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain

STEPS_EACH = 0.3
"""Steps that filling one evening may take; what is not settled then has a weaker bound."""
LEAST_STEPS, SLOT_STEPS = 0.0025, 1.7e-5
"""Steps that it counts at least, and at least for each of its slots: about as long as handing its
model over takes."""


@dataclass(frozen=True, slots=True)
class Filled:
    """What an evening can come to at some gains.

    Attributes:
        most: No choice of sessions gains more.
        slots: A choice that gains as much, or nearly so, in order.
        steps: Steps that it took.
        is_cut: Whether the clock ended it.
    """

    most: int
    slots: tuple[int, ...]
    steps: float
    is_cut: bool = False


class Evening:
    """The slots of a pitch and day with the rules among them.

    What it leaves out (other evenings, ground that weights allow and that cannot be laid out) only
    lets it gain more than can be had, so that its bound holds.
    """

    def __init__(
        self,
        terrain: Terrain,
        candidates: Candidates,
        slots: Slots,
        best: NDArray[np.int64],
        weights: NDArray[np.int64],
        members: Sequence[int],
    ) -> None:
        """Write the model of one evening.

        Args:
            terrain: The problem's columns.
            candidates: All candidates.
            slots: The merged candidates.
            best: From `best_alone`.
            weights: From `ground_weights`.
            members: The evening's slots.
        """
        owner = {slots.rows[slot][0]: slot for slot in members}
        rows = np.array(sorted(row for slot in members for row in slots.rows[slot]), dtype=np.int64)
        part = candidates.take(rows)
        own = merge(terrain, part, weights)
        self._numbers = [owner[int(rows[members[0]])] for members in own.rows]
        self._share = ShareModel(terrain, own, best, part)

    def add_detail(self, place: tuple[int, int]) -> None:
        """Add exact rows for its ground.

        Args:
            place: Its pitch and day.
        """
        self._share.add_detail(*place)

    def fill(self, gains: NDArray[np.int64], seed: int, clock: float) -> Filled | None:
        """Choose the sessions that gain most together.

        Args:
            gains: What each slot of the whole gains; those that gain nothing count nothing.
            seed: Of the solver.
            clock: Seconds that it may take.

        Returns:
            What it comes to; None where its pinned sessions cannot be together.
        """
        own = gains[self._numbers]
        apt = np.flatnonzero(own > 0).tolist()
        chosen = self._share.chosen
        self._share.model.maximize(
            cp_model.LinearExpr.weighted_sum([chosen[n] for n in apt], own[apt].tolist())
        )
        solver = new_solver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = seed
        solver.parameters.linearization_level = 2
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_presolve_iterations = 1
        solver.parameters.symmetry_level = 0
        solver.parameters.max_deterministic_time = STEPS_EACH
        solver.parameters.max_time_in_seconds = max(0.05, clock)
        status = solver.solve(self._share.model)
        if status == cp_model.INFEASIBLE:
            return None
        is_cut = was_cut(solver, status, STEPS_EACH)
        least = max(LEAST_STEPS, SLOT_STEPS * len(self._numbers))
        steps = max(least, float(solver.response_proto.deterministic_time))
        all_of_them = int(own[apt].sum())
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return Filled(all_of_them, (), steps, is_cut)
        taken = sorted(self._numbers[n] for n in apt if solver.boolean_value(chosen[n]))
        most = min(all_of_them, int(np.ceil(solver.best_objective_bound - 1e-6)))
        return Filled(most, tuple(taken), steps, is_cut)
