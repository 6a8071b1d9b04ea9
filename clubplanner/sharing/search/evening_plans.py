"""Plans put together from known evenings of pitches."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.model.solvers import new_solver, was_cut
from clubplanner.sharing.values.points import SESSION_POINTS

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.search.evening_links import Links
    from clubplanner.sharing.search.evening_prices import Place
    from clubplanner.sharing.values.budget import Budget


def best_of(
    terrain: Terrain,
    slots: Slots,
    links: Links,
    found: Sequence[tuple[Place, tuple[int, ...]]],
    budget: Budget,
    steps: float,
) -> list[int]:
    """Choose an evening for each pitch and day so that most is placed.

    An ask may be on more chosen evenings than it wants; it then has only as many of them.

    Args:
        terrain: The problem's columns.
        slots: The merged candidates.
        links: What links evenings.
        found: Evenings to choose from, each with its slots.
        budget: Gets the steps taken; the clock's time left is kept.
        steps: Steps that it may take.

    Returns:
        Chosen slots, each of which may be left out, in order; empty where none are found.
    """
    plans = _Plans(terrain, slots, links, found)
    solver = new_solver()
    solver.parameters.num_workers = 1  # finds more than several do, and repeats itself
    solver.parameters.random_seed = budget.effort.seed
    solver.parameters.linearization_level = 2
    solver.parameters.max_deterministic_time = max(0.01, steps)
    solver.parameters.max_time_in_seconds = max(0.05, budget.clock_left)
    with budget.brake.holding(solver):
        status = solver.solve(plans.model)
    budget.steps += max(0.001, float(solver.response_proto.deterministic_time))
    budget.is_cut |= budget.clock_left <= 0 or was_cut(solver, status, max(0.01, steps))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return []
    return plans.chosen(solver)


class _Plans:
    """The integer program over known evenings."""

    def __init__(
        self,
        terrain: Terrain,
        slots: Slots,
        links: Links,
        found: Sequence[tuple[Place, tuple[int, ...]]],
    ) -> None:
        self.model = cp_model.CpModel()
        self._slots = slots
        self._found = found
        self._taken = [self.model.new_bool_var("") for _ in found]
        self._on_day: dict[tuple[int, int], cp_model.IntVar] = {}
        by_place: dict[Place, list[cp_model.IntVar]] = defaultdict(list)
        by_day: dict[tuple[int, int], list[cp_model.IntVar]] = defaultdict(list)
        by_link: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for (place, chosen), variable in zip(found, self._taken, strict=True):
            by_place[place].append(variable)
            for slot in chosen:
                by_day[int(slots.ask[slot]), int(slots.day[slot])].append(variable)
                for link in links.of_slot[slot]:
                    if links.is_of_people[link]:
                        by_link[link].append(variable)
        for row in [*by_place.values(), *by_link.values()]:
            self.model.add_at_most_one(row)
        self._count(terrain, links, by_day)

    def _count(
        self,
        terrain: Terrain,
        links: Links,
        by_day: dict[tuple[int, int], list[cp_model.IntVar]],
    ) -> None:
        """Ask for most points, a session for each ask and day on a chosen evening."""
        asks = terrain.problem.asks
        numbers = {squad: n for n, squad in enumerate(dict.fromkeys(a.squad for a in asks))}
        by_ask: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        by_squad: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        terms: list[cp_model.LinearExprT] = []
        for (ask, day), evenings in by_day.items():
            has = self.model.new_bool_var("")
            self.model.add_bool_or([*evenings, has.negated()])
            self._on_day[ask, day] = has
            by_ask[ask].append(has)
            by_squad[numbers[asks[ask].squad]].append(has)
            terms.append(SESSION_POINTS * asks[ask].priority * has)
        for ask, row in by_ask.items():
            self.model.add(cp_model.LinearExpr.sum(row) <= asks[ask].sessions)
        for squad, row in by_squad.items():
            first = self.model.new_bool_var("")
            self.model.add_bool_or([*row, first.negated()])
            terms.append(int(links.tops[squad]) * first)
        self.model.maximize(cp_model.LinearExpr.sum(terms))

    def chosen(self, solver: cp_model.CpSolver) -> list[int]:
        """Read a solution: of an ask that is on two evenings of a day, the first is kept."""
        left = {day for day, has in self._on_day.items() if solver.boolean_value(has)}
        plan = []
        for (_, chosen), variable in zip(self._found, self._taken, strict=True):
            if solver.boolean_value(variable):
                for slot in chosen:
                    day = int(self._slots.ask[slot]), int(self._slots.day[slot])
                    if day in left:
                        left.remove(day)
                        plan.append(slot)
        return sorted(plan)
