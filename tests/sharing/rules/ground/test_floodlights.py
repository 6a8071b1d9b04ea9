"""Floodlights that an ask needs, as the optimiser keeps them."""

from __future__ import annotations

import pytest

from clubplanner.sharing.rules.ground.floodlights import RULE
from tests.sharing.builders import make_ask, make_problem
from tests.sharing.rules.oracle import SITE, broken_places, faulty_places


@pytest.mark.parametrize("needs_light", [True, False])
def test_ground_has_light_where_it_is_needed(needs_light: bool) -> None:
    """Floodlights or a roof will do."""
    problem = make_problem(SITE, make_ask(needs_light=needs_light))
    broken = broken_places(problem, RULE)
    assert broken == faulty_places(problem, "no floodlights")
    refused = {ground.partition("-")[0] for ground, _day, _start in broken}
    assert refused == ({"dim"} if needs_light else set())
