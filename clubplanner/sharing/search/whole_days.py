"""Bettering a plan by whole days: all of some days is placed anew, the other days stay.

With the others held, two days of a club of 40 squads are mostly searched to the end in 0.1 steps
and three in 0.2 to 3; a few squads freed on all days (`polish.py`) find less for as many.

Left out, as no plan was better after it: whole days as blocks with prices between them instead of
evenings of pitches (the same bound); other plans that place as much, by points drawn by chance;
refilling (`places/refilling.py`) from there; the solver's own neighbourhoods. An integer program of
who trains on which day, with each day's prices as its rows, was not solved in time.
"""

from __future__ import annotations

import random
from concurrent.futures import ThreadPoolExecutor
from itertools import combinations, islice
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.model.solvers import new_solver

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator, Sequence

    from clubplanner.sharing.model.model import ShareModel
    from clubplanner.sharing.values.budget import Budget

FEWEST_FREED = 2
"""Days freed at once at first; one more where no choice of so many betters the plan."""
STEPS_EACH = 3.0
"""Steps that one choice of days may take."""
ROW_STEPS = 2e-5
"""Steps that a choice counts for each slot of the whole: about as long as its model takes."""


class Freed:
    """Which days to free next: small choices before large ones, each once unless a plan is better.

    A choice that was searched to its end without a gain gains nothing until the plan changes.
    """

    def __init__(self, days: Collection[int], seed: int) -> None:
        """Begin with the smallest choices.

        Args:
            days: The days; all of them are never freed, which is the whole model.
            seed: Of the order within a size.
        """
        self._days = sorted(days)
        self._chance = random.Random(seed)  # noqa: S311 - a search, nothing secret
        self._left = self._all()

    def better(self) -> None:
        """Begin again: the plan is another one."""
        self._left = self._all()

    def next(self) -> frozenset[int] | None:
        """Return the days to free; None where every choice has been tried."""
        return next(self._left, None)

    def _all(self) -> Iterator[frozenset[int]]:
        for size in range(FEWEST_FREED, len(self._days)):
            choices = list(combinations(self._days, size))
            self._chance.shuffle(choices)
            yield from map(frozenset, choices)


class WholeDays:
    """Betters a plan by the model of the whole, which has its aim, with some days freed."""

    def __init__(
        self,
        share: ShareModel,
        budget: Budget,
        plan: Callable[[], Collection[int]],
        adopt: Callable[[Sequence[int]], list[tuple[int, int]]],
    ) -> None:
        """Remember what to work on.

        Args:
            share: The model of the whole.
            budget: Gets the steps taken; its clock is kept.
            plan: Returns the slots of the best plan.
            adopt: Takes chosen slots as the plan if they are better, and returns the pitches and
                days that could not be laid out; those get exact rows.
        """
        self._share = share
        self._budget = budget
        self._plan = plan
        self._adopt = adopt

    def run(self, until: float, clock: float, value: Callable[[], int], enough: int) -> None:
        """Free days as long as there is time.

        Args:
            until: Up to so many steps of the budget.
            clock: Until so many of its seconds are left.
            value: Returns what the plan comes to; days are freed anew where that is more.
            enough: No plan comes to more.
        """
        budget = self._budget
        freed = Freed(set(self._share.slots.day.tolist()), budget.effort.seed)
        reached = value()
        while reached < enough and budget.steps < until and budget.left > 0:
            if budget.clock_left <= clock:
                budget.is_cut = True
                return
            choices = list(islice(iter(freed.next, None), budget.effort.workers))
            if not choices:
                return
            failed = [place for chosen in self._solve(choices) for place in self._adopt(chosen)]
            for place in failed:
                self._share.add_detail(*place)
            if failed or value() > reached:
                freed.better()
            reached = value()

    def _solve(self, choices: Sequence[frozenset[int]]) -> list[list[int]]:
        """Place choices of days anew, each by itself, as many at once as there are workers."""
        plan = set(self._plan())
        with ThreadPoolExecutor(len(choices)) as pool:
            found = list(pool.map(lambda freed: self._solve_one(plan, freed), choices))
        self._budget.steps += sum(steps for _, steps in found)
        return [chosen for chosen, _ in found if chosen]

    def _solve_one(self, plan: set[int], freed: frozenset[int]) -> tuple[list[int], float]:
        share, budget = self._share, self._budget
        model = with_others_held(share, plan, freed)
        solver = new_solver()
        solver.parameters.num_workers = 1
        solver.parameters.random_seed = budget.effort.seed
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = STEPS_EACH
        solver.parameters.max_time_in_seconds = max(0.05, budget.clock_left)
        with budget.brake.holding(solver):
            status = solver.solve(model)
        steps = ROW_STEPS * len(share.chosen) + float(solver.response_proto.deterministic_time)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return [], steps
        chosen = [n for n, item in enumerate(share.chosen) if solver.boolean_value(item)]
        return chosen, steps


def with_others_held(share: ShareModel, plan: set[int], freed: frozenset[int]) -> cp_model.CpModel:
    """Return the model with a plan as its hint, and as it is on the days that are not freed.

    Args:
        share: The model of the whole, with its aim.
        plan: Slots of the plan.
        freed: Indices of the days that are free.
    """
    model = share.model.clone()
    model.clear_hints()  # type: ignore[no-untyped-call]
    days = share.slots.day.tolist()
    for slot, (variable, day) in enumerate(zip(share.chosen, days, strict=True)):
        twin = model.get_bool_var_from_proto_index(variable.index)
        if day in freed:
            model.add_hint(twin, slot in plan)
        else:
            model.add(twin == (slot in plan))
    return model
