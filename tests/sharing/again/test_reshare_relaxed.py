"""Relaxed bounds and the rows that sharpen them: held against every plan of drawn clubs."""

from __future__ import annotations

import numpy as np
import pytest
from ortools.sat.python import cp_model

from clubplanner.sharing.again import reshare_relaxed
from clubplanner.sharing.again.reshare_model import ReshareModel
from clubplanner.sharing.again.reshare_relaxed import relaxed_least
from clubplanner.sharing.model.solvers import new_solver
from clubplanner.sharing.places.displacement import displacement
from tests.sharing.again.test_reshare_dominance import known_plans, places_of

AMPLE = 60.0
SEEDS = range(1, 13)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_full_plan_disturbs_fewer_squads(seed: int) -> None:
    """The bound is not above the least of all plans in which every ask has all its sessions."""
    for number in (0, 1):
        places = places_of(number, seed)
        model = ReshareModel(places)
        model.fill()
        model.share.model.minimize(model.disturbed)
        bound = relaxed_least(model.share.model, AMPLE, AMPLE)
        asked = sum(places.most_sessions)
        full = [rows for _, rows in known_plans(places) if len(rows) == asked]
        for rows in full:
            assert bound <= len(places.disturbed_by(rows))


@pytest.mark.parametrize("seed", SEEDS)
def test_every_plan_is_one_of_the_model(seed: int) -> None:
    """No row cuts a sound plan off: with its places and squads held there is a solution."""
    for number in (0, 1):
        places = places_of(number, seed)
        for _, rows in list(known_plans(places))[::7]:
            model = ReshareModel(places)
            disturbed = places.disturbed_by(rows)
            for squad, changed in model.changed.items():
                model.share.model.add(changed == (squad in disturbed))
            chosen = set(model.numbers_of(rows))
            for n, variable in enumerate(model.share.chosen):
                model.share.model.add(variable == (n in chosen))
            assert new_solver().solve(model.share.model) == cp_model.OPTIMAL


@pytest.mark.parametrize("seed", SEEDS)
def test_a_hint_names_the_way_of_a_plan_and_who_is_disturbed(seed: int) -> None:
    """Held to the values hinted, the model has the plan with its own way, matching and all."""
    for number in (0, 1):
        places = places_of(number, seed)
        model = ReshareModel(places)
        model.share.model.minimize(model.way(is_full=False))
        for plan, rows in list(known_plans(places))[::7]:
            model.hint(set(rows))
            solver = new_solver()
            solver.parameters.fix_variables_to_their_hinted_value = True
            assert solver.solve(model.share.model) == cp_model.OPTIMAL
            problem = places.terrain.problem
            assert solver.objective_value == displacement(problem, places.standing, plan)


def make_odd_model() -> cp_model.CpModel:
    """Return a model with every kind of row: of three pairs one each is wanted, so two of three."""
    model = cp_model.CpModel()
    a, b, c, d = (model.new_bool_var(name) for name in "abcd")
    model.add_bool_or([a, b])
    model.add(b + c >= 1)
    model.add_at_most_one([~a, ~c])
    model.add_exactly_one([a, d])
    model.add(d >= 1).only_enforce_if(a)
    model.minimize(2 * a + 2 * b + 2 * c + 5)
    return model


def test_the_bound_is_that_of_the_relaxation() -> None:
    """It is the least of the linear relaxation, rounded up: three halves of 2, and 5."""
    assert relaxed_least(make_odd_model(), AMPLE, AMPLE) == 8


def test_wrong_prices_prove_less_not_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whatever the linear solver says, no solution is below the bound."""
    chance = np.random.default_rng(1)

    def guess(*args: list[object]) -> list[int]:
        return [int(n) for n in chance.integers(-3_000_000, 3_000_000, len(args[2]))]

    monkeypatch.setattr(reshare_relaxed, "_prices", guess)
    model = make_odd_model()
    solver = new_solver()
    assert solver.solve(model) == cp_model.OPTIMAL
    assert solver.objective_value == 9
    bounds = [relaxed_least(make_odd_model(), AMPLE, AMPLE) for _ in range(200)]
    assert max(bounds) <= 8


def test_without_steps_the_bound_is_what_each_variable_has_at_least() -> None:
    """Where the linear solver does not end nothing is claimed."""
    assert relaxed_least(make_odd_model(), 0.0, AMPLE) in (5, 8)
