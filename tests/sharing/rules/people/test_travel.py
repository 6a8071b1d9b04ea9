"""The way between two venues, as the optimiser keeps it."""

from __future__ import annotations

import pytest

from clubplanner.sharing import Effort, Window
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_pitch, make_problem
from tests.sharing.rules.oracle import plans_of_model, sound_plans

GROUNDS = (*make_pitch("one", venue="park"), *make_pitch("two", venue="lane"))


@pytest.mark.parametrize("travel", [0, 15, 30, 45])
def test_the_way_is_kept_free(travel: int) -> None:
    """Of all plans of three asks of one coach at two venues, exactly the sound ones."""
    asks = (
        make_ask("a", coach="Kim", possible=(Window(0, 1080, 1170),)),
        make_ask("b", coach="Kim", possible=(Window(0, 1140, 1230),)),
        make_ask("c", coach="Kim", minutes=30, possible=(Window(0, 1140, 1170),)),
    )
    problem = make_problem(GROUNDS, *asks, travel_minutes=travel)
    assert plans_of_model(problem) == sound_plans(problem)


def test_a_coach_needs_time_to_travel() -> None:
    """An hour here and the next there is too much with any way between."""
    asks = (
        make_ask("a", coach="Kim", venues=frozenset({"park"}), possible=(Window(0, 1080, 1140),)),
        make_ask("b", coach="Kim", venues=frozenset({"lane"}), possible=(Window(0, 1140, 1200),)),
    )
    for travel, placed in ((0, 2), (15, 1)):
        problem = make_problem(GROUNDS, *asks, travel_minutes=travel)
        assert solve(problem, Effort(10)).placed == placed
