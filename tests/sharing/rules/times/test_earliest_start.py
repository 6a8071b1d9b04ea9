"""The earliest start, as the optimiser keeps it."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.language import speaking
from clubplanner.sharing import Effort, Placement, Window, check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.reasons import explain
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.rules.times.earliest_start import RULE
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_pitch, make_problem
from tests.sharing.rules.oracle import broken_places, faulty_places

ASK = make_ask(earliest_start_min=1110, preferred=(Window(0, 1080, 1140),))
PROBLEM = make_problem(make_pitch(cuts=("halves",)), ASK)


def test_nobody_starts_before_school_is_out() -> None:
    """A session may start at the minute itself, and none is placed earlier."""
    assert broken_places(PROBLEM, RULE) == faulty_places(PROBLEM, "earliest start")
    assert {start for _ground, _day, start in broken_places(PROBLEM, RULE)} == {1080}
    (place,) = solve(PROBLEM, Effort(10)).placements
    assert place.start_min == 1110
    early = replace(place, start_min=1080, end_min=1140)
    assert [fault.code for fault in check(PROBLEM, [early])] == ["earliest start"]


def test_a_saturday_is_no_school_day() -> None:
    """From Monday to Friday only: on a Saturday it may start as early as asked for."""
    days = tuple(replace(day, weekday=5) for day in PROBLEM.days)
    saturday = replace(PROBLEM, days=days)
    assert broken_places(saturday, RULE) == faulty_places(saturday, "earliest start") == set()


def test_a_pinned_session_may_start_earlier() -> None:
    """What the secretary pins stands."""
    pin = Placement("a", 0, "top-halves-0", 0, 1080, 1140)
    pinned = replace(PROBLEM, asks=(replace(ASK, pinned=(pin,)),))
    assert solve(pinned, Effort(10)).placements == (pin,)
    assert check(pinned, [pin]) == ()


def test_it_is_told_in_both_languages() -> None:
    """A refused ask hears of the hour, and which ground there would be otherwise."""
    refused = replace(PROBLEM, asks=(replace(ASK, earliest_start_min=1150),))
    (refusal,) = explain(survey(refused), (), is_proved=True)
    assert [tell_reason(reason) for reason in refusal.reasons] == [
        (
            "There is no place that is taken up no earlier than 19:10, the earliest start on "
            "Monday 18:00–20:00."
        ),
        "But for the earliest start, there would be top halves 1 and top halves 2.",
    ]
    with speaking("de"):
        assert "ab 19:10, dem frühesten Beginn" in tell_reason(refusal.reasons[0])
