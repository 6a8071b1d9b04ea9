"""Running the search: one aim after the other, within a measured effort."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.model.aim_book import aim_named, level_names
from clubplanner.sharing.model.layout import lay_out, salvage
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.plan_worth import PlanWorth
from clubplanner.sharing.model.solvers import new_solver, was_cut
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.placements import placements_of_rows
from clubplanner.sharing.places.plans_to_go_on_from import sound_rows
from clubplanner.sharing.search.narrowing import narrow
from clubplanner.sharing.search.placing import Placing
from clubplanner.sharing.search.polish import Polisher
from clubplanner.sharing.search.watch import Watch
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import Progress, Traded

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.budget import Budget
    from clubplanner.sharing.values.outcome import Level
    from clubplanner.sharing.values.problem import Placement

RELAX_BEFORE_EVENINGS = 0.12
"""Part of the steps still left that placing may use on the model of the whole where whole evenings
of pitches are worked on after it."""
REPAIRS = 3
REPAIR_STEPS, REPAIR_CLOCK = 3.0, 0.1
"""How often, with how many steps each and which part of the time left at most, a plan that cannot
be laid out is put right."""
LEAST_STEPS = 1.0
"""With fewer steps left the model of the whole is not taken up again."""
MOST_SLOTS = 40_000
MODEL_SLOTS_A_SECOND = 8_000
"""With more slots than the one, or for each second of the effort than the other, there is no model
of the whole."""


class Search:
    """Works through the aims of a problem, keeping the best plan that can be laid out.

    Attributes:
        rows: The best plan, as numbers of candidates.
        levels: Each aim that was worked on.
        names: The aims.
        before: What the plan had before days and evenings were worked on; empty until then.
        best: What each ask could have alone.
        starts: Plans that it began with.
    """

    def __init__(
        self,
        terrain: Terrain,
        candidates: Candidates,
        slots: Slots,
        best: NDArray[np.int64],
        budget: Budget,
        on_progress: Callable[[Progress], None] | None,
    ) -> None:
        self.terrain = terrain
        self.candidates = candidates
        self.slots = slots
        self.budget = budget
        self.on_progress = on_progress
        self.levels: list[Level] = []
        self.names = level_names(terrain.problem)
        self.worth = PlanWorth(terrain, slots, best)
        self.share: ShareModel | None = None
        self.rows: frozenset[int] = frozenset()
        self.before: dict[str, int] = {}
        self.best = best
        self.starts: list[frozenset[int]] = []
        self._polisher = Polisher(terrain, candidates, slots, best, self.worth, budget)
        self._slot_of = self._polisher.slot_of
        self._placing = Placing(self)

    def run(self, start: Sequence[int] = ()) -> None:
        """Work through all aims, starting from a plan made one session at a time.

        Args:
            start: Rows of a plan to go on from, if it is the better one; none in another's way.
        """
        starts = [
            fill_plan(self.terrain, self.candidates, cheapest_first=it) for it in (False, True)
        ]
        if start:
            starts.append(fill_plan(self.terrain, self.candidates, start))
        self.starts = [frozenset(rows.tolist()) for rows in starts]
        self.rows = max(self.starts, key=lambda rows: self.worth.rank(self.slots_of(rows)))
        self._refill()
        self._write_model()
        for name in self.names:
            aim = aim_named(name)
            if aim.is_of_week and not self.before:
                self.before = self.values()
            polish_part = aim.polish_part
            by_evenings = name == PLACING and self.share is not None and self._placing.has_time
            part = RELAX_BEFORE_EVENINGS if by_evenings else aim.relax_part
            is_left_out = by_evenings and self._placing.is_wide
            found = self.worth.most()[name] if is_left_out else self._bound_whole(name, part)
            if found is None:
                return
            bound = self.worth.attained(name, found)
            if by_evenings and not self.reaches(name, bound):
                bound, polish_part = self._placing.run(bound, polish_part)
            if not self.reaches(name, bound):
                self.polish(name, bound, polish_part)
            if name == self.names[-1]:
                bound = self._go_on(name, bound)
            level = self._level(name, bound)
            self.levels.append(level)
            self.note(name)(level.value, level.bound)
            if self.share is not None:
                aim.keep(self.share, level.value)
        for number, level in enumerate(self.levels):  # a later aim may have bettered an earlier
            self.levels[number] = self._level(level.name, level.bound)

    def traded(self) -> tuple[Traded, ...]:
        """Tell what wishes, days, evenings and cost had before the week was worked on, and have."""
        names = [name for name in self.names if aim_named(name).is_traded]
        now = self.values()
        return tuple(Traded(name, self.before[name], now[name]) for name in names if self.before)

    def placements(self) -> tuple[Placement, ...]:
        """Return the best plan, sessions numbered by day, pinned ones as they were."""
        return placements_of_rows(self.terrain, self.candidates, self.rows)

    def _write_model(self) -> None:
        """Write the model of the whole where that can be done, and there is time for it."""
        if self._is_late or len(self.slots) > min(
            MOST_SLOTS, MODEL_SLOTS_A_SECOND * self.budget.effort.seconds
        ):
            return
        self.share = ShareModel(self.terrain, self.slots, self.best, self.candidates)

    @property
    def _is_late(self) -> bool:
        """Whether the clock or the brake ends the search; it then counts as cut."""
        is_late = self.budget.clock_left <= 0
        self.budget.is_cut |= is_late
        return is_late

    def _refill(self) -> None:
        """Better the first plan before there is a model, and tell of it."""
        most = self.worth.most()[PLACING]
        if not self.reaches(PLACING, most):
            self._placing.refill(most)
            self.starts.append(self.rows)
        self.note(PLACING)(self.values()[PLACING], most)

    def _bound_whole(self, name: str, part: float) -> int | None:
        """Work on an aim with the model of the whole, for a part of what is left.

        Returns:
            What no plan can pass; None where there is no plan at all.
        """
        points = 0 if name == PLACING else self.values()[PLACING]
        bound, sign, share = self.worth.most(points)[name], aim_named(name).sign, self.share
        if share is None or self.reaches(name, bound) or self._is_late:
            return bound
        if aim_named(name).is_narrowed:
            bound = narrow(self, share, name, bound)
            if self.reaches(name, bound):
                return bound
        aim = share.aim(name)
        share.model.maximize(aim) if sign > 0 else share.model.minimize(aim)
        until = self.budget.steps + self.budget.left * part
        is_open = True
        while is_open:
            left = min(until - self.budget.steps, self.budget.left)
            clock = self.budget.clock_left * part
            solver, status = self.solve(share.model, name, left, clock)
            if status == cp_model.INFEASIBLE:
                return None
            if status == cp_model.UNKNOWN:
                break
            bound = _tighter(bound, solver.best_objective_bound, sign)
            bound = self.worth.attained(name, bound)
            chosen = [n for n, var in enumerate(share.chosen) if solver.boolean_value(var)]
            is_as_good = self.adopt_and_repair(name, chosen, bound)
            is_open = not is_as_good and self.budget.steps < until and self.budget.left > 0
            is_open = is_open and not self.reaches(name, bound)
        return bound

    def _go_on(self, name: str, bound: int) -> int:
        """Spend what the last aim left on the model of the whole, which may still prove it."""
        left = self.budget.left
        if self.share is None or left < LEAST_STEPS or self.reaches(name, bound):
            return bound
        found = self._bound_whole(name, 1.0)
        return bound if found is None else _tighter(bound, found, aim_named(name).sign)

    def adopt_and_repair(self, name: str, chosen: Sequence[int], bound: int) -> bool:
        """Keep chosen slots if they are the best so far; put right what cannot be laid out.

        Those whose ground could not be laid out are placed anew, with exact rows for it. The model
        of the whole gets these rows only where nothing as good is found with them, since they make
        every later search slower.

        Args:
            name: The aim that is worked on.
            chosen: Numbers of slots.
            bound: A value of the aim that no plan can pass.

        Returns:
            Whether the plan kept is as good on the aim as what was chosen.
        """
        share, sought = self.share, self.worth.values(sorted(chosen))[name]
        failed, where = self.adopt(chosen), set[tuple[int, int]]()
        for _ in range(REPAIRS):
            where.update(failed)
            if share is None or not failed or self.budget.left <= 0:
                break
            free = {
                int(self.slots.ask[n])
                for n in chosen
                if (int(self.slots.pitch[n]), int(self.slots.day[n])) in where
            }
            model = share.with_only(free, set(chosen), where)
            clock = self.budget.clock_left * REPAIR_CLOCK
            solver, status = self.solve(model, name, REPAIR_STEPS, clock, bound)
            if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
                break
            chosen = [n for n, var in enumerate(share.chosen) if solver.boolean_value(var)]
            failed = self.adopt(chosen)
        sign = aim_named(name).sign
        is_as_good = sign * self.values()[name] >= sign * sought
        if share is not None and not is_as_good:
            for pitch, day in sorted(where):
                share.add_detail(pitch, day)
        return is_as_good

    def polish(self, name: str, bound: int, part: float, clock_part: float | None = None) -> None:
        """Better the plan piece by piece, for a part of the steps, and of the time, left."""
        is_end = name == self.names[-1] and self.share is None
        self._polisher.adopt(self.rows)
        self._polisher.run(name, 1.0 if is_end else part, bound, self.note(name), clock_part)
        self.rows = frozenset(self._polisher.rows)

    def note(self, name: str) -> Callable[[int, int], None]:
        """Return what tells value and bound of a plan bettered piece by piece."""

        def note(value: int, bound: int) -> None:
            if self.on_progress is not None:
                number, used = self.names.index(name), self.budget.used
                self.on_progress(Progress(number + 1, len(self.names), value, bound, used, name))

        return note

    def values(self) -> dict[str, int]:
        """Compute what the plan comes to on each aim."""
        return self.worth.values(self.slots_of(self.rows))

    def slots_of(self, rows: Iterable[int]) -> list[int]:
        """List the slots of some candidates, in order."""
        return sorted(self._slot_of[sorted(rows)].tolist())

    def reaches(self, name: str, bound: int) -> bool:
        """Whether the plan kept is as good as any can be on an aim."""
        return self.values()[name] == bound

    def solve(
        self,
        model: cp_model.CpModel,
        name: str,
        steps: float,
        clock: float,
        known: int | None = None,
    ) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
        """Solve a model, beginning near the best plan.

        Args:
            model: One with the variables of the model of the whole.
            name: The aim that is worked on.
            steps: How many steps it may take.
            clock: How many seconds it may take.
            known: What no plan can pass, where the model has only some of all plans; None where it
                has all.
        """
        self._hint(model)
        effort = self.budget.effort
        solver = new_solver()
        solver.parameters.num_workers = effort.workers
        solver.parameters.random_seed = effort.seed
        solver.parameters.linearization_level = 2
        solver.parameters.max_deterministic_time = max(0.01, steps)
        solver.parameters.max_time_in_seconds = max(0.05, clock)
        if effort.workers > 1:
            solver.parameters.extra_subsolvers.append("max_lp")
        watch = Watch(self, self.names.index(name), solver, known)
        with self.budget.brake.holding(solver):
            status = solver.solve(model, watch)
        watch.raise_again()
        self.budget.is_cut |= self.budget.clock_left <= 0 or solver.wall_time >= clock
        self.budget.is_cut |= was_cut(solver, status, max(0.01, steps))
        self.budget.steps += max(0.001, float(solver.response_proto.deterministic_time))
        return solver, status

    def _hint(self, model: cp_model.CpModel) -> None:
        if self.share is None:
            return
        model.clear_hints()  # type: ignore[no-untyped-call]
        chosen = set(self.slots_of(self.rows))
        for slot, variable in enumerate(self.share.chosen):
            twin = model.get_bool_var_from_proto_index(variable.index)
            model.add_hint(twin, slot in chosen)

    def adopt(self, chosen: Sequence[int]) -> list[tuple[int, int]]:
        """Lay out chosen slots and keep them if they are the best so far.

        Returns:
            The pitches and days that could not be laid out.
        """
        rows, failed = self.laid_out(chosen)
        self.keep(rows)
        return failed

    def laid_out(self, chosen: Sequence[int]) -> tuple[frozenset[int], list[tuple[int, int]]]:
        """Make a sound plan of chosen slots, with whoever else then has room.

        Returns:
            Its rows, and the pitches and days that could not be laid out.
        """
        picks, failed = lay_out(self.terrain, self.slots, chosen)
        if failed:
            picks.update(salvage(self.terrain, self.slots, chosen, failed))
        laid = sorted(self.slots.rows[slot][pick] for slot, pick in picks.items())
        kept = sound_rows(self.terrain, self.candidates, laid)
        rows = frozenset(fill_plan(self.terrain, self.candidates, kept).tolist())
        return rows, failed

    def keep(self, rows: frozenset[int]) -> None:
        """Take a plan if it is the best so far."""
        if self.worth.rank(self.slots_of(rows)) > self.worth.rank(self.slots_of(self.rows)):
            self.rows = rows

    def _level(self, name: str, bound: int) -> Level:
        return self.worth.level(name, self.values()[name], bound)


def _tighter(bound: int, found: float, sign: int) -> int:
    if abs(found) > 1e15:
        return bound
    whole = int(np.floor(found + 1e-6)) if sign > 0 else int(np.ceil(found - 1e-6))
    return min(bound, whole) if sign > 0 else max(bound, whole)
