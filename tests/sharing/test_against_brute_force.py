"""The search against looking at every plan of tiny problems."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from clubplanner.domain.club.spread import Evenings
from clubplanner.sharing import (
    Ask,
    Effort,
    Ground,
    Kind,
    LoadLimit,
    Pair,
    PairKind,
    Price,
    Problem,
    Standing,
    Window,
    Wish,
    check,
)
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.model.aim_book import aim_named, level_names
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.levels import (
    APART,
    COMPACT,
    COST,
    EVEN,
    FAIRNESS,
    FEW,
    PLACING,
    WISHES,
    WORST_OFF,
)
from tests.sharing import brute
from tests.sharing.builders import MONDAY, make_days, make_pitch, make_problem, strip_cells

EFFORT = Effort(seconds=20)
MOST_PLANS = 10_000
"""Looking at more takes too long; there are enough problems with fewer."""


@st.composite
def tiny_problems(draw: st.DrawFn) -> Problem:
    """Draw at most three asks on at most two pitches, two days and three starts."""
    days = make_days(draw(st.integers(1, 3)), weeks=draw(st.sampled_from([1, 4])))
    pitches = draw(st.integers(1, 2))
    grounds: list[Ground] = []
    for n in range(pitches):
        cuts = draw(st.sampled_from([("whole",), ("halves",), ("thirds",), ("halves", "thirds")]))
        grounds += make_pitch(
            f"p{n}", venue=draw(st.sampled_from(["park", "lane"])), cuts=cuts, goals=n == 0
        )
    asks = tuple(
        draw(asks_of(f"a{n}", len(days), tuple(grounds))) for n in range(draw(st.integers(1, 3)))
    )
    standing = tuple(
        Standing(
            "p0", strip_cells("thirds", part), MONDAY + timedelta(days=day), 1080, 1125, "Cup", 100
        )
        for part, day in draw(st.lists(st.tuples(st.integers(0, 2), st.integers(0, 1)), max_size=2))
    )
    return make_problem(
        tuple(grounds),
        *asks,
        days=days,
        standing=standing,
        changeover_minutes=draw(st.sampled_from([0, 15])),
        travel_minutes=draw(st.sampled_from([0, 30])),
        **draw(wants_of(tuple(grounds), asks)),
    )


@st.composite
def wants_of(
    draw: st.DrawFn, grounds: tuple[Ground, ...], asks: tuple[Ask, ...]
) -> dict[str, object]:
    """Draw load limits, wishes about two squads, prices, and how the week should be."""
    squads = sorted({ask.squad for ask in asks})
    pairs = [(one, other) for one in squads for other in squads if one != other]
    loads = [(), (LoadLimit("p0", 50),), (LoadLimit("p0", 90),), (LoadLimit("p0", None, 1),)]
    venues = sorted({ground.venue for ground in grounds})
    fees = st.sampled_from([0, 7, 60])
    prices = tuple(Price(v, None, draw(fees), draw(fees)) for v in venues)
    own = (Price(grounds[0].venue, "p0", 13),)
    turn = draw(st.sampled_from([1060, 1080, 1100, 1125, 1140]))
    top = Price(grounds[0].venue, "p0", day=0, from_min=turn, until_min=1500)
    timed = (
        replace(top, per_hour=draw(fees), from_min=900, until_min=turn),
        replace(top, per_hour=90),
        replace(top, per_hour=31, ground=grounds[0].key, until_min=turn + 30),
        replace(top, per_hour=100, until_min=1200, for_floodlights=True),
        Price(grounds[0].venue, None, 0, 9, day=0),
    )
    kinds = st.sampled_from(list(PairKind))
    wished = st.tuples(kinds, st.sampled_from(pairs), st.integers(1, 3)) if pairs else st.nothing()
    return {
        "loads": draw(st.sampled_from([(), *loads])),
        "pairs": tuple(
            Pair(kind, one, other, grade)
            for kind, (one, other), grade in draw(st.lists(wished, max_size=2))
        )
        if pairs
        else (),
        "prices": draw(st.sampled_from([(), prices, (*prices, *own), (*prices, *timed)])),
        "wants_compact": draw(st.booleans()),
        "wants_apart": draw(st.booleans()),
        "evenings": draw(st.sampled_from([None, *Evenings])),
    }


@st.composite
def wishes_of(draw: st.DrawFn, days: int, grounds: tuple[Ground, ...]) -> tuple[Wish, ...]:
    """Draw up to two graded wishes of the sorts that there are."""
    last = draw(st.integers(0, days - 1))
    sorts = [
        Wish(draw(st.integers(1, 3)), windows=(Window(last, 1080, 1170),)),
        Wish(draw(st.integers(1, 3)), days=frozenset({last})),
        Wish(2, venues=frozenset({grounds[0].venue})),
        Wish(3, grounds=frozenset({draw(st.sampled_from(grounds)).key})),
    ]
    return tuple(draw(st.lists(st.sampled_from(sorts), max_size=2)))


@st.composite
def asks_of(draw: st.DrawFn, key: str, days: int, grounds: tuple[Ground, ...]) -> Ask:
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
        sessions=draw(st.integers(1, min(3, days))),
        minutes=draw(st.sampled_from([45, 60])),
        possible=possible,
        preferred=draw(st.sampled_from([(), preferred])),
        least_m2=draw(st.sampled_from(sizes)),
        needs_goal=draw(st.booleans()),
        priority=draw(st.sampled_from([1, 1, 2])),
        latest_finish_min=draw(st.sampled_from([None, None, 1170])),
        rest_days=draw(st.sampled_from([0, 0, 1])),
        no_day_before=draw(st.sampled_from([frozenset(), frozenset(), frozenset({1})])),
        no_day_after=draw(st.sampled_from([frozenset(), frozenset(), frozenset({0})])),
        wear_percent=draw(st.sampled_from([100, 50, 0])),
        wishes=draw(wishes_of(days, grounds)),
        past=draw(st.sampled_from([0, 0, 25, -25])),
        earliest_start_min=draw(st.sampled_from([None, None, 1110])),
        most_in_a_row=draw(st.sampled_from([None, None, 1, 2])),
    )


@given(problem=tiny_problems())
@settings(
    max_examples=100,
    deadline=None,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.filter_too_much,
    ],
)
def test_the_plan_is_the_best_of_all_plans(problem: Problem) -> None:
    """All aims, one after the other, come out as when every plan is looked at."""
    assume(brute.most_plans(problem) <= MOST_PLANS)
    outcome = solve(problem, EFFORT)
    assert check(problem, outcome.placements) == ()
    best = brute.best_measures(problem)
    if outcome.kind is Kind.IMPOSSIBLE:
        assert best[0] == 0
        return
    assert outcome.kind is Kind.PROVED_BEST
    assert brute.measures(problem, outcome.placements) == best
    assert verify(problem, outcome) == ()
    reached = {level.name: aim_named(level.name).sign * level.value for level in outcome.levels}
    assert list(reached) == list(level_names(problem))
    is_cheap = problem.evenings is Evenings.CHEAP
    early, late = ("", EVEN) if is_cheap else (EVEN, "")
    order = (PLACING, WORST_OFF, FAIRNESS, WISHES, APART, early, FEW, COST, late, COMPACT)
    assert [reached.get(name, 0) for name in order] == list(best)
