"""The rows that sharpen bounds cut off no plan, and do sharpen them."""

from __future__ import annotations

import random
from dataclasses import replace
from fractions import Fraction
from itertools import combinations

import pytest
from ortools.sat.python import cp_model

from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.aims import least_by_count
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.plan_worth import PlanWorth
from clubplanner.sharing.model.solvers import new_solver
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.values.levels import FAIRNESS, WORST_OFF


@pytest.mark.parametrize(
    "lacks",
    [
        [0],
        [60, 0],
        [60, 10, 0],
        [60, 25, 10, 0],
        [80, 61, 50, 20, 19, 0],
        [75, 75, 41, 41, 7, 3],
        [30, 30, 30],
    ],
)
def test_lines_lie_under_all_that_is_lacked_and_touch_it(lacks: list[int]) -> None:
    """No line says more than is true; each is the closest from one of its ends to the other."""
    lines = least_by_count(lacks)
    for run, rise, base in lines:
        left = [base - rise * n for n in range(len(lacks))]
        assert all(run * lack >= least for lack, least in zip(lacks, left, strict=True))
        assert sum(run * lack == least for lack, least in zip(lacks, left, strict=True)) >= 2
    for n, lack in enumerate(lacks):
        said = max((Fraction(base - rise * n, run) for run, rise, base in lines), default=None)
        if said is None:
            continue
        chords = [
            Fraction(lacks[a] * (b - n) + lacks[b] * (n - a), b - a)
            for a, b in combinations(range(len(lacks)), 2)
            if a <= n <= b
        ]
        assert said == min([Fraction(lack), *chords])


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_every_plan_is_worth_the_same_in_a_model(seed: int) -> None:
    """Plans of a club with a past, full and with sessions taken out: no row forbids one."""
    chance = random.Random(seed)  # noqa: S311 - a test, nothing secret
    problem = example(9, 2, seed, 1.3)
    asks = tuple(replace(ask, past=chance.choice((-30, 0, 25))) for ask in problem.asks)
    split = replace(asks[0], key="more", minutes=asks[0].minutes, sessions=1)
    terrain = survey(replace(problem, asks=(*asks, split)))
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    best = best_alone(terrain, rows)
    slot_of = {row: slot for slot, members in enumerate(slots.rows) for row in members}
    worth = PlanWorth(terrain, slots, best)
    for kept in (1.0, 0.7, 0.4, 0.0):
        placed = fill_plan(terrain, rows, cheapest_first=chance.random() < 0.5).tolist()
        plan = {slot_of[row] for row in placed if chance.random() < kept}
        share = ShareModel(terrain, slots, best, rows)
        for slot, variable in enumerate(share.chosen):
            share.model.add(variable == (slot in plan))
        for name, sign in ((WORST_OFF, 1), (FAIRNESS, -1)):
            share.model.maximize(sign * share.aim(name))
            solver = new_solver()
            assert solver.solve(share.model) == cp_model.OPTIMAL
            assert round(solver.objective_value) == sign * worth.values(sorted(plan))[name]


@pytest.mark.parametrize("seed", [2, 3])
def test_that_somebody_has_to_go_without_is_seen_soon(seed: int) -> None:
    """In pieces every squad has nearly all of its sessions; rows for whole ones say otherwise."""
    terrain = survey(example(14, 2, seed, 1.4))
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    share = ShareModel(terrain, slots, best_alone(terrain, rows), rows)
    share.model.minimize(share.aim(FAIRNESS))
    at_all, soon = new_solver(), new_solver()
    assert at_all.solve(share.model) == cp_model.OPTIMAL
    soon.parameters.num_workers = 1
    soon.parameters.linearization_level = 2
    soon.parameters.max_number_of_conflicts = 10
    soon.solve(share.model)
    assert soon.best_objective_bound > 0.75 * at_all.objective_value
