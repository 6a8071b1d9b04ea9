"""Which places share a variable of the model."""

from __future__ import annotations

from clubplanner.sharing import Effort, Price
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_pitch, make_problem


def test_a_third_with_a_price_of_its_own_is_told_from_the_others() -> None:
    """Of equal thirds the dear one is left free, though only its price tells it apart."""
    grounds = make_pitch(cuts=("thirds",))
    prices = (
        Price("park", "top", per_hour=90),
        Price("park", "top", per_hour=500, ground=grounds[0].key),
    )
    problem = make_problem(grounds, make_ask("a", least_m2=2000.0), prices=prices)
    outcome = solve(problem, Effort(seconds=5))
    assert outcome.levels[-1].name == "keeping cost low"
    assert outcome.levels[-1].value == 30
    assert outcome.placements[0].ground != grounds[0].key
