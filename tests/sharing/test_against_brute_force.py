"""The search against looking at every plan of tiny problems."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from clubplanner.sharing import Ask, Effort, Ground, Kind, Problem, Standing, Window, check
from clubplanner.sharing.solve import solve
from tests.sharing import brute
from tests.sharing.builders import MONDAY, make_days, make_pitch, make_problem, strip_cells

EFFORT = Effort(seconds=20)
MOST_PLANS = 10_000
"""Looking at more takes too long; there are enough problems with fewer."""


@st.composite
def tiny_problems(draw: st.DrawFn) -> Problem:
    """Draw at most three asks on at most two pitches, two days and three starts."""
    days = make_days(draw(st.integers(1, 2)), weeks=draw(st.sampled_from([1, 4])))
    pitches = draw(st.integers(1, 2))
    grounds: list[Ground] = []
    for n in range(pitches):
        cuts = draw(st.sampled_from([("whole",), ("halves",), ("thirds",), ("halves", "thirds")]))
        grounds += make_pitch(
            f"p{n}", venue=draw(st.sampled_from(["park", "lane"])), cuts=cuts, goals=n == 0
        )
    asks = tuple(draw(asks_of(f"a{n}", len(days))) for n in range(draw(st.integers(1, 3))))
    standing = tuple(
        Standing("p0", strip_cells("thirds", part), MONDAY + timedelta(days=day), 1080, 1125, "Cup")
        for part, day in draw(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 1)), max_size=2))
    )
    return make_problem(
        tuple(grounds),
        *asks,
        days=days,
        standing=standing,
        changeover_minutes=draw(st.sampled_from([0, 15])),
        travel_minutes=draw(st.sampled_from([0, 30])),
    )


@st.composite
def asks_of(draw: st.DrawFn, key: str, days: int) -> Ask:
    """Draw an ask for one or two sessions in an hour and a half from 18:00."""
    sizes = [0.0, 1900.0, 2500.0, 5000.0]
    possible = tuple(
        Window(day, 1080, draw(st.sampled_from([1140, 1170, 1200]))) for day in range(days)
    )
    preferred = (Window(draw(st.integers(0, days - 1)), 1080, 1140),)
    return Ask(
        key=key,
        squad=draw(st.sampled_from(["red", "blue", key])),
        squad_name=key,
        coach=draw(st.sampled_from([None, "Kim", "Lou"])),
        sessions=draw(st.integers(1, min(2, days))),
        minutes=draw(st.sampled_from([45, 60])),
        possible=possible,
        preferred=draw(st.sampled_from([(), preferred])),
        least_m2=draw(st.sampled_from(sizes)),
        needs_goal=draw(st.booleans()),
        priority=draw(st.sampled_from([1, 1, 2])),
    )


@given(problem=tiny_problems())
@settings(
    max_examples=200,
    deadline=None,
    derandomize=True,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.filter_too_much,
    ],
)
def test_the_plan_is_the_best_of_all_plans(problem: Problem) -> None:
    """All three aims, one after the other, come out as when every plan is looked at."""
    assume(brute.most_plans(problem) <= MOST_PLANS)
    outcome = solve(problem, EFFORT)
    assert check(problem, outcome.placements) == ()
    points, minus_shortfall, wishes = brute.best_measures(problem)
    if outcome.kind is Kind.IMPOSSIBLE:
        assert points == 0
        return
    assert outcome.kind is Kind.PROVED_BEST
    assert [level.value for level in outcome.levels] == [points, -minus_shortfall, wishes]
    assert brute.measures(problem, outcome.placements) == (points, minus_shortfall, wishes)
