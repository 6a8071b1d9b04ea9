"""Evenings are about as full as each other, or as few as can be, as the club says."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

from clubplanner.domain.club.spread import Evenings
from clubplanner.sharing import Effort, Kind, Price, Window
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from clubplanner.sharing import Problem
    from clubplanner.sharing.values.outcome import Outcome

EFFORT = Effort(seconds=10)
PITCH = make_pitch(cuts=("whole", "halves", "thirds"))
EVERY_DAY = tuple(Window(day, 1080, 1200) for day in range(5))


def club(evenings: Evenings | None, fee: int = 0) -> Problem:
    """Return ten squads with one session each, and room for all of them on two evenings."""
    asks = (make_ask(f"a{n}", possible=EVERY_DAY, least_m2=1900.0) for n in range(10))
    prices = (Price("park", None, 0, fee),) if fee else ()
    days = make_days(5, 4)
    return make_problem(PITCH, *asks, days=days, evenings=evenings, prices=prices)


def counts(problem: Problem) -> tuple[list[int], Outcome]:
    """Share out; return the sessions of each evening and the result."""
    outcome = solve(problem, EFFORT)
    assert outcome.kind is Kind.PROVED_BEST
    assert verify(problem, outcome) == ()
    by_day = Counter(item.day for item in outcome.placements)
    return [by_day[day] for day in range(5)], outcome


def test_evenings_are_filled_evenly() -> None:
    """Ten sessions on five evenings are two on each, proved."""
    assert counts(club(Evenings.EVEN))[0] == [2, 2, 2, 2, 2]


def test_even_evenings_cost_what_they_cost() -> None:
    """Each evening that opens has its price; the result tells what the plan before had."""
    found, outcome = counts(club(Evenings.EVEN, fee=7))
    assert found == [2, 2, 2, 2, 2]
    cost = outcome.traded[-1]
    assert (cost.name, cost.now) == ("keeping cost low", 35)
    assert cost.before <= cost.now
    wishes = outcome.traded[0]
    assert wishes.before <= wishes.now


def test_cheap_evenings_are_even_where_it_costs_nothing() -> None:
    """Two openings pay for all, and those two are as full as each other."""
    found, outcome = counts(club(Evenings.CHEAP, fee=7))
    assert sorted(found) == [0, 0, 0, 5, 5]
    assert [level.name for level in outcome.levels[-2:]] == [
        "keeping cost low",
        "filling evenings evenly",
    ]


def test_few_evenings_need_no_price() -> None:
    """Who wants few evenings has two, though nothing has a price."""
    found, outcome = counts(club(Evenings.FEW))
    assert sum(count > 0 for count in found) == 2
    assert outcome.levels[-1].value == 2


def test_full_evenings_leave_the_rest_to_the_others() -> None:
    """A match on every Monday leaves no room there; the other evenings share evenly."""
    problem = club(Evenings.EVEN)
    asks = tuple(make_ask(a.key, possible=EVERY_DAY[1:], least_m2=1900.0) for a in problem.asks[:8])
    found, _outcome = counts(make_problem(PITCH, *asks, days=problem.days, evenings=Evenings.EVEN))
    assert found == [0, 2, 2, 2, 2]


def test_larger_venues_have_more_of_it() -> None:
    """A venue with two pitches has twice the sessions of one with a single pitch."""
    grounds = (
        *make_pitch("one", cuts=("thirds",)),
        *make_pitch("two", cuts=("thirds",)),
        *make_pitch("three", venue="lane", cuts=("thirds",)),
    )
    asks = (make_ask(f"a{n}", possible=EVERY_DAY[:1], least_m2=1900.0) for n in range(6))
    problem = make_problem(grounds, *asks, days=make_days(1, 4), evenings=Evenings.EVEN)
    outcome = solve(problem, EFFORT)
    assert sum(item.ground.startswith("three") for item in outcome.placements) == 2
