"""Ground closed for good, and clubs where not all find a place: what is proved is so."""

from __future__ import annotations

import random
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing import Effort, Kind, Placement, Window
from clubplanner.sharing.again.alteration import Alteration, Closure, alter
from clubplanner.sharing.again.carried import most_carried
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.checks.worth import placing
from tests.sharing import brute
from tests.sharing.again.test_reshare import measures
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from clubplanner.sharing import Ask, Problem

SEEDS = range(1, 25)
MOST_PLANS = 4_000

Drawn = tuple["Problem", tuple[Placement, ...], Alteration]


def draw(seed: int) -> Drawn:
    """Draw a club of which not all find a place, its best plan, and a change that lasts."""
    chance = random.Random(seed)  # noqa: S311 - inventions, nothing secret
    while True:
        grounds = make_pitch(cuts=chance.choice((("halves",), ("whole", "halves"))))
        if chance.random() < 0.5:
            grounds += make_pitch("lane", venue="lane", cuts=("whole",))
        days = make_days(chance.choice((1, 2)))
        asks = [_draw_ask(chance, key, len(days)) for key in "abcde"[: chance.choice((3, 4, 5))]]
        problem = make_problem(grounds, *asks, days=days, step_minutes=60)
        if brute.most_plans(problem) > MOST_PLANS:
            continue
        plans = list(brute.every_plan(problem))
        most = max(placing(problem, plan) for plan in plans)
        standing = chance.choice([plan for plan in plans if placing(problem, plan) == most])
        alteration = _draw_alteration(chance, problem)
        if standing and brute.most_plans(alter(problem, alteration)) <= MOST_PLANS:
            return problem, standing, alteration


def _draw_ask(chance: random.Random, key: str, days: int) -> Ask:
    return make_ask(
        key,
        sessions=chance.choice((1, 1, 2)) if days > 1 else 1,
        possible=tuple(Window(day, 1080, chance.choice((1140, 1200))) for day in range(days)),
        coach=chance.choice((None, None, "Ada")),
        priority=chance.choice((1, 1, 2)),
    )


def _draw_alteration(chance: random.Random, problem: Problem) -> Alteration:
    ground = chance.choice(problem.grounds).key
    for_good = tuple(Closure(ground, day.index) for day in problem.days)
    fresh = _draw_ask(chance, "new", len(problem.days))
    first = problem.asks[0]
    raised = replace(first, priority=3, sessions=min(first.sessions + 1, len(problem.days)))
    kind = chance.choice(("closed", "closed", "new", "less", "changed"))
    return Alteration(
        closures=for_good if kind == "closed" else (),
        asks_added=(fresh,) if kind == "new" else (),
        asks_changed=(raised,) if kind == "changed" else (),
        squads_dropped=frozenset({problem.asks[-1].squad} if kind == "less" else ()),
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_proved_is_so_by_every_plan(seed: int) -> None:
    """The best of all plans comes out, and is proved, whether or not the old proof is known."""
    problem, standing, alteration = draw(seed)
    altered = alter(problem, alteration)
    best = max(measures(altered, standing, plan) for plan in brute.every_plan(altered))
    for known in (None, placing(problem, standing)):
        effort = Effort(seconds=60, workers=1 + seed % 2)
        result = reshare(problem, standing, alteration, effort, known_most=known)
        assert verify(altered, result.outcome) == ()
        assert measures(altered, standing, result.outcome.placements) == best
        if result.outcome.levels:
            assert result.outcome.kind is Kind.PROVED_BEST


def test_a_bound_that_is_carried_over_holds_and_says_something() -> None:
    """No plan of the new problem has more points than are carried over; often one has as many."""
    met = 0
    for seed in SEEDS:
        problem, standing, alteration = draw(seed)
        altered = alter(problem, alteration)
        most = max(placing(altered, plan) for plan in brute.every_plan(altered))
        carried = most_carried(problem, altered, placing(problem, standing))
        assert most <= carried
        met += most == carried
    assert met > len(SEEDS) // 4


def test_an_ask_that_is_pinned_anew_may_have_what_it_had_not() -> None:
    """A pin need not keep to an ask's own hours, so the old bound says nothing of that ask."""
    grounds = make_pitch(cuts=("whole",))
    asks = [make_ask(key, possible=(Window(0, 1080, 1140),)) for key in "ab"]
    problem = make_problem(grounds, *asks, step_minutes=60)
    pin = Placement("b", 0, grounds[0].key, 0, 1140, 1140 + asks[1].minutes)
    altered = alter(problem, Alteration(pins=(pin,)))
    one = placing(problem, [replace(pin, ask="a")])
    assert most_carried(problem, altered, one) == 2 * one


def test_a_known_bound_ends_the_search_for_more_places() -> None:
    """Where the plan that stands was proved best and still stands, nothing is left to search."""
    grounds = make_pitch(cuts=("halves",))
    asks = [make_ask(key, possible=(Window(0, 1080, 1080 + 60),)) for key in "abc"]
    problem = make_problem(grounds, *asks, step_minutes=60)
    standing = max(brute.every_plan(problem), key=len)
    closed = Alteration(closures=(Closure(grounds[0].key, 0, (), 600, 660),))
    known = placing(problem, standing)
    result = reshare(problem, standing, closed, Effort(seconds=1e-6), known_most=known)
    assert [level.is_proved for level in result.outcome.levels[:2]] == [True, True]
    without = reshare(problem, standing, closed, Effort(seconds=1e-6))
    assert not without.outcome.levels[0].is_proved
