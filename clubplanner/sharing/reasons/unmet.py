"""Why a session that has a place does not have the one its ask would like best."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.held import blocked_by, hold
from clubplanner.sharing.reasons.telling.places import MOST_NAMED
from clubplanner.sharing.rules.book import why_too_many
from clubplanner.sharing.values.facts import Facts, holders_of, spot_of
from clubplanner.sharing.values.outcome import Reason

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Placement, Problem

LEAST_POINTS = 5
"""A place counts as liked better from so many wish points on."""


def unmet_wishes(problem: Problem, placements: Sequence[Placement], ask: str) -> tuple[Reason, ...]:
    """Say for each session of an ask what stands between it and a place liked better.

    Args:
        problem: The problem.
        placements: A sound plan.
        ask: Key of the ask.

    Returns:
        A reason a session that could like another place better; none for a pinned one. Holders
        are those of the best such places.

    Raises:
        ValueError: If there is no such ask.
    """
    number = next((n for n, item in enumerate(problem.asks) if item.key == ask), None)
    if number is None:
        raise ValueError(f"There is no ask {ask}.")
    terrain = survey(problem)
    pinned = {pin.session for pin in problem.asks[number].pinned}
    plan = hold(terrain, placements)
    rows = plan.places_of(problem.asks[number], number)
    found: list[Reason] = []
    for place_in_plan, item in enumerate(plan.placements):
        if item.ask != ask or item.session in pinned:
            continue
        held = plan.without(place_in_plan)
        blocked = blocked_by(held, rows)
        own = blocked[:, held.rows.ask == number].any(axis=1)
        now = int(plan.rows.score[place_in_plan])
        better = np.flatnonzero((rows.score >= now + LEAST_POINTS) & ~own)
        if not len(better):
            continue
        best = better[rows.score[better] == rows.score[better].max()]
        row = int(best[np.argmin(blocked[best].sum(axis=1))])
        place = placement_of(terrain, rows, row, item.session)
        holders = tuple(held.placements[n] for n in np.flatnonzero(blocked[best].any(axis=0)))
        is_free = not blocked[row].any()
        why = (
            why_too_many(terrain, problem.asks[number], rows.take(best), held.rows)
            if is_free
            else None
        )
        named, more = ((), 0) if is_free else holders_of(problem, holders, MOST_NAMED)
        facts = Facts(
            number=item.session + 1,
            spot=spot_of(problem, item),
            other=spot_of(problem, place),
            holders=named,
            more=more,
            rules=() if why is None else (why,),
        )
        found.append(Reason("wish", holders=() if is_free else holders, facts=facts))
    return tuple(found)
