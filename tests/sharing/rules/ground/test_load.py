"""Load limits, as the optimiser keeps them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.sharing import Effort, LoadLimit, Outcome, Placement, Problem, Standing, Window
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.reasons import explain
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.rules.ground.load import RULE
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import (
    MONDAY,
    make_ask,
    make_days,
    make_pitch,
    make_problem,
    strip_cells,
)
from tests.sharing.rules.oracle import (
    SITE,
    broken_places,
    faulty_places,
    plans_of_model,
    sound_plans,
)

HALVES = make_pitch(cuts=("halves",))


def share(problem: Problem) -> Outcome:
    """Solve a problem; what comes out is true and proved."""
    outcome = solve(problem, Effort(10))
    assert verify(problem, outcome) == ()
    return outcome


@pytest.mark.parametrize(
    ("limit", "percent", "placed"),
    [
        (LoadLimit("top", most_minutes=60), 100, 2),
        (LoadLimit("top", most_minutes=59), 100, 1),
        (LoadLimit("top", most_minutes=60), 50, 4),
        (LoadLimit("top", most_sessions=1), 100, 1),
        (LoadLimit("top", most_sessions=1), 50, 2),
        (LoadLimit("top", most_sessions=0), 100, 0),
        (LoadLimit("top", most_sessions=0), 0, 4),
    ],
)
def test_grass_is_used_no_more_than_it_bears(limit: LoadLimit, percent: int, placed: int) -> None:
    """Hours on halves count half; a young squad's count less."""
    asks = [make_ask(key, least_share=0.5, wear_percent=percent) for key in "abcd"]
    assert share(make_problem(HALVES, *asks, loads=(limit,))).placed == placed


@pytest.mark.parametrize("minutes", [19, 20, 29, 30, 59, 60])
def test_what_one_session_wears_too_much_is_not_offered(minutes: int) -> None:
    """Larger ground of a pitch wears it more; matches leave less room in their week."""
    match = Standing("lit", strip_cells("thirds", 0), MONDAY, 600, 660, "Cup", wear_percent=100)
    problem = make_problem(
        SITE,
        make_ask(possible=tuple(Window(day, 1080, 1200) for day in range(2))),
        days=make_days(2, weeks=2),
        standing=(match,),
        loads=(LoadLimit("lit", most_minutes=minutes), LoadLimit("turf", most_sessions=1)),
    )
    assert broken_places(problem, RULE) == faulty_places(problem, "load")


@pytest.mark.parametrize("limit", [LoadLimit("top", 90), LoadLimit("top", None, 2)])
def test_the_model_lets_pass_what_the_grass_bears(limit: LoadLimit) -> None:
    """Of all plans of two squads exactly the sound ones, pinned sessions beyond it or not."""
    whole = make_pitch(cuts=("whole", "halves"))[:2]
    days = tuple(Window(day, 1080, 1140) for day in range(3))
    pins = (Placement("a", 0, "top-whole-0", 0, 1080, 1140),)
    asks = (
        make_ask("a", sessions=2, possible=days, wear_percent=80),
        make_ask("b", sessions=2, possible=days),
    )
    for pinned in ((), pins):
        problem = make_problem(
            whole, replace(asks[0], pinned=pinned), asks[1], days=make_days(3), loads=(limit,)
        )
        assert plans_of_model(problem) == sound_plans(problem)


def test_matches_wear_the_grass_of_their_own_week_only() -> None:
    """A match in one week of two leaves the pitch no room in that week, so none in the pattern."""
    ask = make_ask(possible=(Window(1, 1080, 1200),), least_share=0.5)
    match = Standing("top", strip_cells("whole", 0), MONDAY, 600, 660, "Cup", wear_percent=100)
    problem = make_problem(
        make_pitch(cuts=("whole", "halves")),
        ask,
        days=make_days(2, weeks=2),
        standing=(match,),
        loads=(LoadLimit("top", most_minutes=89),),
    )
    outcome = share(problem)
    assert outcome.placed == 0
    assert "used that much more in a week" in tell_reason(outcome.refusals[0].reasons[0])
    roomy = replace(problem, loads=(LoadLimit("top", most_minutes=90),))
    assert share(roomy).placed == 1
    closure = replace(problem, standing=(replace(match, wear_percent=0),))
    assert share(closure).placed == 1


def test_pinned_sessions_may_pass_a_limit_and_leave_no_room() -> None:
    """What the secretary pins stands; nothing is added to it."""
    pins = [Placement(key, 0, f"top-halves-{n}", 0, 1080, 1140) for n, key in enumerate(("a", "b"))]
    asks = [make_ask(pin.ask, pinned=(pin,)) for pin in pins]
    problem = make_problem(HALVES, *asks, make_ask("c"), loads=(LoadLimit("top", most_sessions=1),))
    assert [place.ask for place in share(problem).placements] == ["a", "b"]


def test_who_finds_the_grass_used_up_is_told() -> None:
    """The pitch is free at that hour, but others have used what it bears that week."""
    days = make_days(2)
    asks = (make_ask("a"), make_ask("b", possible=(Window(1, 1080, 1140),)))
    limit = (LoadLimit("top", most_sessions=1),)
    problem = make_problem(make_pitch(), *asks, days=days, loads=limit)
    plan = (Placement("a", 0, "top-whole-0", 0, 1080, 1140),)
    (refusal,) = explain(survey(problem), plan, is_proved=True)
    assert tell_reason(refusal.reasons[0]) == "On Tuesday the grass may not be used more."
    assert not refusal.reasons[0].is_proved
