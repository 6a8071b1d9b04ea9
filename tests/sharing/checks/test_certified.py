"""A bound on placing sessions that anybody can add up."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from clubplanner.sharing.checks.certified import (
    all_prices,
    certificate_told,
    gains_at_prices,
    is_certified,
    most_at_prices,
)
from clubplanner.sharing.checks.places_alone import PlacesAlone
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.files.files import read_outcome, write_value
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.search.pricing import PARTS, ROWS_A_SECOND, certify
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.certificate import Certificate, GroundPrice, PersonPrice
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS
from clubplanner.sharing.values.problem import Effort, Placement
from clubplanner.sharing.values.wants import Window
from tests.sharing import brute
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.test_against_brute_force import MOST_PLANS, tiny_problems

if TYPE_CHECKING:
    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Problem

FIRST = SESSION_POINTS + FIRST_POINTS
"""What a squad's first session is worth at the lowest priority."""
PLENTY = 1e9


def find(problem: Problem) -> Certificate:
    """Return the prices of a problem, with all the time there is."""
    terrain = survey(problem)
    found = certify(terrain, list_candidates(terrain), PLENTY)
    assert found is not None
    return found


def test_two_squads_and_one_hour() -> None:
    """By hand: both want the pitch at 18:00, so one has it: 5 + 2 points, priced at just that.

    At that price neither gains anything, and the hour is paid for once: 7. For nothing both take
    it: 14. At 3 points each gains 4, and 3 are paid: 11.
    """
    asks = [make_ask(key, possible=(Window(0, 1080, 1140),)) for key in "ab"]
    problem = make_problem(make_pitch(), *asks)
    for price, most in ((FIRST, FIRST), (0, 2 * FIRST), (3, 2 * FIRST - 3)):
        at = GroundPrice("top", 1, 0, 1080, price)
        assert most_at_prices(problem, Certificate(1, (at,), (), 0)) == most
    assert find(problem).most == FIRST


def test_one_coach_and_two_pitches() -> None:
    """By hand: ground for both, one coach: the coach's hour is what costs."""
    asks = [make_ask(k, coach="Ada", possible=(Window(0, 1080, 1140),)) for k in "ab"]
    problem = make_problem((*make_pitch(), *make_pitch("back")), *asks)
    found = find(problem)
    assert found.most == FIRST
    assert found.ground_prices == ()
    assert [(of.coach, of.day, of.minute) for of in found.person_prices] == [("Ada", 0, 1080)]


def test_half_a_pitch_each() -> None:
    """By hand: two halves for three squads that ask for a half: two of them have one."""
    asks = [make_ask(k, least_share=0.5, possible=(Window(0, 1080, 1140),)) for k in "abc"]
    found = find(make_problem(make_pitch(cuts=("whole", "halves")), *asks))
    assert found.most == 2 * FIRST


def test_second_sessions_and_priorities_count_as_they_do() -> None:
    """By hand: room for everything: 3 × 5 × 3 points and the first's 2 × 3, at no price at all."""
    days = make_days(3)
    ask = make_ask(sessions=3, priority=3, possible=tuple(Window(n, 1080, 1200) for n in range(3)))
    found = find(make_problem(make_pitch(), ask, days=days))
    assert (found.ground_prices, found.person_prices) == ((), ())
    assert found.most == 3 * 5 * 3 + 2 * 3


def test_a_pinned_session_has_its_place_whatever_it_breaks() -> None:
    """A pin outside of what is asked for counts, so it must be among what can be taken."""
    pin = Placement("a", 0, "top-whole-0", 0, 600, 660)
    problem = make_problem(make_pitch(), make_ask("a", pinned=(pin,)))
    assert pin in [place for place, _ground in PlacesAlone(problem).of(problem.asks[0])]
    outcome = solve(problem, Effort(seconds=1))
    assert outcome.placements
    assert verify(problem, outcome) == ()


def test_a_price_that_two_could_pay_at_once_proves_nothing() -> None:
    """By hand: both halves at one price of 7 would be paid twice and counted once: 7 for all of 14.

    Likewise a price of a squad and its coach, of which the first of two sessions pays both.
    """
    asks = [make_ask(k, least_share=0.5, possible=(Window(0, 1080, 1140),)) for k in "ab"]
    problem = make_problem(make_pitch(cuts=("whole", "halves")), *asks)
    outcome = solve(problem, Effort(seconds=1))
    assert outcome.levels[0].value == 2 * FIRST
    both = GroundPrice("top", (1 << 12) - 1, 0, 1080, FIRST)
    forged = Certificate(1, (both,), (), FIRST)
    assert most_at_prices(problem, forged) == FIRST
    told = [fault.message for fault in certificate_told(problem, _carrying(outcome, forged))]
    assert told == ["A price is for more than one cell, which two sessions could have at once."]
    twice = Certificate(1, (), (PersonPrice("squad a", "Ada", 0, 1080, 1),), 0)
    told = [fault.message for fault in certificate_told(problem, _carrying(outcome, twice))]
    assert told == ["A price is for a squad and a coach, or for nobody."]


