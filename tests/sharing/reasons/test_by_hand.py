"""What else a squad could have, and what it would cost the others."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.sharing import Effort, Placement, Problem, Window, check
from clubplanner.sharing.reasons.by_hand import Option, what_else
from clubplanner.sharing.solving.solve import solve
from tests.sharing.brute import every_place, wish
from tests.sharing.builders import make_ask, make_club, make_days, make_pitch, make_problem

WEEK = (Window(0, 1080, 1200), Window(1, 1080, 1200))


def plan_with(plan: tuple[Placement, ...], old: Placement, option: Option) -> list[Placement]:
    """Return the plan as it would be."""
    gone = [old, *(step.old for step in option.steps)]
    return [item for item in plan if item not in gone] + [
        option.placement,
        *(step.new for step in option.steps),
    ]


def test_every_free_place_is_listed_and_no_other() -> None:
    """What is called free is what the checker passes with everybody else where they are."""
    problem = make_problem(
        make_pitch(cuts=("halves",)),
        *(make_ask(key, possible=WEEK) for key in "abc"),
        days=make_days(2),
    )
    plan = solve(problem, Effort(seconds=5)).placements
    first = plan[0]
    others = [item for item in plan if item != first]
    ask = next(ask for ask in problem.asks if ask.key == first.ask)
    free = {
        (place.day, place.ground, place.start_min)
        for place in every_place(problem, ask)
        if not check(problem, [*others, place])
    }
    options = what_else(problem, plan, first.ask, 0, most=1000)
    found = {
        (item.placement.day, item.placement.ground, item.placement.start_min)
        for item in options
        if not item.steps
    }
    assert found == free - {(first.day, first.ground, first.start_min)}


def test_who_would_have_to_move_is_named_with_what_it_costs_them() -> None:
    """The one good hour is held: the holder's way and loss are told, and the plan is sound."""
    good = (Window(0, 1080, 1140),)
    problem = make_problem(
        make_pitch(),
        make_ask("a", preferred=good, priority=2),
        make_ask("b", preferred=good),
    )
    plan = (
        Placement("a", 0, "top-whole-0", 0, 1080, 1140),
        Placement("b", 0, "top-whole-0", 0, 1140, 1200),
    )
    options = what_else(problem, plan, "b", 0)
    (swap,) = (item for item in options if item.steps and item.placement.start_min == 1080)
    assert swap.steps[0].squad_name == "Squad a"
    assert swap.cost == -swap.steps[0].points == 20
    assert swap.points == 20
    assert "Squad a moves to Monday 19:00–20:00" in swap.text
    assert check(problem, plan_with(plan, plan[1], swap)) == ()


def test_a_pin_of_another_stays_and_its_own_gives_way() -> None:
    """By hand a squad's own pin can be changed; nobody moves a pinned session of others."""
    pin = Placement("a", 0, "top-whole-0", 0, 1080, 1140)
    problem = make_problem(make_pitch(), make_ask("a", pinned=(pin,)), make_ask("b"))
    plan = (pin, Placement("b", 0, "top-whole-0", 0, 1140, 1200))
    assert not [item for item in what_else(problem, plan, "b", 0) if item.steps]
    assert [item.placement.start_min for item in what_else(problem, plan, "a", 0)] == [1140]


def test_a_refused_session_can_be_placed_by_hand() -> None:
    """A session without a place gains its points; who moves is in the plan."""
    problem: Problem = make_club(14, pitches=2)
    outcome = solve(problem, Effort(seconds=4))
    plan = outcome.placements
    item = plan[3]
    kept = tuple(other for other in plan if other != item)
    options = what_else(problem, kept, item.ask, item.session)
    assert options
    for option in options:
        assert check(problem, plan_with(kept, item, option)) == ()
        assert option.points == wish(problem, replace(option.placement, session=0))


def test_an_unknown_session_is_told() -> None:
    """There is nothing to say about a session nobody asks for."""
    problem = make_problem(make_pitch(), make_ask("a"))
    with pytest.raises(ValueError, match="no session 1"):
        what_else(problem, (), "a", 1)


def test_what_is_wrong_elsewhere_keeps_nothing_from_being_offered() -> None:
    """Two others share a coach at one hour, as bookings made by hand may: a's places stay."""
    problem = make_problem(
        (*make_pitch("top"), *make_pitch("low"), *make_pitch("side")),
        make_ask("a"),
        make_ask("b", coach="Robin"),
        make_ask("c", coach="Robin"),
    )
    plan = (
        Placement("b", 0, "top-whole-0", 0, 1080, 1140),
        Placement("c", 0, "low-whole-0", 0, 1080, 1140),
    )
    assert check(problem, plan), "one coach in two places"
    free = {item.placement.ground for item in what_else(problem, plan, "a", 0) if not item.steps}
    assert free == {"top-whole-0", "low-whole-0", "side-whole-0"}
