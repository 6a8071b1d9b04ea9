"""Wishes about two squads, as the share-out weighs them."""

from __future__ import annotations

import pytest

from clubplanner.sharing import Effort, Outcome, Pair, PairKind, Problem
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_pitch, make_problem

EFFORT = Effort(seconds=10)


def share(problem: Problem) -> Outcome:
    """Solve a problem; what comes out is true and proved."""
    outcome = solve(problem, EFFORT)
    assert verify(problem, outcome) == ()
    return outcome


@pytest.mark.parametrize(
    ("kind", "meets"),
    [
        (PairKind.SHARE_PITCH, "pitch"),
        (PairKind.KEEP_APART, "other pitch"),
        (PairKind.NOT_TOGETHER, "other time"),
        (PairKind.ONE_AFTER_OTHER, "next"),
        (PairKind.SAME_EVENING, "venue"),
    ],
)
def test_wishes_about_two_squads_are_kept(kind: PairKind, meets: str) -> None:
    """Friends train beside each other, rivals do not, siblings one after the other."""
    grounds = (
        *make_pitch("one", venue="park", cuts=("halves",)),
        *make_pitch("two", venue="lane", cuts=("halves",)),
    )
    asks = (make_ask("a"), make_ask("b"))
    problem = make_problem(grounds, *asks, pairs=(Pair(kind, "squad a", "squad b", 3),))
    first, second = sorted(share(problem).placements, key=lambda place: place.ask)
    same_pitch = first.ground.partition("-")[0] == second.ground.partition("-")[0]
    at_once = first.start_min < second.end_min and second.start_min < first.end_min
    found = {
        "pitch": same_pitch and at_once,
        "other pitch": not (same_pitch and at_once),
        "other time": not at_once,
        "next": same_pitch and not at_once,
        "venue": same_pitch,
    }
    assert found[meets]
