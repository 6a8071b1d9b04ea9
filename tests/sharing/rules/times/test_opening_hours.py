"""Opening hours, as the optimiser keeps them."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Day, Opening, Window
from clubplanner.sharing.rules.times.opening_hours import RULE
from tests.sharing.builders import make_ask, make_days, make_problem
from tests.sharing.rules.oracle import SITE, broken_places, faulty_places

PROBLEM = make_problem(
    SITE,
    make_ask(possible=tuple(Window(day, 900, 1320) for day in range(3))),
    days=make_days(3),
    openings=(
        Opening("park", 0, 960, 1080),
        Opening("park", 0, 1080, 1200),
        Opening("park", 1, 960, 1110),
        Opening("park", 1, 1140, 1260),
        Opening("lane", 0, 600, 1260),
    ),
)


def test_a_session_lies_in_hours_in_which_its_venue_is_open() -> None:
    """Hours that touch are one, a gap between them is not; no hours at all is closed."""
    broken = broken_places(PROBLEM, RULE)
    assert broken == faulty_places(PROBLEM, "closed")
    assert ("lit-whole-0", 0, 1050) not in broken
    assert ("lit-whole-0", 1, 1080) in broken
    assert ("turf-whole-0", 1, 1080) in broken


def test_a_day_without_dates_is_closed() -> None:
    """Where breaks have left no date of a day, nobody can be there."""
    empty = replace(PROBLEM, days=(Day(0, "Monday", 0, ()), *PROBLEM.days[1:]))
    assert {place for place in broken_places(empty, RULE) if place[1] == 0} == {
        (ground.key, 0, start) for ground in SITE for start in range(900, 1261, 30)
    }
