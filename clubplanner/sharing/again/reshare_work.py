"""The search of a re-share: its aims one after the other, near the standing plan first.

Plans near the standing one are looked at before all others: those that disturb at most one squad,
then more. What they cannot use is left out (`reshare_reach.py`), so that their model is small and
solved to the end; what it proves holds for all plans, since every other plan is known to disturb
more squads. The same for the way that sessions move. Only where that does not end it, all places
are searched at once.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.language import marked
from clubplanner.sharing.again.reshare_fewest import AUTOMATIC, fewest_disturbed
from clubplanner.sharing.again.reshare_model import ReshareModel
from clubplanner.sharing.again.reshare_places import Places
from clubplanner.sharing.again.reshare_plans import first_plan, placements_of
from clubplanner.sharing.again.reshare_reach import NEVER, Reach
from clubplanner.sharing.again.reshare_sets import DisturbedSets
from clubplanner.sharing.again.reshare_week import Week
from clubplanner.sharing.model.solvers import new_solver, was_cut
from clubplanner.sharing.places.displacement import displacement
from clubplanner.sharing.places.refilling import refilled
from clubplanner.sharing.search.whole_days import WholeDays
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import Level, Progress

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.again.reshare_fewest import Branching
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.budget import Budget
    from clubplanner.sharing.values.problem import Placement

NAMES = (PLACING, marked("disturbing few squads"), marked("moving sessions little"))
"""The aims in order."""
NEAR_PART = 0.1
"""Part of the steps left for each search near the standing plan."""
MOST_NEAR = 3
"""Where not all can be placed, plans near are those that disturb at most so many squads."""
FILLED_PART, ALL_PART = 0.75, 0.6
"""Part of the steps left for the first two aims: where all can be placed, and where not."""
REFILL_PART, DAYS_PART = 0.1, 0.5
"""Part of the steps left for bettering a plan without a model before, and by whole days after."""
WAY_DAYS_PART, WAY_PART, WEEK_PART = 0.3, 0.7, 0.5
"""Part of the steps left for the way by whole days, for the way where days and evenings come after
it, and for each aim of those."""
FIRST_SLACK = 4
"""So much further than the least way that is known at once plans are looked at first."""
FEW_LEFT_OUT = 0.5
"""Where more than this part of the places is near, all are looked at."""


class Work:
    """Works through the aims of a re-share, keeping the best plan.

    Attributes:
        places: What it chooses from.
        plan: Numbers of the rows of the best plan.
        reach: Bounds by place, once it runs.
        levels: Each aim that was worked on.
    """

    def __init__(
        self,
        terrain: Terrain,
        standing: Sequence[Placement],
        budget: Budget,
        on_progress: Callable[[Progress], None] | None,
        known_most: int | None = None,
        pitches: Collection[str] | None = None,
    ) -> None:
        """Begin with what can stay.

        Args:
            terrain: The altered problem's columns.
            standing: The plan that stands.
            budget: How hard to try.
            on_progress: Told when an aim is done.
            known_most: No plan has more points in placing sessions, as is known beforehand.
            pitches: See `Places`.
        """
        self.terrain = terrain
        self._known_most = known_most
        self.budget = budget
        self.places = Places(terrain, standing, pitches)
        self.on_progress = on_progress
        self.levels: list[Level] = []
        self.week = Week(self.places)
        self.names = (*NAMES, *self.week.names)
        self.plan = first_plan(self.places)

    def run(self) -> None:
        """Work through all aims, the first two in one search."""
        if not len(self.places.rows):
            return
        most = self.places.worth.most()[PLACING]
        weight = len(set(self.places.owners) - self.places.hit) + 1
        self.reach = Reach(self.places)
        full, most = most, most if self._known_most is None else min(most, self._known_most)
        best = self._place_and_keep(weight, most, full)
        points, disturbed, *_unused = self.values(self.plan)
        # no plan has weight * points - disturbed above best, and fewer than weight are disturbed
        self._note(0, 1, min(most, (best + weight - 1) // weight))
        least = max(0, weight * points - best)
        self._note(1, -1, least)
        self._move_little(points == full, min(least, disturbed))
        for number, level in enumerate(self.levels):  # a later aim may have bettered an earlier
            self.levels[number] = self._level(number, 1 if number == 0 else -1, level.bound)

    def _place_and_keep(self, weight: int, most: int, full: int) -> int:
        """Work on the first two aims, a point above all squads; return the bound of both.

        Args:
            weight: More than all squads that can be disturbed.
            most: No plan has more points.
            full: Points where every ask has all sessions it has days for.
        """
        best = self._search_near(weight, most, is_full=most == full)
        if self._both(weight) < best and most == full:
            least = fewest_disturbed(self, weight * most - best, weight, FILLED_PART)
            best = weight * (most - 1) if least >= weight else weight * most - least
        if self._both(weight) < best and (self.values(self.plan)[0] < most or most < full):
            best = self._search_all(weight, most, best)
        return best

    def _search_all(self, weight: int, most: int, best: int) -> int:
        """Search all plans for both aims; return the bound of both."""
        rows = refilled(self.terrain, self.places.rows, self.plan, most, self.budget, REFILL_PART)
        self.plan = max(self.plan, rows, key=self._rank)
        model = ReshareModel(self.places)
        both = [weight * model.share.aims.points, -1 * model.disturbed]
        model.share.model.maximize(cp_model.LinearExpr.sum(both))
        found, is_done = self.search(model, float(best), ALL_PART)
        best = min(best, int(np.floor(found + 1e-6)))
        if not is_done:
            self.better_by_days(model, DAYS_PART, lambda: self._both(weight), best)
        return best

    def better_by_days(
        self, model: ReshareModel, part: float, value: Callable[[], int], enough: int
    ) -> None:
        """Better the plan by placing all of some days anew, in a model that has its aim.

        Args:
            model: The model.
            part: Part of the steps and seconds left.
            value: Returns what the plan comes to there.
            enough: No plan comes to more.
        """

        def adopt(chosen: Sequence[int]) -> list[tuple[int, int]]:
            self.plan = max(self.plan, model.rows_of(chosen), key=self._rank)
            return []

        budget = self.budget
        days = WholeDays(model.share, budget, lambda: model.numbers_of(self.plan), adopt)
        clock = (1 - part) * budget.clock_left
        days.run(budget.steps + part * budget.left, clock, value, enough)

    def _search_near(self, weight: int, most: int, *, is_full: bool) -> int:
        """Search plans that place as much as any can and disturb few squads, then more.

        Args:
            weight: More than all squads that can be disturbed.
            most: No plan has more points.
            is_full: Whether every ask has all sessions it has days for where a plan has so many.

        Returns:
            The bound of the first two aims. Where nobody who disturbs few can place all, every
            plan disturbs more squads, or has a point less, which counts above all squads.
        """
        best, limit = weight * most, 0
        while self._both(weight) < best and self.has_time():
            points, disturbed, *_unused = self.values(self.plan)
            if points == most:
                limit = min(limit, disturbed - 1)
            elif limit > MOST_NEAR:
                break
            apt = self.reach.within(limit, is_full=is_full)
            if is_full and limit > 1 and np.count_nonzero(apt) > FEW_LEFT_OUT * len(apt):
                break  # it would take as long as all plans
            near = ReshareModel(self.places, np.flatnonzero(apt))
            near.share.model.add(near.disturbed <= limit)
            if is_full:
                near.fill()
            else:
                near.share.model.add(near.share.aims.points >= most)
            near.share.model.minimize(near.disturbed)
            _bound, is_done = self.search(near, 0.0, NEAR_PART, workers=1)
            if not is_done:
                break
            best = max(self._both(weight), weight * most - limit - 1)
            limit = 2 * limit + 1
        return best

    def _move_little(self, is_full: bool, least_disturbed: int) -> None:
        """Work on the way and the aims after it, on places that plans as good can use."""
        disturbed, way = self.values(self.plan)[1:3]
        bound, apt = self._bound_way(is_full, least_disturbed)
        slack = FIRST_SLACK
        while way > bound:
            most = min(way, bound + slack)
            near, all_near = (
                self.reach.nearer(apt, limit, disturbed=least_disturbed, is_full=is_full)
                for limit in (most, way)
            )
            if np.count_nonzero(near) > FEW_LEFT_OUT * np.count_nonzero(all_near):
                near, most = all_near, way
            if most >= way:
                bound = DisturbedSets(self, apt, least_disturbed, is_full=is_full).run(bound)
                if self.values(self.plan)[2] <= bound:
                    break
            model = self.way_model(near, is_full, disturbed)
            if most >= way:
                self.better_by_days(
                    model, WAY_DAYS_PART, lambda: -self.values(self.plan)[2], -bound
                )
            part = WAY_PART if most >= way and self.week.names else 1.0
            found, is_done = self.search(model, float(bound), part if most >= way else NEAR_PART)
            was, way = way, self.values(self.plan)[2]
            proved = min(found, most + 1)  # all that is left out goes further
            bound = max(bound, int(np.ceil(proved - 1e-6)))
            if most >= was:
                break
            slack = 4 * slack if is_done else NEVER
        self._note(2, -1, bound)
        self._fill_week(apt, is_full, least_disturbed)

    def _bound_way(self, is_full: bool, least_disturbed: int) -> tuple[int, NDArray[np.bool_]]:
        disturbed = self.values(self.plan)[1]
        apt = self.reach.within(disturbed, is_full=is_full)
        total, _least = self.reach.least_ways(apt, disturbed=least_disturbed, is_full=is_full)
        return total, apt

    def way_model(self, apt: NDArray[np.bool_], is_full: bool, disturbed: int) -> ReshareModel:
        """Write a model of the way.

        Args:
            apt: Rows that it is to know.
            is_full: Whether every ask is known to have all sessions it has days for.
            disturbed: So many squads, not hit, its plans disturb at most.
        """
        near = ReshareModel(self.places, np.flatnonzero(apt))
        model = near.share.model
        points = self.values(self.plan)[0]
        if is_full:
            near.fill()
        else:
            model.add(near.share.aims.points >= points)
        model.add(near.disturbed <= disturbed)
        model.minimize(near.way(is_full=is_full))
        return near

    def _fill_week(self, apt: NDArray[np.bool_], is_full: bool, least_disturbed: int) -> None:
        """Work on days and evenings among the plans that are as good on all before."""
        points, disturbed, way, *_unused = self.values(self.plan)
        near: ReshareModel | None = None
        for number, name in enumerate(self.week.names, len(NAMES)):
            if near is None and not self.week.is_best(self.plan):
                few = self.reach.nearer(apt, way, disturbed=least_disturbed, is_full=is_full)
                near = ReshareModel(self.places, np.flatnonzero(few))
                if is_full:
                    near.fill()
                near.share.model.add(near.share.aims.points >= points)
                near.share.model.add(near.disturbed <= disturbed)
                near.share.model.add(near.way(is_full=is_full) <= way)
                for earlier in self.week.names[: number - len(NAMES)]:
                    self.week.keep(earlier, self.plan, near)
            bound, value = float(self.week.least(name, self.plan)), self.values(self.plan)[number]
            if near is not None and value > bound:
                near.share.model.minimize(near.share.aim(name))
                bound = max(bound, min(value, self.search(near, bound, WEEK_PART)[0]))
            self._note(number, -1, int(np.ceil(bound - 1e-6)))
            if near is not None:
                self.week.keep(name, self.plan, near)

    def values(self, plan: Sequence[int]) -> tuple[int, ...]:
        """Compute points, squads disturbed and way of chosen rows, then days and evenings."""
        points = self.places.worth.values(plan)[PLACING]
        disturbed = len(self.places.disturbed_by(plan))
        old = self.places.standing
        way = displacement(self.terrain.problem, old, self.placements(plan))
        return points, disturbed, way, *self.week.values(plan)

    def placements(self, plan: Sequence[int]) -> tuple[Placement, ...]:
        """Turn rows into placements; a session keeps its number where it moves the shortest way."""
        return placements_of(self.places, plan)

    def _both(self, weight: int) -> int:
        points, disturbed, *_unused = self.values(self.plan)
        return weight * points - disturbed

    def search(
        self, model: ReshareModel, bound: float, part: float, workers: int | None = None
    ) -> tuple[float, bool]:
        """Search a model for a better plan.

        Args:
            model: The model, with its aim.
            bound: What is known of the aim.
            part: Part of the steps left that it may take.
            workers: How many; None for all of the effort.

        Returns:
            The bound that was proved, or the one known, and whether the search came to its end; the
            bound is infinite where the model has no plan.
        """
        if not self.has_time():
            return bound, False
        model.hint(set(self.plan))
        solver, status = self.solve(model.share.model, part * self.budget.left, workers)
        if status == cp_model.INFEASIBLE:
            return np.inf, True
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return bound, False
        self.adopt(model.plan_of(solver))
        return float(solver.best_objective_bound), status == cp_model.OPTIMAL

    def _note(self, number: int, sign: int, bound: int) -> None:
        level = self._level(number, sign, bound)
        self.levels.append(level)
        if self.on_progress is not None:
            used = self.budget.steps / self.budget.all_steps
            part = float(min(1.0, used))
            name, count = self.names[number], len(self.names)
            progress = Progress(number + 1, count, level.value, level.bound, part, name)
            self.on_progress(progress)

    def _level(self, number: int, sign: int, bound: int) -> Level:
        value = self.values(self.plan)[number]
        bound = max(value, bound) if sign > 0 else min(value, bound)
        gap = abs(bound - value) / max(1, abs(value))
        return Level(self.names[number], value, bound, value == bound, gap)

    def has_time(self) -> bool:
        """Tell whether there is time for what is still open; that there is none is remembered."""
        is_late = self.budget.clock_left <= 0
        self.budget.is_cut |= is_late
        return self.budget.left > 0 and not is_late

    def adopt(self, plan: Sequence[int]) -> None:
        """Keep a plan if it is better than the best so far."""
        self.plan = max(self.plan, list(plan), key=self._rank)

    def _rank(self, plan: Sequence[int]) -> tuple[int, ...]:
        points, *others = self.values(plan)
        return (points, *(-value for value in others))

    def solve(
        self,
        model: cp_model.CpModel,
        steps: float,
        workers: int | None,
        *,
        is_first_enough: bool = False,
        branching: Branching = AUTOMATIC,
    ) -> tuple[cp_model.CpSolver, cp_model.CpSolverStatus]:
        """Solve a model, and count the steps that it took.

        Args:
            model: The model.
            steps: Steps that it may take; the clock's time left is kept.
            workers: How many; None for all of the effort.
            is_first_enough: Whether any solution ends it.
            branching: How the solver branches.
        """
        effort = self.budget.effort
        solver = new_solver()
        solver.parameters.num_workers = workers or effort.workers
        solver.parameters.random_seed = effort.seed
        solver.parameters.linearization_level = 2
        solver.parameters.cp_model_probing_level = 0  # it costs more than it finds here
        solver.parameters.search_branching = branching
        solver.parameters.stop_after_first_solution = is_first_enough
        solver.parameters.max_deterministic_time = max(0.01, steps)
        solver.parameters.max_time_in_seconds = max(0.05, self.budget.clock_left)
        if solver.parameters.num_workers > 1:
            solver.parameters.extra_subsolvers.append("max_lp")
        with self.budget.brake.holding(solver):
            status = solver.solve(model)
        if not (is_first_enough and status == cp_model.FEASIBLE):
            self.budget.is_cut |= was_cut(solver, status, max(0.01, steps))
        self.budget.steps += max(0.001, float(solver.response_proto.deterministic_time))
        return solver, status
