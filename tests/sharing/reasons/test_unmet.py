"""Why a session that has a place has not the one it would like best."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.sharing import LoadLimit, Placement, Window
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.reasons.unmet import unmet_wishes
from tests.sharing.builders import make_ask, make_pitch, make_problem

GOOD = (Window(0, 1080, 1140),)
PROBLEM = make_problem(make_pitch(), make_ask("a", preferred=GOOD), make_ask("b", preferred=GOOD))
FIRST = Placement("a", 0, "top-whole-0", 0, 1080, 1140)
SECOND = Placement("b", 0, "top-whole-0", 0, 1140, 1200)


def test_who_holds_the_better_place_is_named() -> None:
    """The hour that b would like is a's; a has what it likes best."""
    (reason,) = unmet_wishes(PROBLEM, (FIRST, SECOND), "b")
    assert reason.holders == (FIRST,)
    assert "Squad a" in tell_reason(reason)
    assert unmet_wishes(PROBLEM, (FIRST, SECOND), "a") == ()


def test_a_free_better_place_and_spent_grass_are_told_apart() -> None:
    """Alone, b could simply have it, unless its week's use of the grass is at its end."""
    (reason,) = unmet_wishes(PROBLEM, (SECOND,), "b")
    assert tell_reason(reason).endswith("it is free.")
    assert reason.holders == ()
    worn = replace(PROBLEM, loads=(LoadLimit("top", most_sessions=1),))
    late = replace(SECOND, ask="a")
    (reason,) = unmet_wishes(worn, (late,), "a")
    assert tell_reason(reason).endswith("it is free."), (
        "its own session does not stand in its own way"
    )


def test_a_pinned_session_is_where_it_is_meant_to_be() -> None:
    """Nothing is said about what the secretary has put somewhere, nor about an unknown ask."""
    pinned = replace(PROBLEM, asks=(PROBLEM.asks[0], make_ask("b", pinned=(SECOND,))))
    assert unmet_wishes(pinned, (FIRST, SECOND), "b") == ()
    with pytest.raises(ValueError, match="no ask"):
        unmet_wishes(PROBLEM, (), "nobody")
