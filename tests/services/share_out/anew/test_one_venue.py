"""One venue shared out alone: whatever a plan has elsewhere stands, and is in the proposal."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.errors import RefusedError
from clubplanner.services.share_out.anew.one_venue import only_at
from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.problem import Effort, Placement, Problem
from clubplanner.sharing.values.validating import validate
from tests.sharing.builders import make_ask, make_pitch, make_problem

EFFORT = Effort(seconds=2)


def venue_of(problem: Problem) -> dict[str, str]:
    """Return the venue of each ground."""
    return {ground.key: ground.venue for ground in problem.grounds}


@pytest.mark.parametrize("seed", [1, 2])
def test_sessions_elsewhere_stay_and_the_whole_is_sound(seed: int) -> None:
    """Each venue in turn is shared out anew round all others, and no session is lost by it."""
    problem = example(24, 5, seed, 1.2)
    plan = solve(problem, Effort(seconds=1)).placements
    where = venue_of(problem)
    for venue in sorted(set(where.values())):
        part = only_at(problem, venue, plan)
        assert validate(part.problem) == ()
        found = solve(part.problem, EFFORT, start=part.start)
        whole = part.whole(found.placements)
        assert check(problem, whole) == ()
        stood = {item for item in plan if where[item.ground] != venue}
        assert stood <= set(whole)
        assert all(where[item.ground] == venue for item in set(whole) - stood)
        assert len(whole) >= len(plan)
        plan = whole


def test_a_coach_who_is_elsewhere_is_not_at_the_venue() -> None:
    """Somebody's session at another venue keeps them from this one at that time."""
    grounds = (*make_pitch("p", venue="park"), *make_pitch("q", venue="quay"))
    away = make_ask("a", coach="Kim", venues=frozenset({"quay"}))
    here = make_ask("b", coach="Kim", venues=frozenset({"park"}))
    problem = make_problem(grounds, away, here, travel_minutes=120)
    standing = (Placement("a", 0, "q-whole-0", 0, 1080, 1140),)
    part = only_at(problem, "park", standing)
    assert part.whole(solve(part.problem, EFFORT).placements) == standing
    alone = only_at(replace(problem, travel_minutes=0), "park", standing)
    whole = alone.whole(solve(alone.problem, EFFORT).placements)
    assert [item.ask for item in whole] == ["a", "b"]


def test_where_nobody_lacks_a_session_there_is_nothing_to_share_out() -> None:
    """It is refused, and said why."""
    grounds = (*make_pitch("p", venue="park"), *make_pitch("q", venue="quay"))
    problem = make_problem(grounds, make_ask("a"))
    with pytest.raises(RefusedError, match="has all its sessions at others"):
        only_at(problem, "park", (Placement("a", 0, "q-whole-0", 0, 1080, 1140),))
