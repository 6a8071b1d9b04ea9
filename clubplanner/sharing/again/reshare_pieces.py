"""Bettering a re-share piece by piece: a few squads are freed, the rest stays, kept if better.

Two kinds of piece take turns. In one all others are where they were before the change; in the other
they are where the best plan has them. Pieces grow when they are exhausted without being better.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.model.solvers import new_solver, was_cut

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing.again.reshare_model import ReshareModel
    from clubplanner.sharing.values.budget import Budget

FEWEST_FREED = 6
MANY_DISTURBED = 10
"""With more squads disturbed, only some of them are freed at a time."""
A_PIECE = 0.04
"""Part of the steps left that one piece may use."""
PATIENCE = 40
"""Pieces in a row that may be of no use."""


class Pieces:
    """Betters plans of a re-share on the aim that its model has, which knows all places."""

    def __init__(
        self,
        model: ReshareModel,
        budget: Budget,
        rank: Callable[[list[int]], tuple[int, ...]],
    ) -> None:
        self.model = model
        self.budget = budget
        self.rank = rank
        self._chance = random.Random(budget.effort.seed)  # noqa: S311 - a search, nothing secret
        places = model.places
        asks = places.terrain.problem.asks
        self._owner = [asks[ask].squad for ask in places.rows.ask.tolist()]
        self._squads = sorted(set(self._owner))

    def better(self, plan: list[int], part: float) -> list[int]:
        """Better a plan, using at most a part of the steps left.

        Args:
            plan: Numbers of the chosen rows.
            part: Part of the steps left.

        Returns:
            The best plan found; the same for the same seed and steps.
        """
        until = self.budget.steps + part * self.budget.left
        steps = A_PIECE * self.budget.left
        size, idle, number = FEWEST_FREED, 0, 0
        while self.budget.steps < until and idle < PATIENCE:
            if self.budget.clock_left <= 0:
                self.budget.is_cut = True
                break
            disturbed = self.model.places.disturbed_by(plan)
            is_nearby = number % 2 == 1 or len(disturbed) > MANY_DISTURBED
            piece = self._piece(plan, disturbed, size, is_nearby=is_nearby)
            found, is_exhausted = self._solve(piece, plan, min(steps, until - self.budget.steps))
            number, idle = number + 1, idle + 1
            if found and self.rank(found) > self.rank(plan):
                plan, idle = found, 0
            elif is_exhausted:
                size = min(size + 1, len(self._squads))
            else:
                size = max(FEWEST_FREED - 2, size - 1)
        return plan

    def _piece(
        self, plan: list[int], disturbed: set[str], size: int, *, is_nearby: bool
    ) -> cp_model.CpModel:
        piece = self.model.share.model.clone()
        if is_nearby:
            apt = sorted(disturbed | self.model.places.hit)
            freed = {*self._some(apt, size + 2), *self._some(self._squads, 2)}
            for row in plan:
                if self._owner[row] not in freed:
                    piece.add(_twin(piece, self.model.share.chosen[row]) == 1)
            return piece
        kept = sorted(set(self.model.changed) - disturbed)
        freed = disturbed | set(self._some(kept, size))
        for squad, changed in self.model.changed.items():
            if squad not in freed:
                piece.add(_twin(piece, changed) == 0)
        return piece

    def _solve(
        self, piece: cp_model.CpModel, plan: list[int], steps: float
    ) -> tuple[list[int], bool]:
        """Solve a piece from the plan on; also tell whether nothing better is left in it."""
        twins = [_twin(piece, variable) for variable in self.model.share.chosen]
        chosen = set(plan)
        piece.clear_hints()  # type: ignore[no-untyped-call]
        for row, twin in enumerate(twins):
            piece.add_hint(twin, row in chosen)
        solver = new_solver()
        solver.parameters.num_workers = self.budget.effort.workers
        solver.parameters.random_seed = self.budget.effort.seed
        solver.parameters.linearization_level = 2
        solver.parameters.cp_model_probing_level = 0
        solver.parameters.max_deterministic_time = max(0.01, steps)
        solver.parameters.max_time_in_seconds = max(0.05, self.budget.clock_left)
        with self.budget.brake.holding(solver):
            status = solver.solve(piece)
        self.budget.is_cut |= was_cut(solver, status, max(0.01, steps))
        self.budget.steps += max(0.001, float(solver.response_proto.deterministic_time))
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return [], status == cp_model.INFEASIBLE
        found = [row for row, twin in enumerate(twins) if solver.boolean_value(twin)]
        return found, status == cp_model.OPTIMAL

    def _some(self, squads: list[str], count: int) -> list[str]:
        return self._chance.sample(squads, min(count, len(squads)))


def _twin(piece: cp_model.CpModel, variable: cp_model.IntVar) -> cp_model.IntVar:
    """Return a variable of the whole model in its copy."""
    return piece.get_bool_var_from_proto_index(variable.index)
