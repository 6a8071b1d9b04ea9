"""The latest finish, as the optimiser keeps it."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Effort, Placement, Window
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.rules.times.latest_finish import RULE
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_pitch, make_problem
from tests.sharing.rules.oracle import broken_places, faulty_places

ASK = make_ask(latest_finish_min=1170, preferred=(Window(0, 1140, 1200),))
PROBLEM = make_problem(make_pitch(cuts=("halves",)), ASK)


def test_nobody_finishes_later_than_its_age_may() -> None:
    """A session may end at the minute itself, and none is placed later."""
    assert broken_places(PROBLEM, RULE) == faulty_places(PROBLEM, "latest finish")
    assert {start for _ground, _day, start in broken_places(PROBLEM, RULE)} == {1140}
    (place,) = solve(PROBLEM, Effort(10)).placements
    assert place.end_min <= 1170


def test_a_pinned_session_may_end_later() -> None:
    """What the secretary pins stands."""
    pin = Placement("a", 0, "top-halves-0", 0, 1140, 1200)
    pinned = replace(PROBLEM, asks=(replace(ASK, pinned=(pin,)),))
    assert solve(pinned, Effort(10)).placements == (pin,)


def test_it_is_told() -> None:
    """A refused ask hears of the hour."""
    refused = replace(PROBLEM, asks=(replace(ASK, latest_finish_min=1130),))
    (refusal,) = solve(refused, Effort(10)).refusals
    assert "over by 18:50, the latest finish" in tell_reason(refusal.reasons[0])
