"""Venues that an ask names, as the optimiser keeps them."""

from __future__ import annotations

import pytest

from clubplanner.sharing.rules.ground.venue import RULE
from tests.sharing.builders import make_ask, make_problem
from tests.sharing.rules.oracle import SITE, broken_places, faulty_places


@pytest.mark.parametrize("venues", [(), ("park",), ("park", "lane"), ("moon",)])
def test_only_venues_that_will_do_are_offered(venues: tuple[str, ...]) -> None:
    """None named means any."""
    problem = make_problem(SITE, make_ask(venues=frozenset(venues)))
    broken = broken_places(problem, RULE)
    assert broken == faulty_places(problem, "venue")
    refused = {ground for ground, _day, _start in broken}
    assert refused == {g.key for g in SITE if venues and g.venue not in venues}
