"""Bounds and plans from whole evenings of pitches, against looking at every plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import HealthCheck, assume, given, settings

from clubplanner.sharing import Effort
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.plan_worth import PlanWorth
from clubplanner.sharing.model.solvers import new_solver
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.search.evening import Evening, Filled
from clubplanner.sharing.search.evening_links import Links
from clubplanner.sharing.search.evening_prices import Near, first_prices, prices_of
from clubplanner.sharing.search.evenings import Evenings
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from tests.sharing.builders import make_ask, make_club, make_pitch, make_problem
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    import pytest


@given(problem=tiny_problems())
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_plan_passes_the_bound(problem) -> None:  # type: ignore[no-untyped-def]
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
    worth = PlanWorth(terrain, slots, best)
    for are_many in (False, True):
        evenings = Evenings(terrain, rows, slots, best, budget)
        until = budget.steps + 1.5
        evenings.price(until, 0.0, 0, lambda _: None, are_many=are_many)
        assert evenings.bound is not None
        assert evenings.bound >= round(solver.objective_value)
        assert worth.attained(PLACING, evenings.bound) >= round(solver.objective_value)


def test_prices_near_others_are_no_further_from_them() -> None:
    """Neither are those of links that no known evening is in."""
    terrain = survey(make_club(8))
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    links = Links(terrain, slots)
    first = first_prices(links, slots, terrain)
    assert first.links.any()
    near = Near(first, 0.2)
    for place, members in slots.by_pitch_and_day().items():
        found = [(place, (slot,)) for slot in members[:9]]
        prices, most = prices_of(links, found, near)
        assert most is not None
        for fresh, old in zip(
            [*prices.links.tolist(), *prices.firsts.tolist()],
            [*first.links.tolist(), *first.firsts.tolist()],
            strict=True,
        ):
            assert max(0, old - 200) - 1 <= fresh <= old + 201


def test_prices_that_the_clock_ended_are_not_repeatable() -> None:
    """Where time ends the search for prices, the budget says so, and nothing is claimed."""
    whole, *thirds = make_pitch(cuts=("whole", "thirds"))
    terrain = survey(make_problem((whole, *thirds), make_ask("a"), make_ask("b")))
    rows = list_candidates(terrain)
    budget = Budget(Effort(seconds=20))
    evenings = Evenings(terrain, rows, merge(terrain, rows), best_alone(terrain, rows), budget)
    evenings.price(3.0, 1_000.0, 0, lambda _: None)
    assert budget.is_cut
    assert evenings.bound is None


def test_nothing_is_filled_once_the_brake_is_pulled(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever stops a search waits for one evening at most; a round not ended bounds nothing."""
    grounds = (*make_pitch("one"), *make_pitch("two"))
    terrain = survey(make_problem(grounds, make_ask("a"), make_ask("b")))
    rows = list_candidates(terrain)
    budget = Budget(Effort(seconds=20))
    evenings = Evenings(terrain, rows, merge(terrain, rows), best_alone(terrain, rows), budget)
    fill, filled = Evening.fill, []

    def fill_and_stop(self: Evening, *args: object) -> Filled | None:
        filled.append(self)
        budget.brake.pull()
        return fill(self, *args)  # type: ignore[arg-type]

    monkeypatch.setattr(Evening, "fill", fill_and_stop)
    evenings.price(3.0, 0.0, 0, lambda _: None)
    assert len(filled) == 1
    assert evenings.bound is None
    assert budget.is_cut