def test_the_sum_can_be_followed_step_by_step() -> None:
    """By hand: at 3 points an hour both squads gain 4 of 7, and 3 are paid once: 11."""
    asks = [make_ask(key, possible=(Window(0, 1080, 1140),)) for key in "ab"]
    problem = make_problem(make_pitch(), *asks)
    certificate = Certificate(1, (GroundPrice("top", 1, 0, 1080, 3),), (), 0)
    gains = list(gains_at_prices(problem, certificate))
    assert [gain.squad_name for gain in gains] == ["Squad a", "Squad b"]
    assert [gain.gained for gain in gains] == [FIRST - 3, FIRST - 3]
    (taken,) = gains[0].taken
    assert (taken.placement.start_min, taken.points, taken.price) == (1080, SESSION_POINTS, 3)
    dear = replace(certificate, ground_prices=(GroundPrice("top", 1, 0, 1080, 9),))
    assert [gain.taken for gain in gains_at_prices(problem, dear)] == [(), ()]
    assert most_at_prices(problem, dear) == all_prices(dear) == 9


def _carrying(outcome: Outcome, certificate: Certificate) -> Outcome:
    return replace(outcome, certificate=certificate)


@given(problem=tiny_problems(), data=st.data())
@settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
def test_no_plan_passes_whatever_the_prices(problem: Problem, data: st.DataObject) -> None:
    """Drawn prices and those found: every plan of a tiny problem stays within what they prove."""
    assume(brute.most_plans(problem) <= MOST_PLANS)
    best = brute.best_measures(problem)[0]
    prices = st.integers(0, 12)
    ground = data.draw(
        st.lists(
            st.builds(
                GroundPrice,
                pitch=st.sampled_from([one.pitch for one in problem.grounds]),
                cells=st.sampled_from([1 << n for n in range(12)]),
                day=st.sampled_from([day.index for day in problem.days]),
                minute=st.sampled_from([1080, 1095, 1110, 1125, 1140, 1155]),
                price=prices,
            ),
            max_size=6,
        )
    )
    people = data.draw(
        st.lists(
            st.builds(
                PersonPrice,
                squad=st.sampled_from([ask.squad for ask in problem.asks]),
                coach=st.none(),
                day=st.just(0),
                minute=st.sampled_from([1080, 1110, 1140]),
                price=prices,
            ),
            max_size=2,
        )
    )
    drawn = Certificate(1, tuple(ground), tuple(people), 0)
    assert best <= most_at_prices(problem, drawn)
    assert best <= find(problem).most


@pytest.mark.parametrize("has_wants", [False, True])
def test_a_clubs_result_carries_one(has_wants: bool) -> None:
    """It says less than asking for everything, no less than the plan has, and outlives its file."""
    problem = example(14, 1, 3, 1.6)
    problem = with_wants(problem, 3) if has_wants else problem
    outcome = solve(problem, Effort(seconds=8))
    found = outcome.certificate
    assert found is not None
    level = outcome.levels[0]
    everything = most_at_prices(problem, Certificate(1, (), (), 0))
    assert level.value <= level.bound <= found.most < everything
    assert found.parts == PARTS
    assert verify(problem, outcome) == ()
    again, faults = read_outcome(write_value(outcome).encode())
    assert faults == ()
    assert again == outcome


def test_what_the_search_proves_beyond_it_is_not_called_certified() -> None:
    """The bound of a result is certified where prices alone come to it."""
    problem = example(14, 1, 3, 1.6)
    outcome = solve(problem, Effort(seconds=8))
    found, level = outcome.certificate, outcome.levels[0]
    assert found is not None
    assert is_certified(outcome) == (level.bound >= found.most)
    looser = replace(level, bound=found.most + 5, is_proved=False)
    assert is_certified(replace(outcome, levels=(looser, *outcome.levels[1:])))
    assert not is_certified(replace(outcome, certificate=None))


def test_without_time_there_is_none() -> None:
    """Who has a hundredth of a second gets a plan without a certificate."""
    terrain = survey(example(14, 1, 3, 1.6))
    rows = list_candidates(terrain)
    assert certify(terrain, rows, (len(rows) - 1) / ROWS_A_SECOND) is None
