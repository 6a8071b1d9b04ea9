"""Light on unlit ground, as the optimiser keeps it."""

from __future__ import annotations

from clubplanner.sharing import Darkness, Effort, LightsOut, Opening, Window
from clubplanner.sharing.rules.times import curfew, light
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.rules.oracle import SITE, broken_places, faulty_places

EFFORT = Effort(seconds=10)
PROBLEM = make_problem(
    SITE,
    make_ask(possible=tuple(Window(day, 960, 1260) for day in range(2))),
    days=make_days(2),
    darkness=(Darkness("park", 0, 1150), Darkness("park", 0, 1140), Darkness("lane", 1, 1100)),
    lights_out=(LightsOut("park", None, 0, 1200), LightsOut("park", "lit", 0, 1180)),
)


def test_unlit_ground_is_left_before_dark() -> None:
    """The earliest darkness of a venue counts; lit and indoor ground is left alone."""
    broken = broken_places(PROBLEM, light.RULE)
    assert {place[0].partition("-")[0] for place in broken} == {"dim"}
    assert min(start for _ground, _day, start in broken) == 1110
    assert ("dim-whole-0", 0, 1080) not in broken


MORNING = make_problem(
    SITE,
    make_ask(possible=tuple(Window(day, 360, 780) for day in range(2))),
    days=make_days(2),
    openings=[Opening(venue, day, 0, 1440) for venue in ("park", "lane") for day in range(2)],
    darkness=(Darkness("park", 0, 1150, 470), Darkness("park", 0, 1140, 480)),
)


def test_unlit_ground_is_not_entered_before_dawn() -> None:
    """The latest dawn of a venue counts; lit and indoor ground is left alone."""
    broken = broken_places(MORNING, light.RULE)
    assert {place[0].partition("-")[0] for place in broken} == {"dim"}
    assert {day for _ground, day, _start in broken} == {0}
    assert max(start for _ground, _day, start in broken) == 480 - MORNING.step_minutes
    assert broken == faulty_places(MORNING, "dark")


def test_dark_is_what_light_and_curfew_say_together() -> None:
    """The checker knows one rule where the book has two."""
    both = broken_places(PROBLEM, light.RULE, curfew.RULE)
    assert both == faulty_places(PROBLEM, "dark")


def test_unlit_ground_is_used_only_in_the_light() -> None:
    """A session on unlit ground ends by the earliest darkness of all its dates."""
    unlit = make_pitch(is_lit=False)
    dark = (Darkness("park", 0, 1150),)
    (place,) = solve(make_problem(unlit, make_ask("a"), darkness=dark), EFFORT).placements
    assert place.end_min <= 1150
    early = (Darkness("park", 0, 1130),)
    assert solve(make_problem(unlit, make_ask("a"), darkness=early), EFFORT).placements == ()
    lit = make_pitch()
    out = (LightsOut("park", None, 0, 1170),)
    problem = make_problem(lit, make_ask("a"), make_ask("b"), darkness=dark, lights_out=out)
    assert all(p.end_min <= 1170 for p in solve(problem, EFFORT).placements)
