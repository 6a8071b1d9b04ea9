"""Load limits in a re-share: what stands may go on, nothing is added to it."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Effort, LoadLimit, Placement, Window
from clubplanner.sharing.again.alteration import Alteration, Closure
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.places.standing_loads import with_room_for
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

DAYS = make_days(2)
WEEK = (Window(0, 1080, 1200), Window(1, 1080, 1200))
PROBLEM = make_problem(
    (*make_pitch("grass"), *make_pitch("turf", surface="artificial")),
    *(make_ask(key, possible=WEEK) for key in "abc"),
    days=DAYS,
    loads=(LoadLimit("grass", most_minutes=60, most_sessions=1),),
)
STANDING = (
    Placement("a", 0, "grass-whole-0", 0, 1080, 1140),
    Placement("b", 0, "grass-whole-0", 1, 1080, 1140),
    Placement("c", 0, "turf-whole-0", 0, 1080, 1140),
)


def test_a_limit_is_raised_to_what_stands_and_no_further() -> None:
    """Two hours stand where one is allowed; a limit that holds is left alone."""
    (load,) = with_room_for(PROBLEM, STANDING).loads
    assert (load.most_minutes, load.most_sessions) == (120, 2)
    (load,) = with_room_for(PROBLEM, STANDING[:1]).loads
    assert (load.most_minutes, load.most_sessions) == (60, 1)
    free = replace(PROBLEM, loads=())
    assert with_room_for(free, STANDING) is free


def test_nobody_is_moved_for_the_grass_and_nobody_is_sent_to_it() -> None:
    """The artificial pitch closes on Monday: c goes to its Tuesday, not to the worn grass."""
    problem = with_room_for(PROBLEM, STANDING)
    closed = Alteration(closures=(Closure("turf-whole-0", 0),))
    result = reshare(problem, STANDING, closed, Effort(seconds=5))
    assert result.disturbed == ()
    where = {item.ask: item for item in result.outcome.placements}
    assert (where["a"], where["b"]) == STANDING[:2]
    assert (where["c"].ground, where["c"].day) == ("turf-whole-0", 1)
