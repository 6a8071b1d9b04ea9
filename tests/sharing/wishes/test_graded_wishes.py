"""Wishes by grade, as the share-out weighs them."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Effort, Outcome, Problem, Window, Wish
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_pitch, make_problem

EFFORT = Effort(seconds=10)


def share(problem: Problem) -> Outcome:
    """Solve a problem; what comes out is true and proved."""
    outcome = solve(problem, EFFORT)
    assert verify(problem, outcome) == ()
    return outcome


def test_a_wish_of_a_higher_grade_is_kept_first() -> None:
    """Two wishes that exclude each other: the one that matters more is granted."""
    grounds = (*make_pitch("one", venue="park"), *make_pitch("two", venue="lane"))
    early = Wish(3, windows=(Window(0, 1080, 1140),), venues=frozenset({"park"}))
    late = Wish(1, windows=(Window(0, 1140, 1200),), venues=frozenset({"lane"}))
    (place,) = share(make_problem(grounds, make_ask(wishes=(early, late)))).placements
    assert (place.ground, place.start_min) == ("one-whole-0", 1080)
    other = make_ask(wishes=(replace(early, grade=1), replace(late, grade=3)))
    (place,) = share(make_problem(grounds, other)).placements
    assert (place.ground, place.start_min) == ("two-whole-0", 1140)
