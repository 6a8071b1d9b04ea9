"""What is asked value by value is true of every plan; searches of a part promise nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from ortools.sat.python import cp_model

from clubplanner.sharing import Effort, Problem
from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.aim_book import aim_named
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.solvers import new_solver
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.search.narrowing import narrow
from clubplanner.sharing.search.search import Search
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import FAIRNESS, PLACING, WORST_OFF

if TYPE_CHECKING:
    from clubplanner.sharing.values.outcome import Progress


def begin(problem: Problem, told: list[Progress]) -> tuple[Search, ShareModel]:
    """Return a search that has a first plan, and an exact model of the whole beside it."""
    terrain = survey(problem)
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    best = best_alone(terrain, rows)
    search = Search(terrain, rows, slots, best, Budget(Effort(seconds=120)), told.append)
    share = ShareModel(terrain, slots, best, rows)
    for place in slots.by_pitch_and_day():
        share.add_detail(*place)
    search.share = share
    return search, share


@pytest.mark.parametrize("seed", [1, 2, 3])
@pytest.mark.parametrize("size", [(14, 2, 1.4), (7, 1, 1.1)])
def test_the_worst_off_is_served_as_well_as_any_plan_can(
    size: tuple[int, int, float], seed: int
) -> None:
    """What comes of questions is the best value, found beside by the model with a goal."""
    search, share = begin(example(size[0], size[1], seed, size[2]), [])
    share.model.maximize(share.aim(PLACING))
    solver = new_solver()
    assert solver.solve(share.model) == cp_model.OPTIMAL
    most = round(solver.objective_value)
    search.adopt([n for n, var in enumerate(share.chosen) if solver.boolean_value(var)])
    assert search.values()[PLACING] == most
    aim_named(PLACING).keep(share, most)
    bound = narrow(search, share, WORST_OFF, 100)
    share.model.maximize(share.aim(WORST_OFF))
    assert solver.solve(share.model) == cp_model.OPTIMAL
    assert search.values()[WORST_OFF] == round(solver.objective_value) == bound


def test_where_others_stay_no_bound_is_told() -> None:
    """A model in which nobody may move has a value that says nothing of all plans."""
    told: list[Progress] = []
    search, share = begin(example(14, 2, 2, 1.4), told)
    kept = set(search.slots_of(search.rows))
    share.model.minimize(share.aim(FAIRNESS))
    held = share.with_only((), kept, ())
    solver, status = search.solve(held, FAIRNESS, 1.0, 60.0, known=7)
    assert status == cp_model.OPTIMAL
    assert solver.best_objective_bound > 7
    assert told
    assert {progress.bound for progress in told} == {7}
    told.clear()
    search.solve(share.model, FAIRNESS, 1.0, 60.0)
    assert {progress.bound for progress in told} - {7}


def test_exact_rows_are_kept_only_where_nothing_as_good_is_found_with_them() -> None:
    """Others that stay, and rows of a part, leave the model of the whole as it was."""
    search, share = begin(example(14, 2, 1, 1.4), [])
    share.detailed.clear()
    rows = len(share.model.proto.constraints)
    place = sorted(share.slots.by_pitch_and_day())[0]
    model = share.with_only(range(len(search.best)), (), {place})
    assert len(model.proto.constraints) > rows
    assert len(share.model.proto.constraints) == rows
    assert not share.detailed
