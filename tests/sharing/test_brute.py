"""What the search is held to looks at every place that there can be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import given, settings

from tests.sharing import brute
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    from clubplanner.sharing import Problem

ALL_DAY_MIN = 24 * 60


@given(problem=tiny_problems())
@settings(max_examples=10)
def test_no_place_is_far_from_when_an_ask_may_have_it(problem: Problem) -> None:
    """The checker passes nothing at other hours of the day, so they need not be tried each time."""
    for ask in problem.asks:
        everywhere = brute.every_place(problem, ask, ALL_DAY_MIN)
        assert everywhere == brute.every_place(problem, ask)
