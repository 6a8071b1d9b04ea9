"""All plans divided by who trains on which day, against every plan and another solver."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, assume, given, settings

from clubplanner.sharing import Effort, Window, check
from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.search.days import Days, Together
from clubplanner.sharing.search.evenings import Evenings
from clubplanner.sharing.search.placing import Placing
from clubplanner.sharing.search.search import Search
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from tests.sharing import brute
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.solving.test_second_solver import most_points
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    from clubplanner.sharing import Problem


@dataclass
class Divided:
    """What dividing all plans of a problem came to."""

    search: Search
    bound: int
    lower: list[int]
    plans: list[list[int]]

    @property
    def reached(self) -> int:
        """Points of the best plan."""
        return self.search.values()[PLACING]


def divide(problem: Problem, budget: Budget | None = None, until: float = 3.0) -> Divided:
    """Divide all plans from no plan and no evening known."""
    terrain = survey(problem)
    rows = list_candidates(terrain)
    slots, best = merge(terrain, rows), best_alone(terrain, rows)
    budget = Budget(Effort(seconds=60)) if budget is None else budget
    search = Search(terrain, rows, slots, best, budget, None)
    evenings = Evenings(terrain, rows, slots, best, budget)
    lower: list[int] = []
    plans: list[list[int]] = []

    def take(plan: list[int]) -> int:
        plans.append(plan)
        laid, failed = search.laid_out(plan)
        evenings.refuse(plan, failed)
        search.keep(laid)
        return search.values()[PLACING]

    bound = evenings.branch(
        search.worth.most()[PLACING],
        search.values()[PLACING],
        until,
        0.0,
        lambda most: search.worth.attained(PLACING, most),
        take,
        lower.append,
    )
    return Divided(search, bound, lower, plans)


@given(problem=tiny_problems())
@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
def test_no_plan_passes_the_bound_and_plans_are_sound(problem: Problem) -> None:
    """The best of all plans lies between the plan found and the bound."""
    assume(brute.most_plans(problem) <= 3_000 and len(list_candidates(survey(problem))))
    divided = divide(problem, until=1.0)
    most = max(brute.points(problem, plan) for plan in brute.every_plan(problem))
    assert check(problem, divided.search.placements()) == ()
    assert divided.reached <= most <= divided.bound


@pytest.mark.parametrize("seed", [1, 3, 7])
def test_the_best_plan_is_found_and_proved(seed: int) -> None:
    """Where parts of evenings come to more, as HiGHS says from another model."""
    problem = example(10, 1, seed, 1.5)
    divided = divide(problem)
    assert divided.bound == divided.reached == most_points(problem)
    assert check(problem, divided.search.placements()) == ()
    assert divided.lower == sorted(set(divided.lower), reverse=True)
    assert divided.lower[-1] == divided.bound


def test_rules_between_days_leave_the_bound_as_it_is() -> None:
    """Two days in a row hold both sessions, and the ask is to rest: nothing is claimed of that."""
    ask = make_ask("a", sessions=2, possible=(Window(0, 1080, 1140), Window(1, 1080, 1140)))
    problem = make_problem(make_pitch(), replace(ask, rest_days=1), days=make_days(2))
    divided = divide(problem)
    assert (divided.reached, divided.bound) == (7, 12)
    assert divided.search.budget.steps < 1


def test_asks_that_do_not_go_together_on_a_day_are_known_from_then_on(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A coach of two squads at two venues at once, with no time for the way between them."""
    found: list[Together] = []
    together = Days.together

    def noted(self: Days, *args: object) -> Together:
        found.append(together(self, *args))  # type: ignore[arg-type]
        return found[-1]

    monkeypatch.setattr(Days, "together", noted)
    grounds = (*make_pitch("one", venue="park"), *make_pitch("two", venue="lane"))
    asks = [
        make_ask("a", possible=(Window(0, 1080, 1140),), venues=frozenset({"park"})),
        make_ask("b", possible=(Window(0, 1140, 1200),), venues=frozenset({"lane"})),
        make_ask("c", possible=(Window(0, 1080, 1140),), venues=frozenset({"lane"}), coach="Other"),
    ]
    asks[:2] = [replace(ask, coach="Same") for ask in asks[:2]]
    problem = replace(make_problem(grounds, *asks), travel_minutes=30)
    divided = divide(problem)
    assert found == [Together(0, frozenset({0, 1}), 1)]
    assert divided.bound == divided.reached == 14


def test_evenings_that_cannot_be_laid_out_get_exact_rows() -> None:
    """Of halves and thirds no two thirds go beside the half, whatever they weigh."""
    problem = make_problem(
        make_pitch(cuts=("halves", "thirds")),
        make_ask("a", least_m2=3_000.0),
        *(make_ask(key, least_m2=2_000.0) for key in "bc"),
    )
    divided = divide(problem)
    most = max(brute.points(problem, plan) for plan in brute.every_plan(problem))
    assert divided.bound == divided.reached == most


@pytest.mark.parametrize("workers", [1, 2])
def test_the_same_steps_come_to_the_same(workers: int) -> None:
    """Whatever the clock says, and with several workers too."""
    problem = example(12, 2, 4, 1.5)
    once, again = (
        divide(problem, Budget(Effort(seconds=60, workers=workers)), until=0.4) for _ in range(2)
    )
    assert once.search.rows == again.search.rows
    assert (once.bound, once.lower, once.plans) == (again.bound, again.lower, again.plans)
    assert once.search.budget.steps == again.search.budget.steps
    assert not once.search.budget.is_cut


def test_nothing_is_claimed_without_time() -> None:
    """Neither where the steps are over nor where whoever waits has enough."""
    problem = example(10, 1, 1, 1.5)
    assert divide(problem, until=0.0).lower == []
    budget = Budget(Effort(seconds=60))
    budget.brake.pull()
    divided = divide(problem, budget)
    assert divided.lower == []
    assert divided.plans == []
    assert divided.bound == divided.search.worth.most()[PLACING]


def test_a_search_keeps_the_plans_and_tells_the_bounds_of_dividing() -> None:
    """From nothing placed to the best plan there is, as HiGHS says, with each step told."""
    problem = example(12, 2, 4, 1.5)
    terrain = survey(problem)
    rows = list_candidates(terrain)
    slots, best = merge(terrain, rows), best_alone(terrain, rows)
    told: list[tuple[int | None, int | None]] = []
    search = Search(
        terrain,
        rows,
        slots,
        best,
        Budget(Effort(seconds=60)),
        lambda progress: told.append((progress.value, progress.bound)),
    )
    bound = Placing(search).branch(search.worth.most()[PLACING])
    assert bound == search.values()[PLACING] == most_points(problem)
    assert check(problem, search.placements()) == ()
    assert (bound, bound) in told
    assert told[0][0] == 0
