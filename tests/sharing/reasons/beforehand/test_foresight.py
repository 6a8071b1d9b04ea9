"""What is said before anything is shared out, against every plan and against what is then done."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, assume, given, settings

from clubplanner.sharing import Darkness, LightsOut, LoadLimit, Opening, Standing, Window
from clubplanner.sharing.reasons.beforehand.foresight import Foresight
from tests.sharing import brute
from tests.sharing.builders import (
    MONDAY,
    make_ask,
    make_days,
    make_openings,
    make_pitch,
    make_problem,
)
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing import Ask, Problem
    from clubplanner.sharing.values.foreseen import Remedy, Trouble

NAMES = {"park": "The park", "top": "Top pitch", "low": "Low pitch"}
FEW_PLANS = 300
UNHURRIED = settings(
    max_examples=30,
    deadline=None,
    suppress_health_check=[
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
        HealthCheck.filter_too_much,
    ],
)


def troubles_of(problem: Problem) -> tuple[Trouble, ...]:
    """Find and explain all troubles."""
    foresight = Foresight(problem, NAMES)
    return foresight.explained(foresight.troubles())


@given(problem=tiny_problems())
@UNHURRIED
def test_what_is_missing_is_what_no_plan_has(problem: Problem) -> None:
    """Each ask by itself, against every plan that the independent checker passes."""
    for ask in problem.asks:
        alone = replace(problem, asks=(ask,), loads=(), pairs=(), prices=())
        assume(brute.most_plans(alone) <= FEW_PLANS)
        most = max(len(plan) for plan in brute.every_plan(alone))
        missing = sum(one.missing for one in Foresight(alone, NAMES).troubles())
        assert missing == ask.sessions - most


@given(problem=tiny_problems())
@UNHURRIED
def test_ground_is_called_short_only_where_no_plan_places_all(problem: Problem) -> None:
    """Whatever is said to be too much of, some session of it goes without in every plan."""
    assume(brute.most_plans(problem) <= FEW_PLANS)
    supply = Foresight(problem, NAMES).supply()
    most = max(len(plan) for plan in brute.every_plan(problem))
    if most == supply.sessions:
        assert not supply.is_short


GOALLESS = make_pitch(cuts=("whole",), goals=False)
TWO_DAYS = make_days(2)
DAYS_OPEN = make_openings(TWO_DAYS, "park")


def with_goals(problem: Problem, _ask: Ask) -> Problem:
    """Put a goal on all ground."""
    return replace(problem, grounds=tuple(replace(g, has_goal=True) for g in problem.grounds))


def with_lights(problem: Problem, _ask: Ask) -> Problem:
    """Put floodlights on all ground."""
    return replace(problem, grounds=tuple(replace(g, is_lit=True) for g in problem.grounds))


def with_ask(**changes: object) -> Callable[[Problem, Ask], Problem]:
    """Return what changes the ask."""
    return lambda problem, ask: replace(
        problem,
        asks=(replace(ask, **changes),),  # type: ignore[arg-type]
    )


def with_problem(**changes: object) -> Callable[[Problem, Ask], Problem]:
    """Return what changes the problem."""
    return lambda problem, _ask: replace(problem, **changes)  # type: ignore[arg-type]


GRASS = make_pitch(cuts=("whole",))
CASES = {
    "goal": (
        make_problem(GOALLESS, make_ask(needs_goal=True)),
        "Draw or confirm the goals on Top pitch",
        with_goals,
    ),
    "lit": (
        make_problem(make_pitch(is_lit=False), make_ask(), darkness=(Darkness("park", 0, 1100),)),
        "Say that Top pitch has floodlights, if it has",
        with_lights,
    ),
    "smaller": (
        make_problem(GRASS, make_ask(least_m2=7000.0)),
        "Ask for 6,000 m² instead of 7,000 m²",
        with_ask(least_m2=6000.0),
    ),
    "opening": (
        make_problem(GRASS, make_ask(), openings=()),
        "Open The park on Monday 18:00–20:00",
        with_problem(openings=(Opening("park", 0, 1080, 1200),)),
    ),
    "lights": (
        make_problem(
            GRASS,
            make_ask(),
            darkness=(Darkness("park", 0, 1000),),
            lights_out=(LightsOut("park", None, 0, 1100),),
        ),
        "Leave the floodlights at The park on until 19:00",
        with_problem(lights_out=(LightsOut("park", None, 0, 1140),)),
    ),
    "later finish": (
        make_problem(GRASS, make_ask(latest_finish_min=1110)),
        "Let it end at 19:00, after the latest finish",
        with_ask(latest_finish_min=1140),
    ),
    "earlier start": (
        make_problem(GRASS, make_ask(earliest_start_min=1170)),
        "Let it start at 19:00, before the earliest start",
        with_ask(earliest_start_min=1140),
    ),
    "other time": (
        make_problem(GRASS, make_ask(minutes=90, possible=(Window(0, 1080, 1140),))),
        "Let it start at 17:30 already",
        with_ask(possible=(Window(0, 1050, 1140),)),
    ),
    "other surface": (
        make_problem(GRASS, make_ask(surfaces=frozenset({"indoor"}))),
        "Allow grass, too",
        with_ask(surfaces=frozenset({"indoor", "grass"})),
    ),
    "other venue": (
        make_problem(GRASS, make_ask(venues=frozenset({"lane"}))),
        "Allow The park, too",
        with_ask(venues=frozenset({"lane", "park"})),
    ),
    "booked": (
        make_problem(
            GRASS, make_ask(), standing=(Standing("top", 0xFFF, MONDAY, 0, 1440, "Building site"),)
        ),
        "Free Top pitch of what stands there: Building site",
        with_problem(standing=()),
    ),
    "limit": (
        make_problem(GRASS, make_ask(), loads=(LoadLimit("top", 30),)),
        "Allow Top pitch more use a week",
        with_problem(loads=()),
    ),
    "free days": (
        make_problem(GRASS, make_ask(no_day_before=frozenset({1}))),
        "Do without the day kept free before or after",
        with_ask(no_day_before=frozenset()),
    ),
    "rest": (
        make_problem(
            GRASS,
            make_ask(
                sessions=2,
                rest_days=1,
                possible=(Window(0, 1080, 1200), Window(1, 1080, 1200)),
            ),
            days=TWO_DAYS,
        ),
        "Do without days of rest between the sessions",
        with_ask(rest_days=0),
    ),
    "in a row": (
        make_problem(
            GRASS,
            make_ask(
                sessions=2,
                most_in_a_row=1,
                possible=(Window(0, 1080, 1200), Window(1, 1080, 1200)),
            ),
            days=TWO_DAYS,
        ),
        "Allow more evenings in a row",
        with_ask(most_in_a_row=None),
    ),
    "other format": (
        make_problem(GRASS, make_ask(least_format="9v9")),
        "Do without room for 9v9",
        with_ask(least_format=None),
    ),
    "without goal": (
        make_problem(GOALLESS, make_ask(needs_goal=True)),
        "Do without a goal",
        with_ask(needs_goal=False),
    ),
    "without light": (
        make_problem(make_pitch(is_lit=False), make_ask(needs_light=True)),
        "Do without floodlights",
        with_ask(needs_light=False),
    ),
    "other day": (
        make_problem(
            GRASS, make_ask(), days=TWO_DAYS, openings=make_openings(TWO_DAYS[1:], "park")
        ),
        "Allow Tuesday, too",
        with_ask(possible=(Window(0, 1080, 1200), Window(1, 1080, 1200))),
    ),
    "shorter": (
        make_problem(GRASS, make_ask(minutes=150)),
        "Ask for 120 minutes instead of 150",
        with_ask(minutes=120),
    ),
    "fewer": (
        make_problem(GRASS, make_ask(sessions=2)),
        "Ask for 1 session instead of 2",
        with_ask(sessions=1),
    ),
}


@pytest.mark.parametrize("code", CASES)
def test_each_remedy_is_offered_and_does_what_it_says(code: str) -> None:
    """Once the one thing is changed, nobody is in trouble any more."""
    problem, words, change = CASES[code]
    (trouble,) = troubles_of(problem)
    assert trouble.text
    remedy = _remedy(trouble, code)
    assert remedy.text == words
    assert remedy.gained == trouble.missing
    changed = change(problem, problem.asks[0])
    assert Foresight(changed, NAMES).troubles() == ()


def _remedy(trouble: Trouble, code: str) -> Remedy:
    found = [one for one in trouble.remedies if one.code == code]
    assert found, [one.text for one in trouble.remedies]
    return found[0]


def test_the_cause_is_the_rule_that_keeps_all_ground_out() -> None:
    """It is told in the words that the reasons of a share-out use afterwards."""
    (trouble,) = troubles_of(CASES["goal"][0])
    assert trouble.text == "There is no place that has a goal on Monday 18:00–20:00."
    assert trouble.remedies[0].place == "Monday 18:00–19:00, top whole 1"


def test_one_change_that_helps_several_is_told_with_all_of_them() -> None:
    """Six squads ask for the same and are explained in one go; one more is out of it."""
    grounds = make_pitch(goals=False, is_lit=False) + make_pitch("low", goals=False)
    asks = [make_ask(key, needs_goal=True) for key in "abcdef"]
    asks += [make_ask("g", least_m2=9000.0)]
    foresight = Foresight(make_problem(grounds, *asks), NAMES)
    troubles = foresight.troubles()
    explained = foresight.explained(troubles, 1)
    assert [bool(one.text) for one in explained] == [True] * 6 + [False]
    common = foresight.common(explained)
    assert common[0].text == "Draw or confirm the goals on Top pitch"
    assert common[0].squads == tuple(f"squad {key}" for key in "abcdef")


def test_a_part_of_the_sessions_is_told_as_a_part() -> None:
    """Two sessions on two days of which one is closed: one is missing, and opening gives it."""
    problem = make_problem(
        GRASS,
        make_ask(sessions=2, possible=(Window(0, 1080, 1200), Window(1, 1080, 1200))),
        days=TWO_DAYS,
        openings=make_openings(TWO_DAYS[:1], "park"),
    )
    (trouble,) = troubles_of(problem)
    assert trouble.missing == 1
    assert "Each session needs its own day." in trouble.text
    assert [one.code for one in trouble.remedies] == ["opening", "fewer"]


def test_hours_are_weighed_against_the_ground_in_those_hours() -> None:
    """Three whole hours are asked for in two, on one pitch: two of them have room, all is short."""
    asks = [make_ask(key, least_share=1.0) for key in "abc"]
    supply = Foresight(make_problem(GRASS, *asks), NAMES).supply()
    assert (supply.sessions, supply.asked_minutes, supply.room_minutes) == (3, 180, 120)
    (spell,) = supply.short
    assert (spell.day, spell.start_min, spell.end_min) == (0, 1080, 1200)
    thirds = make_problem(
        make_pitch(cuts=("whole", "thirds")), *(make_ask(key, least_share=1 / 3) for key in "abc")
    )
    assert not Foresight(thirds, NAMES).supply().is_short
    halves = make_problem(make_pitch(cuts=("halves",)), *(make_ask(key) for key in "abcd"))
    assert not Foresight(halves, NAMES).supply().is_short


def test_nothing_asked_for_and_nothing_open_are_no_trouble_to_say() -> None:
    """An empty problem has no troubles; one whose ground nobody can use has room for nothing."""
    nothing = Foresight(make_problem(GRASS), NAMES)
    assert nothing.troubles() == ()
    assert not nothing.supply().is_short
    closed = Foresight(make_problem(GRASS, make_ask(), openings=()), NAMES).supply()
    assert (closed.asked_minutes, closed.room_minutes) == (60, 0)
