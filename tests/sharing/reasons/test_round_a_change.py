"""What a change can bear on: the same verdict as of the whole plan, from a few of its sessions."""

from __future__ import annotations

from dataclasses import replace
from itertools import islice, product

from clubplanner.sharing import Placement, Problem, check
from clubplanner.sharing.reasons.by_hand import what_else
from clubplanner.sharing.reasons.round_a_change import Round
from tests.sharing.builders import planned


def verdict(problem: Problem, plan: list[Placement]) -> set[tuple[str, frozenset[Placement]]]:
    """Return what the checker finds."""
    return {(fault.code, frozenset(fault.placements)) for fault in check(problem, plan)}


def test_a_part_is_judged_as_the_whole_is() -> None:
    """Every session put to every place of another, sound or not: the same faults are new."""
    found = set()
    for seed in (3, 4):
        problem, plan = planned(12, 3, seed, 1.1)
        asks = tuple(replace(ask, rest_days=1, most_in_a_row=1) for ask in problem.asks)
        problem = replace(problem, asks=asks, changeover_minutes=5)
        around, whole = Round(problem, plan), verdict(problem, list(plan))
        for moved, there in islice(product(plan, plan[::3]), 0, None, 2):
            end = there.start_min + moved.end_min - moved.start_min
            come = replace(there, ask=moved.ask, session=moved.session, end_min=end)
            after = [item for item in plan if item != moved] + [come]
            new = verdict(problem, after) - whole
            part, near = around.part([moved, come])
            near_after = [item for item in near if item != moved] + [come]
            assert verdict(part, near_after) - verdict(part, near) == new
            found |= {code for code, _unused in new}
    assert {"clash", "rest", "same day"} <= found


def test_a_part_does_not_grow_with_the_club() -> None:
    """Five times the squads and pitches: a change still bears on the sessions of its pitches."""
    sizes = []
    for squads, pitches in ((16, 4), (80, 20)):
        problem, plan = planned(squads, pitches, 5, 0.8)
        around = Round(problem, plan)
        parts = [around.part([item]) for item in plan]
        sizes.append(max(len(near) for _part, near in parts))
        assert all(len(part.asks) <= len(near) for part, near in parts)
    assert sizes[1] <= 1.5 * sizes[0]


def test_nobody_is_asked_to_move_while_enough_is_free() -> None:
    """Places that others would have to leave are worked out once the free ones are all told."""
    problem, plan = planned(12, 4, 5, 0.5)
    own = plan[0]
    every = what_else(problem, plan, own.ask, own.session, most=1000)
    free = [option for option in every if not option.steps]
    few = what_else(problem, plan, own.ask, own.session, most=len(free))
    assert list(few) == free == list(every[: len(free)])
    assert len(every) > len(free) > 3
