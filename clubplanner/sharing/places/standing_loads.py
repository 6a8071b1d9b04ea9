"""Load limits that a plan which stands may exceed, while nothing is added to what exceeds them."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import rows_of_placements
from clubplanner.sharing.rules.ground.load import A_SESSION, limits_of, week_loads

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Placement, Problem
    from clubplanner.sharing.values.wants import LoadLimit


def with_room_for(problem: Problem, standing: Sequence[Placement]) -> Problem:
    """Raise each load limit to what stands in its fullest week.

    A re-share changes as little as can be: nobody loses a place for the sake of the grass, and
    nobody is sent to grass that has enough.

    Args:
        problem: The problem.
        standing: The plan that stands, as far as the problem speaks of it.
    """
    if not problem.loads:
        return problem
    terrain = survey(problem)
    rows = rows_of_placements(terrain, standing)
    over: dict[tuple[int, bool], int] = {}
    for limit in limits_of(terrain):
        used = week_loads(terrain, rows, limit)[1].sum(axis=0)
        key = (limit.pitch, limit.is_minutes)
        over[key] = max(0, int((used - limit.room).max(initial=0)), over.get(key, 0))
    pitches = {key: number for number, key in enumerate(terrain.pitches)}

    def raised(load: LoadLimit) -> LoadLimit:
        pitch = pitches[load.pitch]
        minutes, sessions = load.most_minutes, load.most_sessions
        if minutes is not None:
            minutes += over[pitch, True]
        if sessions is not None:
            sessions += -(-over[pitch, False] // A_SESSION)
        return replace(load, most_minutes=minutes, most_sessions=sessions)

    return replace(problem, loads=tuple(raised(load) for load in problem.loads))
