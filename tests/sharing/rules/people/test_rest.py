"""Days of rest, eves and morrows, as the optimiser keeps them."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pytest

from clubplanner.sharing import Effort, Kind, Outcome, Placement, Problem, Window, check
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.rules.people.rest import RULE, cover_by_cliques
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.rules.oracle import (
    broken_places,
    faulty_places,
    plans_of_model,
    sound_plans,
)

HALVES = make_pitch(cuts=("halves",))
WEEK = tuple(Window(day, 1080, 1200) for day in range(7))
HOURS = tuple(Window(day, 1080, 1140) for day in range(7))


def share(problem: Problem) -> Outcome:
    """Solve a problem; what comes out is true and proved."""
    outcome = solve(problem, Effort(10))
    assert verify(problem, outcome) == ()
    return outcome


def days_of(problem: Problem) -> list[int]:
    """Solve a problem and return the days of the first ask's sessions."""
    return sorted(place.day for place in share(problem).placements if place.ask == "a")


def test_rest_keeps_days_between_sessions() -> None:
    """With a day of rest three sessions need five days, and two asks of a squad count together."""
    ask = make_ask(sessions=3, possible=WEEK, rest_days=1)
    four = make_problem(HALVES, replace(ask, possible=WEEK[:4]), days=make_days(4))
    assert len(days_of(four)) == 2
    five = make_problem(HALVES, replace(ask, possible=WEEK[:5]), days=make_days(5))
    assert days_of(five) == [0, 2, 4]
    other = make_ask("b", squad="squad a", possible=(Window(1, 1080, 1200),), priority=9)
    both = make_problem(HALVES, replace(ask, possible=WEEK[:5]), other, days=make_days(5))
    found = sorted(place.day for place in share(both).placements)
    assert all(later - earlier > 1 for earlier, later in pairwise(found))


@pytest.mark.parametrize("weeks", [1, 2])
@pytest.mark.parametrize("pinned", [(), (0, 1), (2,)])
def test_the_model_lets_pass_what_has_enough_rest(weeks: int, pinned: tuple[int, ...]) -> None:
    """Of all plans of a squad's two asks, exactly the sound ones; pins may lie nearer."""
    pins = tuple(Placement("a", n, "top-whole-0", day, 1080, 1140) for n, day in enumerate(pinned))
    asks = (
        make_ask("a", squad="s", sessions=3, possible=HOURS, rest_days=1, pinned=pins),
        make_ask("b", squad="s", possible=HOURS[3:5], rest_days=2),
    )
    problem = make_problem(make_pitch(), *asks, days=make_days(7, weeks=weeks))
    assert plans_of_model(problem) == sound_plans(problem)


def test_a_week_goes_round() -> None:
    """Sunday and the Monday after it are neighbours in a weekly pattern."""
    ask = make_ask(sessions=2, possible=(WEEK[0], WEEK[6]), rest_days=1)
    once = make_problem(HALVES, ask, days=make_days(7))
    assert len(days_of(once)) == 2
    weekly = make_problem(HALVES, ask, days=make_days(7, weeks=2))
    assert len(days_of(weekly)) == 1
    (refusal,) = share(weekly).refusals
    assert "a day of rest" in tell_reason(refusal.reasons[0])


def test_eves_and_morrows_are_kept_free() -> None:
    """No session on the eve of a Saturday match, nor on the day after it."""
    ask = make_ask(sessions=7, possible=WEEK)
    ask = replace(ask, no_day_before=frozenset({5}), no_day_after=frozenset({5}))
    problem = make_problem(HALVES, ask, days=make_days(7))
    assert broken_places(problem, RULE) == faulty_places(problem, "day before", "day after")
    assert days_of(problem) == [0, 1, 2, 3, 5]
    only = replace(ask, sessions=1, possible=(WEEK[4],))
    outcome = share(make_problem(HALVES, only, days=make_days(7)))
    assert outcome.kind is Kind.IMPOSSIBLE
    assert "eve" in tell_reason(outcome.refusals[0].reasons[0])


def test_cliques_cover_every_two_that_are_near() -> None:
    """All in one set are near each other, and every near two are in one."""
    days = [(0, n) for n in range(8)]
    near = {a: {b for b in days if a != b and abs(a[1] - b[1]) <= 2} for a in days}
    cliques = cover_by_cliques(near)
    assert all(b in near[a] for clique in cliques for a, b in combinations(clique, 2))
    pairs = {pair for clique in cliques for pair in combinations(clique, 2)}
    assert pairs == {(a, b) for a, b in combinations(days, 2) if b in near[a]}


def test_the_checker_finds_too_little_rest() -> None:
    """Two evenings running of a squad that wants a day between."""
    ask = make_ask(sessions=2, possible=WEEK, rest_days=1)
    problem = make_problem(HALVES, ask, days=make_days(2))
    plan = [Placement("a", n, "top-halves-0", n, 1080, 1140) for n in range(2)]
    assert [fault.code for fault in check(problem, plan)] == ["rest"]
