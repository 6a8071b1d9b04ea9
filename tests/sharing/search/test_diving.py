"""Plans from evenings that are held one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, assume, given, settings

from clubplanner.sharing import Effort, Window, check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.search.evenings import Evenings
from clubplanner.sharing.search.placing import Placing
from clubplanner.sharing.search.search import Search
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from tests.sharing import brute
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    from clubplanner.sharing import Problem
    from clubplanner.sharing.ground.slots import Slots


def _evenings(problem: Problem, budget: Budget) -> tuple[Evenings, Slots]:
    terrain = survey(problem)
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    return Evenings(terrain, rows, slots, best_alone(terrain, rows), budget), slots


@given(problem=tiny_problems())
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_plans_are_sound_and_none_passes_the_best_of_all_plans(problem: Problem) -> None:
    """From no evening known, plans are put together until none may be better; bounds stay true."""
    assume(brute.most_plans(problem) <= 3_000)
    terrain = survey(problem)
    rows = list_candidates(terrain)
    assume(len(rows))
    slots, best = merge(terrain, rows), best_alone(terrain, rows)
    search = Search(terrain, rows, slots, best, Budget(Effort(seconds=20)), None)
    evenings = Evenings(terrain, rows, slots, best, search.budget)
    Placing(search).dive(evenings, search.worth.most()[PLACING])
    evenings.price(search.budget.steps + 1.0, 0.0, 0, lambda _: None)
    most = max(brute.points(problem, plan) for plan in brute.every_plan(problem))
    assert check(problem, search.placements()) == ()
    assert brute.points(problem, search.placements()) <= most
    assert evenings.bound is not None
    assert evenings.bound >= most


@pytest.mark.parametrize("workers", [1, 2])
def test_what_is_missed_on_an_evening_is_found_at_the_prices_of_those_held(workers: int) -> None:
    """Known are evenings that all have "a", where "b" or "c" could be; two of them are filled."""
    windows = tuple(Window(day, 1080, 1140) for day in range(3))
    asks = [make_ask(key, possible=windows) for key in "abc"]
    budget = Budget(Effort(seconds=20, workers=workers))
    evenings, slots = _evenings(make_problem(make_pitch(), *asks, days=make_days(3)), budget)
    for slot in range(len(slots)):
        if slots.ask[slot] == 0:
            evenings.learn([slot])
    plan = evenings.dive(3.0, 0.0, lambda most: most > 14)
    assert sorted(slots.ask[plan].tolist()) == [0, 1, 2]
    assert sorted(slots.day[plan].tolist()) == [0, 1, 2]
    assert 0 < budget.steps < 1
    assert not budget.is_cut


def test_nothing_is_found_where_no_plan_is_better() -> None:
    """One evening has room for one of two asks; steps end the search for a plan of both."""
    asks = [make_ask(key, possible=(Window(0, 1080, 1140),)) for key in "ab"]
    budget = Budget(Effort(seconds=20))
    evenings, _slots = _evenings(make_problem(make_pitch(), *asks), budget)
    assert evenings.dive(0.2, 0.0, lambda most: most > 7) == []
    assert budget.steps >= 0.2
    assert evenings.dive(9.0, 1_000.0, lambda most: most > 7) == []
    assert budget.is_cut


def test_an_evening_that_cannot_be_laid_out_is_not_known_any_more() -> None:
    """Neither is one with more on it; another evening of the same pitch still is."""
    budget = Budget(Effort(seconds=20))
    grounds = make_pitch(cuts=("halves",))
    asks = [make_ask(key, possible=(Window(0, 1080, 1140),)) for key in "abc"]
    evenings, slots = _evenings(make_problem(grounds, *asks), budget)
    place = (int(slots.pitch[0]), int(slots.day[0]))
    one, two, three = (slots.ask.tolist().index(n) for n in range(3))
    for plan in ([one], [one, two], [one, two, three], [two, three]):
        evenings.learn(plan)
    evenings.refuse([one, two], [place])
    known = sorted(known for _, known in evenings._found)
    assert known == sorted([(one,), tuple(sorted([two, three]))])
    assert evenings._evenings[place]._share.detailed == {place}


def test_a_way_that_a_plan_leaves_no_time_for_is_not_left_out_again() -> None:
    """A coach cannot leave one venue and be at the other at once; a later start is found."""
    grounds = (*make_pitch("one", venue="park"), *make_pitch("two", venue="lane"))
    early, late = Window(0, 1080, 1140), Window(0, 1140, 1260)
    asks = [make_ask("a", coach="Kim", possible=(early,), venues=frozenset({"park"}))]
    asks.append(make_ask("b", coach="Kim", possible=(late,), venues=frozenset({"lane"})))
    problem = make_problem(grounds, *asks, travel_minutes=30)
    evenings, slots = _evenings(problem, Budget(Effort(seconds=20)))
    starts = {
        (int(ask), int(start)): slot
        for slot, (ask, start) in enumerate(zip(slots.ask, slots.start, strict=True))
    }
    evenings.learn([starts[0, 1080], starts[1, 1140]])
    plan = evenings.dive(3.0, 0.0, lambda most: most > 7)
    assert sorted(plan) == sorted([starts[0, 1080], starts[1, 1140]])
    evenings.refuse(plan, [])
    again = evenings.dive(3.0, 0.0, lambda most: most > 7)
    assert len(again) == 2
    assert min(int(slots.start[slot]) for slot in again if slots.ask[slot] == 1) >= 1170
