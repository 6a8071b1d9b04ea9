"""What a result claims, judged by code of its own."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from clubplanner.sharing import Effort, Kind, Outcome, Problem, Window
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_pitch, make_problem
from tests.sharing.test_against_brute_force import tiny_problems


@pytest.fixture(scope="module")
def club() -> Problem:
    """Return a club that wants more than there is room for."""
    return example(12, 1, 2, 1.5)


@pytest.fixture(scope="module")
def result(club: Problem) -> Outcome:
    """Return its true result, with refusals, changes and holders."""
    outcome = solve(club, Effort(seconds=3))
    assert outcome.refusals
    assert any(refusal.changes for refusal in outcome.refusals)
    return outcome


def codes(problem: Problem, outcome: Outcome) -> set[str]:
    """Return the codes of what is not true."""
    return {fault.code for fault in verify(problem, outcome)}


@given(problem=tiny_problems())
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_what_the_search_claims_is_true(problem: Problem) -> None:
    """Every number of a result comes out the same from separate code."""
    assert verify(problem, solve(problem, Effort(seconds=5))) == ()


def test_a_large_result_is_true(club: Problem, result: Outcome) -> None:
    """A result of a club with standing bookings, refusals and changes is true."""
    assert verify(club, result) == ()


def test_a_squad_for_which_there_is_no_place_is_served_nothing() -> None:
    """It asked and goes without: 0 percent, by both codes, and no aim waits for it."""
    pitch = make_pitch(cuts=("whole", "thirds"))
    nowhere = make_ask("b", least_m2=90_000.0)
    problem = make_problem(pitch, make_ask("a"), nowhere)
    outcome = solve(problem, Effort(seconds=2))
    assert [item.percent for item in outcome.satisfactions] == [100, 0]
    assert verify(problem, outcome) == ()


def test_a_squad_whose_asks_give_it_two_names_is_called_by_the_first() -> None:
    """An exchange tells of it as its satisfaction does, whichever of its asks goes without."""
    asks = [
        make_ask(key, squad=squad, coach="Lou", minutes=45, possible=(Window(0, 1080, 1140),))
        for key, squad in (("a", "red"), ("b", "red"), ("c", "blue"))
    ]
    problem = make_problem((*make_pitch("top"), *make_pitch("low")), *asks)
    assert verify(problem, solve(problem, Effort(seconds=2))) == ()


def test_pins_that_break_rules_count_as_before() -> None:
    """A pinned session on too small ground gets the same points from both codes."""
    pitch = make_pitch(cuts=("whole", "thirds"))
    free = make_problem(pitch, make_ask("a", sessions=1, least_m2=3000.0, possible=()))
    pinned = solve(
        replace(free, asks=(make_ask("a", possible=(Window(0, 1080, 1140),)),)), Effort(seconds=2)
    ).placements
    problem = replace(free, asks=(replace(free.asks[0], pinned=pinned),))
    assert verify(problem, solve(problem, Effort(seconds=2))) == ()


@pytest.mark.parametrize(
    "code",
    ["another problem", "asked", "kind", "proof", "gap", "value", "bound", "satisfaction",
     "refusal", "reason", "change", "clash", "not asked for", "lost dates"],
)  # fmt: skip
def test_each_untruth_is_seen(club: Problem, result: Outcome, code: str) -> None:
    """Each sort of claim that is bent is named."""
    first, *rest = result.levels
    place = result.placements[0]
    refusal = next(item for item in result.refusals if item.changes)
    others = tuple(item for item in result.refusals if item is not refusal)
    change = refusal.changes[0]
    busy = replace(change.placement, ground=place.ground, day=place.day, start_min=place.start_min,
                   end_min=place.start_min + change.ask.minutes)  # fmt: skip
    held = replace(refusal.reasons[0], holders=(replace(place, start_min=1),))
    bent = {
        "another problem": replace(result, problem_digest="0" * 16),
        "asked": replace(result, asked=result.asked + 1),
        "kind": replace(result, kind=Kind.IMPOSSIBLE),
        "proof": replace(
            result, levels=(replace(first, is_proved=not first.is_proved), *rest)
        ),
        "gap": replace(result, levels=(replace(first, gap=first.gap + 0.01), *rest)),
        "value": replace(result, levels=(replace(first, value=first.value + 1), *rest)),
        "bound": replace(result, levels=(replace(first, bound=first.value - 1), *rest)),
        "satisfaction": replace(
            result,
            satisfactions=(
                replace(result.satisfactions[0], percent=101),
                *result.satisfactions[1:],
            ),
        ),
        "refusal": replace(result, refusals=result.refusals[1:]),
        "reason": replace(
            result,
            refusals=tuple(
                replace(item, reasons=(held,)) if item is refusal else item
                for item in result.refusals
            ),
        ),
        "change": replace(
            result,
            refusals=(*others, replace(refusal, changes=(replace(change, placement=busy),))),
        ),
        "clash": replace(
            result,
            placements=(
                *result.placements,
                replace(place, ask=change.ask.key, session=change.placement.session,
                        end_min=place.start_min + next(
                            ask.minutes for ask in club.asks if ask.key == change.ask.key)),
            ),
        ),
        "not asked for": replace(result, placements=(replace(place, ask="nobody"),)),
        "lost dates": replace(
            result,
            placements=(
                replace(place, lost_dates=() if place.lost_dates else club.days[0].dates[:1]),
                *result.placements[1:],
            ),
        ),
    }  # fmt: skip
    assert code in codes(club, bent[code])
