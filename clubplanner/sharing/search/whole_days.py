"""Bettering a plan by whole days: all of some days is placed anew, the other days stay.

With the others held, two days of 40 squads on 4 pitches, half over-asked, are searched to the end
in 0.1 to 0.3 steps, and a few squads freed on all days (`polish.py`) find less for as many. A fifth
over-asked they take 0.7 to more than 3 steps; it then ends soon, the rest is for the polish.

Left out, as it gained nothing on the one or two clubs that it was tried on: whole days of all
pitches in place of evenings of one, with prices between them (no lower bound); other plans that
place as much, drawn by chance; refilling (`places/refilling.py`) from there; the solver's own
neighbourhoods. An integer program of who trains on which day, with each day's prices as its rows,
was not solved in 15 s.
"""

from __future__ import annotations

import random
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import combinations, islice
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.model.solvers import new_solver, was_cut

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterator, Sequence

    from clubplanner.sharing.model.model import ShareModel
    from clubplanner.sharing.values.budget import Budget

FEWEST_FREED = 2
"""Days freed at once at first; one more where no choice of so many betters the plan."""
STEPS_EACH = 0.6
"""Steps that one choice of days may take."""
MOST_OPEN = 2
"""After so many choices that were not searched to their end, with no better plan, days are too much
for this club at once."""
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
        reached, open_ = value(), 0
        while reached < enough and open_ < MOST_OPEN and budget.steps < until and budget.left > 0:
            if budget.clock_left <= clock:
                budget.is_cut = True
                return
            choices = list(islice(iter(freed.next, None), budget.effort.workers))
            if not choices:
                return
            tried = self._solve(choices)
            failed = [place for one in tried if one.slots for place in self._adopt(one.slots)]
            for place in failed:
                self._share.add_detail(*place)
            open_ += sum(not one.is_done for one in tried)
            if failed or value() > reached:
                freed.better()
                open_ = 0
            reached = value()

    def _solve(self, choices: Sequence[frozenset[int]]) -> list[Tried]:
        """Place choices of days anew, each by itself, as many at once as there are workers."""
        plan = set(self._plan())
        with ThreadPoolExecutor(len(choices)) as pool:
            tried = list(pool.map(lambda freed: self._solve_one(plan, freed), choices))
        self._budget.steps += sum(one.steps for one in tried)
        return tried

    def _solve_one(self, plan: set[int], freed: frozenset[int]) -> Tried:
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
        budget.is_cut |= was_cut(solver, status, STEPS_EACH)
        steps = ROW_STEPS * len(share.chosen) + float(solver.response_proto.deterministic_time)
        found = status in (cp_model.OPTIMAL, cp_model.FEASIBLE)
        slots = [n for n, item in enumerate(share.chosen) if found and solver.boolean_value(item)]
        return Tried(slots, steps, status in (cp_model.OPTIMAL, cp_model.INFEASIBLE))


@dataclass(frozen=True, slots=True)
class Tried:
    """What came of a choice of days: chosen slots, steps, and whether it was searched through."""

    slots: list[int]
    steps: float
    is_done: bool


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
