"""Floodlights that go out, as the optimiser keeps them."""

from __future__ import annotations

from clubplanner.sharing import Darkness, LightsOut, Placement, Window
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.reasons import contradictions, explain
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.rules.times.curfew import RULE
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.rules.oracle import SITE, broken_places, faulty_places

LIT = tuple(ground for ground in SITE if ground.is_lit)
DARK = (Darkness("park", 0, 1100), Darkness("lane", 0, 1215))


def test_lit_ground_is_left_before_its_lights_go_out() -> None:
    """A pitch's own hour and its venue's both count; before dark nobody needs the lights."""
    problem = make_problem(
        LIT,
        make_ask(possible=tuple(Window(day, 960, 1290) for day in range(2))),
        days=make_days(2),
        darkness=DARK,
        lights_out=(
            LightsOut("park", None, 0, 1230),
            LightsOut("park", "lit", 0, 1200),
            LightsOut("lane", None, 0, 1170),
            LightsOut("lane", None, 1, 1170),
        ),
    )
    broken = broken_places(problem, RULE)
    assert broken == faulty_places(problem, "dark")
    assert min(start for ground, _day, start in broken if ground.startswith("lit")) == 1170
    assert min(start for ground, _day, start in broken if ground.startswith("turf")) == 1170
    assert all(day == 0 for _ground, day, _start in broken), "it is never dark on day 1"


def test_it_is_told_as_lights_that_go_out() -> None:
    """Somebody with a lit pitch hears of its lights, not of daylight; so does a pin."""
    problem = make_problem(
        make_pitch(),
        make_ask(possible=(Window(0, 1140, 1200),)),
        darkness=(Darkness("park", 0, 1100),),
        lights_out=(LightsOut("park", None, 0, 1170),),
    )
    (refusal,) = explain(survey(problem), (), is_proved=True)
    assert [tell_reason(reason) for reason in refusal.reasons] == [
        "There is no place that keeps its floodlights on until the end on Monday 19:00–20:00.",
        "But for the hour at which floodlights go out, there would be top whole 1.",
    ]
    pin = Placement("a", 0, "top-whole-0", 0, 1140, 1200)
    pinned = make_problem(
        make_pitch(), make_ask(pinned=(pin,)), darkness=problem.darkness,
        lights_out=problem.lights_out,
    )  # fmt: skip
    (reason,) = contradictions(survey(pinned))
    assert tell_reason(reason).endswith("but the floodlights go out before the end.")
