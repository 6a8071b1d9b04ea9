"""Enough ground, as the optimiser keeps it."""

from __future__ import annotations

import pytest

from clubplanner.sharing.rules.ground.enough_ground import FORMAT, SIZE
from tests.sharing.builders import make_ask, make_problem
from tests.sharing.rules.oracle import SITE, broken_places, faulty_places


@pytest.mark.parametrize(
    "wanted",
    [
        {},
        {"least_m2": 2000.0},
        {"least_m2": 2000.4},
        {"least_m2": 2000.6},
        {"least_share": 0.5},
        {"least_share": 1 / 3, "least_m2": 1500.0},
        {"least_share": 1.0},
        {"least_m2": 9000.0},
    ],
)
def test_ground_is_large_enough(wanted: dict[str, float]) -> None:
    """A size and a share of its pitch, both with the slack that corners in millimetres need."""
    problem = make_problem(SITE, make_ask("a", **wanted))
    assert broken_places(problem, SIZE) == faulty_places(problem, "too small", "too small a share")


def test_half_a_square_metre_is_let_pass() -> None:
    """A third of 6,000 m² does for 2,000.4 m², and not for 2,000.6 m²."""
    for least, is_refused in ((2000.4, False), (2000.6, True)):
        problem = make_problem(SITE, make_ask(least_m2=least))
        assert (("lit-thirds-0", 0, 1080) in broken_places(problem, SIZE)) is is_refused


@pytest.mark.parametrize("code", [None, "5v5", "11v11", "7v7"])
def test_ground_holds_the_format(code: str | None) -> None:
    """Only ground that holds it is offered."""
    problem = make_problem(SITE, make_ask(least_format=code))
    broken = broken_places(problem, FORMAT)
    assert broken == faulty_places(problem, "format")
    refused = {ground for ground, _day, _start in broken}
    assert refused == {g.key for g in SITE if code is not None and code not in g.formats}
