"""A re-share of which another plan was found since tells all of that plan."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Effort, Placement, Problem, Window
from clubplanner.sharing.again.alteration import Alteration, Closure
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.solving.kept import reshared_of_plan
from clubplanner.sharing.solving.settling import settled
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.outcome import CutShort, Outcome
from tests.sharing.builders import make_ask, make_pitch, make_problem

EFFORT = Effort(seconds=5)
EARLY, LATE = Window(0, 1080, 1140), Window(0, 1140, 1200)
STANDS = Placement("a", 0, "top-whole-0", 0, 1080, 1140)


def one_place_left() -> Problem:
    """Return one pitch with a squad that stands, and room for one of three more."""
    asks = [make_ask(key, preferred=(EARLY,)) for key in "abc"]
    return make_problem(make_pitch(), *asks, make_ask("d", preferred=(LATE,)))


def with_pinned(problem: Problem, *pins: Placement) -> Problem:
    """Return a problem in which sessions stay."""
    asks = tuple(
        replace(ask, pinned=tuple(pin for pin in pins if pin.ask == ask.key))
        for ask in problem.asks
    )
    return replace(problem, asks=asks)


def without(outcome: Outcome) -> set[str]:
    """Return the asks that are told to go without."""
    return {refusal.ask for refusal in outcome.refusals}


def test_more_that_is_placed_is_told() -> None:
    """Where the first search had too little, nobody placed since is told to go without."""
    problem = one_place_left()
    poor = reshared_of_plan(problem, (STANDS,), Alteration(), (STANDS,), EFFORT, CutShort.MEMORY)
    assert without(poor.outcome) == {"b", "c", "d"}
    better = solve(with_pinned(problem, STANDS), EFFORT)
    done = settled(poor, problem, (STANDS,), better, EFFORT, Brake())
    assert without(done.outcome) == {"b", "c"}
    assert [move.ask for move in done.moves] == ["d"]
    assert done.outcome.levels[0].value > poor.outcome.levels[0].value
    assert done.outcome.cut_short is CutShort.MEMORY
    assert verify(done.problem, done.outcome) == ()


def test_a_plan_that_places_less_is_not_taken() -> None:
    """It is worse on the first aim, so the first result stays as it is."""
    problem = one_place_left()
    found = reshare(problem, (STANDS,), Alteration(), EFFORT)
    fewer = replace(solve(with_pinned(problem, STANDS), EFFORT), placements=(STANDS,))
    assert settled(found, problem, (STANDS,), fewer, EFFORT, Brake()) is found


def test_a_plan_that_disturbs_more_is_not_taken() -> None:
    """Who stood and could stay is not sent elsewhere for the wishes of others."""
    problem = one_place_left()
    found = reshare(problem, (STANDS,), Alteration(), EFFORT)
    other = solve(replace(problem, asks=tuple(reversed(problem.asks))), EFFORT)
    moved = Placement("a", 0, "top-whole-0", 0, 1140, 1200)
    first = Placement("b", 0, "top-whole-0", 0, 1080, 1140)
    other = replace(other, placements=(first, moved))
    assert settled(found, problem, (STANDS,), other, EFFORT, Brake()) is found


def test_what_was_proved_stays_proved_of_a_plan_as_good() -> None:
    """Ground is closed, whoever stood there moves; the fewest are, and that is still proved."""
    pitches = (*make_pitch("top"), *make_pitch("back"))
    asks = [make_ask(key, preferred=(EARLY,)) for key in "abcd"]
    problem = make_problem(pitches, *asks, make_ask("e", preferred=(LATE,)))
    closed = Alteration(closures=(Closure("top-whole-0", 0, (), 1080, 1140, "Mowing"),))
    found = reshare(problem, (STANDS,), closed, EFFORT)
    own = [place for place in found.outcome.placements if place.ask == "a"]
    better = solve(with_pinned(found.problem, *own), EFFORT)
    done = settled(found, problem, (STANDS,), better, EFFORT, Brake())
    assert done.hit == found.hit == ("squad a",)
    assert done.disturbed == found.disturbed == ()
    assert [(one.name, one.value, one.is_proved) for one in done.outcome.levels] == [
        (one.name, one.value, one.is_proved) for one in found.outcome.levels
    ]
    assert done.outcome.kind is found.outcome.kind
    assert verify(done.problem, done.outcome) == ()
