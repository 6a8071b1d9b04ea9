"""Running the search: one aim after the other, within a measured effort.

Effort is counted in the search's own steps, which do not depend on how busy the machine is; the
clock only stops what has gone badly wrong.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.brake import Brake
from clubplanner.sharing.candidates import placement_of
from clubplanner.sharing.layout import lay_out, salvage
from clubplanner.sharing.levels import (
    COMPACT,
    COST,
    FAIRNESS,
    PLACING,
    SIGNS,
    WISHES,
    WORST_OFF,
    gap_of,
    level_names,
)
from clubplanner.sharing.occupancy import fill_plan
from clubplanner.sharing.outcome import Level, Progress

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing.candidates import Candidates
    from clubplanner.sharing.model import ShareModel
    from clubplanner.sharing.problem import Effort, Placement
    from clubplanner.sharing.slots import Slots
    from clubplanner.sharing.terrain import Terrain

STEPS_A_SECOND = 0.5
"""Search steps (the solver's deterministic time) taken as a second: a rough average."""
CLOCK_SLACK = 1.5
"""The clock stops the search at this many times the seconds asked for."""
PARTS = {PLACING: 0.5, WORST_OFF: 0.4, FAIRNESS: 0.4, WISHES: 0.7, COST: 0.7}
"""Part of the steps still left that each aim may use; the last one may use all."""


@dataclass(slots=True)
class Budget:
    """What is left of an effort.

    Attributes:
        effort: The whole.
        steps: Steps used.
        started: When it began, on a stopwatch.
        is_cut: Whether the clock or the brake stopped a search.
        brake: Once pulled, nothing is left.
    """

    effort: Effort
    steps: float = 0.0
    started: float = field(default_factory=time.perf_counter)
    is_cut: bool = False
    brake: Brake = field(default_factory=Brake)

    @property
    def seconds(self) -> float:
        """Seconds gone by."""
        return time.perf_counter() - self.started

    @property
    def all_steps(self) -> float:
        """Steps allowed in all."""
        return self.effort.seconds * STEPS_A_SECOND

    @property
    def left(self) -> float:
        """Steps left."""
        if self.brake.is_pulled:
            return 0.0
        return max(0.0, self.all_steps - self.steps)

    @property
    def clock_left(self) -> float:
        """Seconds left before the clock stops everything."""
        if self.brake.is_pulled:
            return 0.0
        return max(0.0, self.effort.seconds * CLOCK_SLACK - self.seconds)


@dataclass(frozen=True, slots=True)
class Plan:
    """Chosen slots with the place of each one's ground among its own."""

    picks: dict[int, int]


class Search:
    """Works through the aims of a model, keeping the best plan that can be laid out."""

    def __init__(
        self,
        terrain: Terrain,
        candidates: Candidates,
        slots: Slots,
        share: ShareModel,
        budget: Budget,
        on_progress: Callable[[Progress], None] | None,
    ) -> None:
        self.terrain = terrain
        self.candidates = candidates
        self.slots = slots
        self.share = share
        self.budget = budget
        self.on_progress = on_progress
        self.plan: Plan | None = None
        self.levels: list[Level] = []
        self.names = level_names(terrain.problem)
        self.is_infeasible = False

    def run(self) -> None:
        """Work through all aims, starting from a plan made one session at a time."""
        self._adopt([])
        for name in self.names:
            part = 1.0 if name == self.names[-1] else PARTS[name]
            level = self._work(name, self.budget.left * part)
            if level is None:
                break
            self.levels.append(level)
            aim, model = self.share.aim(name), self.share.model
            model.add(aim >= level.value) if SIGNS[name] > 0 else model.add(aim <= level.value)
        self._renew_levels()

    def _renew_levels(self) -> None:
        """Measure the last plan on each aim; work on a later one may have bettered it."""
        for number, level in enumerate(self.levels):
            self.levels[number] = self._level(level.name, level.bound) or level

    def placements(self) -> tuple[Placement, ...]:
        """Return the best plan, sessions numbered by day, pinned ones as they were."""
        candidates = self.candidates
        if self.plan is None:
            return ()
        rows = sorted(
            (self.slots.rows[slot][pick] for slot, pick in self.plan.picks.items()),
            key=lambda row: (
                int(candidates.day[row]),
                int(candidates.start[row]),
                int(candidates.ground[row]),
            ),
        )
        taken: dict[int, set[int]] = {}
        for row in rows:
            if candidates.session[row] >= 0:
                taken.setdefault(int(candidates.ask[row]), set()).add(int(candidates.session[row]))
        found = []
        for row in rows:
            session = int(candidates.session[row])
            if session < 0:
                used = taken.setdefault(int(candidates.ask[row]), set())
                session = next(n for n in range(len(used) + 1) if n not in used)
                used.add(session)
            found.append(placement_of(self.terrain, candidates, row, session))
        return tuple(found)

    def _work(self, name: str, allowed: float) -> Level | None:
        """Work on one aim until it is proved or its steps are used up."""
        model, sign, aim = self.share.model, SIGNS[name], self.share.aim(name)
        model.maximize(aim) if sign > 0 else model.minimize(aim)
        ends = {PLACING: self.share.aims.most_points, WORST_OFF: 100, FAIRNESS: 0, COMPACT: 0}
        bound = ends.get(name)
        is_open = not self._reaches(name, bound)
        until = self.budget.steps + allowed
        while is_open:
            left = min(until - self.budget.steps, self.budget.left)
            solver, status = self._solve(name, left)
            if status == cp_model.INFEASIBLE:
                self.is_infeasible = True
                return None
            if status == cp_model.UNKNOWN:
                break
            bound = _tighter(bound, solver.best_objective_bound, sign)
            chosen = [n for n, var in enumerate(self.share.chosen) if solver.boolean_value(var)]
            failed = self._adopt(chosen)
            fresh = [place for place in failed if place not in self.share.detailed]
            for pitch, day in fresh:
                self.share.add_detail(pitch, day)
            is_open = bool(fresh) and self.budget.left > 0 and self.budget.steps < until
            is_open = is_open and not self._reaches(name, bound)
        return self._level(name, bound)

    def _reaches(self, name: str, bound: int | None) -> bool:
        """Whether the plan kept is as good as any can be on an aim."""
        return self.plan is not None and self.share.values(sorted(self.plan.picks))[name] == bound

    def _solve(self, name: str, steps: float) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
        self._hint()
        effort = self.budget.effort
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = effort.workers
        solver.parameters.random_seed = effort.seed
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = max(0.01, steps)
        solver.parameters.max_time_in_seconds = max(0.05, self.budget.clock_left)
        if effort.workers > 1:
            solver.parameters.extra_subsolvers.append("max_lp")
        watch = _Watch(self, self.names.index(name), solver)
        with self.budget.brake.holding(solver):
            status = solver.solve(self.share.model, watch)
        watch.raise_again()
        if self.budget.clock_left <= 0:
            self.budget.is_cut = True
        self.budget.steps += max(0.001, float(solver.response_proto.deterministic_time))
        return solver, status

    def _hint(self) -> None:
        model = self.share.model
        model.clear_hints()  # type: ignore[no-untyped-call]
        if self.plan is not None:
            for slot, variable in enumerate(self.share.chosen):
                model.add_hint(variable, slot in self.plan.picks)

    def _adopt(self, chosen: Sequence[int]) -> list[tuple[int, int]]:
        """Lay out chosen slots and keep them if they are the best so far."""
        picks, failed = lay_out(self.terrain, self.slots, chosen)
        if failed:
            picks.update(salvage(self.terrain, self.slots, chosen, failed))
        picks = self._fill(picks)
        if self.plan is None or self._rank(picks) > self._rank(self.plan.picks):
            self.plan = Plan(picks)
        return failed

    def _fill(self, picks: dict[int, int]) -> dict[int, int]:
        """Add sessions for which there is room in a plan as it is."""
        kept = [self.slots.rows[slot][pick] for slot, pick in picks.items()]
        rows = set(fill_plan(self.terrain, self.candidates, kept).tolist())
        return {
            slot: pick
            for slot, own in enumerate(self.slots.rows)
            for pick, row in enumerate(own)
            if row in rows
        }

    def _rank(self, picks: dict[int, int]) -> tuple[int, ...]:
        values = self.share.values(sorted(picks))
        return tuple(SIGNS[name] * values[name] for name in self.names)

    def _level(self, name: str, bound: int | None) -> Level | None:
        if self.plan is None or bound is None:
            return None
        value = self.share.values(sorted(self.plan.picks))[name]
        bound = max(value, bound) if SIGNS[name] > 0 else min(value, bound)
        gap = gap_of(name, value, bound, self.share.values([])[FAIRNESS])
        return Level(name, value, bound, value == bound, gap)


class _Watch(cp_model.CpSolverSolutionCallback):
    """Passes the search's progress on; what the receiver raises stops the search first."""

    def __init__(self, search: Search, number: int, solver: cp_model.CpSolver) -> None:
        super().__init__()
        self._search = search
        self._number = number
        self._solver = solver
        self._value: int | None = None
        self._bound: int | None = None
        self._error: BaseException | None = None
        if search.on_progress is not None:
            solver.best_bound_callback = self._on_bound

    def on_solution_callback(self) -> None:
        self._value = round(self.objective_value)
        self._tell(self.best_objective_bound)

    def _on_bound(self, bound: float) -> None:
        self._tell(bound)

    def _tell(self, bound: float) -> None:
        report = self._search.on_progress
        if report is None or self._error is not None:
            return
        self._bound = round(bound) if abs(bound) < 1e15 else None
        budget = self._search.budget
        used = max(budget.steps / budget.all_steps, budget.seconds / budget.effort.seconds)
        progress = Progress(
            self._number + 1,
            len(self._search.names),
            self._value,
            self._bound,
            float(min(1.0, used)),
            self._search.names[self._number],
        )
        try:
            report(progress)
        except BaseException as error:
            self._error = error
            self._solver.stop_search()

    def raise_again(self) -> None:
        """Raise what the receiver of progress raised, if anything."""
        if self._error is not None:
            raise self._error


def _tighter(bound: int | None, found: float, sign: int) -> int | None:
    if abs(found) > 1e15:
        return bound
    whole = int(np.floor(found + 1e-6)) if sign > 0 else int(np.ceil(found - 1e-6))
    if bound is None:
        return whole
    return min(bound, whole) if sign > 0 else max(bound, whole)
