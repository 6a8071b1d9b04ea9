"""Bounds and plans from whole evenings of pitches, against looking at every plan."""

from __future__ import annotations

from hypothesis import HealthCheck, assume, given, settings

from clubplanner.sharing import Effort
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.solvers import new_solver
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.search.evenings import Evenings
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from tests.sharing.test_against_brute_force import tiny_problems


@given(problem=tiny_problems())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_plan_passes_the_bound_or_a_cut(problem) -> None:  # type: ignore[no-untyped-def]
    """The best plan of the model of the whole lies within what prices between evenings allow."""
    terrain = survey(problem)
    rows = list_candidates(terrain)
    assume(len(rows))
    slots, best = merge(terrain, rows), best_alone(terrain, rows)
    budget = Budget(Effort(seconds=20))
    share = ShareModel(terrain, slots, best, rows)
    share.model.maximize(share.aim(PLACING))
    solver = new_solver()
    assume(solver.status_name(solver.solve(share.model)) == "OPTIMAL")
    plan = {n for n, item in enumerate(share.chosen) if solver.boolean_value(item)}
    evenings = Evenings(terrain, rows, slots, best, budget)
    evenings.price(3.0, 0.0, 0, lambda _: None)
    assert evenings.bound is not None
    assert evenings.bound >= round(solver.objective_value)
    for cut in evenings.cuts:
        gained = sum(g for slot, g in zip(cut.slots, cut.gains, strict=True) if slot in plan)
        assert gained <= cut.most
