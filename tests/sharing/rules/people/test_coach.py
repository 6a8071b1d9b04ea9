"""Nobody in two places at a time, as the optimiser keeps it."""

from __future__ import annotations

import pytest

from clubplanner.sharing import Effort, Placement, Window
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.rules.oracle import plans_of_model, sound_plans

TWO = (*make_pitch("one"), *make_pitch("two"))


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ({"coach": "Kim"}, {"coach": "Kim"}),
        ({"coach": "Kim"}, {"coach": "Lou"}),
        ({"squad": "s"}, {"squad": "s"}),
        ({"squad": "s", "coach": "Kim"}, {"squad": "s", "coach": "Lou"}),
        ({}, {}),
    ],
)
def test_a_coach_and_a_squad_are_in_one_place_at_a_time(
    first: dict[str, str], second: dict[str, str]
) -> None:
    """Of all plans of two asks at overlapping hours, exactly the sound ones."""
    windows = (Window(0, 1080, 1170), Window(1, 1080, 1140))
    problem = make_problem(
        TWO,
        make_ask("a", possible=windows, **first),
        make_ask("b", possible=windows, **second),
        days=make_days(2),
    )
    assert plans_of_model(problem) == sound_plans(problem)


@pytest.mark.parametrize(
    ("changes", "placed"), [({"coach": "Kim"}, 1), ({"squad": "s"}, 1), ({}, 2)]
)
def test_one_hour_holds_one_session_of_a_person(changes: dict[str, str], placed: int) -> None:
    """Two pitches do not help who has to be on both."""
    asks = [make_ask(key, possible=(Window(0, 1080, 1140),), **changes) for key in "ab"]
    assert solve(make_problem(TWO, *asks), Effort(10)).placed == placed


def test_pinned_sessions_need_two_people_as_well() -> None:
    """A coach pinned to two places is a contradiction."""
    pins = [Placement(key, 0, f"{where}-whole-0", 0, 1080, 1140)
            for key, where in (("a", "one"), ("b", "two"))]  # fmt: skip
    asks = [make_ask(pin.ask, coach="Kim", pinned=(pin,)) for pin in pins]
    outcome = solve(make_problem(TWO, *asks), Effort(10))
    assert "one person in two places" in tell_reason(outcome.contradictions[0])
