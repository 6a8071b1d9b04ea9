"""Goals, as the optimiser keeps them."""

from __future__ import annotations

import pytest

from clubplanner.sharing.rules.ground.goal import RULE
from tests.sharing.builders import make_ask, make_problem
from tests.sharing.rules.oracle import SITE, broken_places, faulty_places


@pytest.mark.parametrize("needs_goal", [True, False])
def test_a_goal_is_there_where_one_is_needed(needs_goal: bool) -> None:
    """The middle third of a pitch has none."""
    problem = make_problem(SITE, make_ask(needs_goal=needs_goal))
    broken = broken_places(problem, RULE)
    assert broken == faulty_places(problem, "goal")
    assert (("lit-thirds-1", 0, 1080) in broken) is needs_goal
    assert ("lit-thirds-0", 0, 1080) not in broken
