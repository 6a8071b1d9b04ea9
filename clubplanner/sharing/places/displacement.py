"""How far a session moves from where it stood, and which session of an ask went where.

The points are the project's own choice: another weekday weighs more than another venue, that more
than another pitch, that more than a later start.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.graph.python import linear_sum_assignment

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.sharing.values.problem import Ground, Placement, Problem

DAY_POINTS = 6
VENUE_POINTS = 4
PITCH_POINTS = 2
GROUND_POINTS = 1
"""For another part of the same pitch."""


def move_points(
    problem: Problem, grounds: Mapping[str, Ground], old: Placement, new: Placement
) -> int:
    """Measure the way from one place to another: day, then ground, then a point a step of start."""
    before, after = grounds[old.ground], grounds[new.ground]
    points = DAY_POINTS * (old.day != new.day)
    if before.venue != after.venue:
        points += VENUE_POINTS
    elif before.pitch != after.pitch:
        points += PITCH_POINTS
    elif before.key != after.key:
        points += GROUND_POINTS
    apart = abs(old.start_min - new.start_min)
    return points - (-apart // problem.step_minutes)


def lost_points(problem: Problem) -> int:
    """Return what a session counts that has no place any more: more than any move."""
    return DAY_POINTS + VENUE_POINTS + PITCH_POINTS + 1 + 2 * 24 * 60 // problem.step_minutes


def displacement(problem: Problem, old: Sequence[Placement], new: Sequence[Placement]) -> int:
    """Add up how far the sessions of a standing plan move, each ask's the shortest way.

    Args:
        problem: The problem as it is now.
        old: The standing plan; sessions of asks that are no more are left out.
        new: The new plan.
    """
    grounds = {ground.key: ground for ground in problem.grounds}
    total = 0
    olds, news = by_ask(old), by_ask(new)
    for ask in problem.asks:
        before, after = olds.get(ask.key, []), news.get(ask.key, [])
        if before == after:
            continue
        for one, other in match_sessions(problem, before, after):
            if other is None:
                total += lost_points(problem)
            else:
                total += move_points(problem, grounds, one, other)
    return total


def by_ask(plan: Iterable[Placement]) -> dict[str, list[Placement]]:
    """Gather the placements of a plan by the keys of their asks, in their order."""
    found: dict[str, list[Placement]] = {}
    for item in plan:
        found.setdefault(item.ask, []).append(item)
    return found


def match_sessions(
    problem: Problem, old: Sequence[Placement], new: Sequence[Placement]
) -> list[tuple[Placement, Placement | None]]:
    """Match an ask's old places to its new ones, the shortest way in all; None for one lost."""
    grounds = {ground.key: ground for ground in problem.grounds}
    if not old:
        return []
    size = len(old) + len(new)
    solver = linear_sum_assignment.SimpleLinearSumAssignment()
    for a in range(size):
        for b in range(size):
            cost = 0
            if a < len(old):
                cost = lost_points(problem)
                if b < len(new):
                    cost = move_points(problem, grounds, old[a], new[b])
            solver.add_arc_with_cost(a, b, cost)
    solver.solve()
    mates = [solver.right_mate(a) for a in range(len(old))]
    return [(one, new[b] if b < len(new) else None) for one, b in zip(old, mates, strict=True)]
