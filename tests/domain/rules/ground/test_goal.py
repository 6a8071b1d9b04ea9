"""The rule of a goal for those who ask for one."""

from __future__ import annotations

import pytest

from clubplanner.domain.rules.ground.goal import goal
from tests.builders import make_ask
from tests.domain.rules.builders import make_case, make_hire, make_match, make_scene, venue_with

SHOOTING = make_ask(needs_goal=True)


@pytest.mark.parametrize(
    ("area_key", "is_refused"),
    [
        ("half-1", False),
        ("third-2", True),
        ("third-3", False),
        ("whole", False),
        ("corner-1", True),
    ],
)
def test_a_whole_goal_stands_on_the_ground(area_key: str, *, is_refused: bool) -> None:
    """At the ends; not in the middle third, and not half on a corner."""
    case = make_case(ask=SHOOTING, area_key=area_key)
    found = goal(case)
    assert (found is not None) == is_refused
    if found is not None:
        assert found.is_own
        assert found.words == f"No goal stands on {case.area.name}; U12 Kestrels ask for one."


def test_a_pitch_without_goals_is_refused_to_those_alone_who_ask() -> None:
    """A portable goal that could be brought does not stand there."""
    bare = make_scene(venues=venue_with(goals=(), portable_goals=2))
    assert goal(make_case(bare, ask=SHOOTING)) is not None
    for case in (make_case(bare), make_case(bare, ask=None), make_match(bare), make_hire(bare)):
        assert goal(case) is None


def test_goals_that_nobody_recorded_are_not_taken_for_none() -> None:
    """Nobody goes without ground for what was never asked."""
    silent = make_scene(venues=venue_with(goals=(), are_goals_known=False))
    for area_key in ("whole", "third-2", "corner-1"):
        assert goal(make_case(silent, ask=SHOOTING, area_key=area_key)) is None
