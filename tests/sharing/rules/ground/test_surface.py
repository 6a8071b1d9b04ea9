"""Surfaces, as the optimiser keeps them."""

from __future__ import annotations

import pytest

from clubplanner.sharing.rules.ground.surface import RULE
from tests.sharing.builders import make_ask, make_problem
from tests.sharing.rules.oracle import SITE, broken_places, faulty_places


@pytest.mark.parametrize("surfaces", [(), ("grass",), ("artificial", "indoor"), ("ice",)])
def test_only_surfaces_that_will_do_are_offered(surfaces: tuple[str, ...]) -> None:
    """None named means any; one that no pitch has leaves nothing."""
    problem = make_problem(SITE, make_ask(surfaces=frozenset(surfaces)))
    broken = broken_places(problem, RULE)
    assert broken == faulty_places(problem, "surface")
    refused = {ground for ground, _day, _start in broken}
    assert refused == {g.key for g in SITE if surfaces and g.surface not in surfaces}
