"""Measuring a plan that a person has changed: who goes without, and how well each is served."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from clubplanner.sharing.candidates import best_alone, list_candidates, rows_of_placements
from clubplanner.sharing.measures import satisfactions_of
from clubplanner.sharing.problem import plain
from clubplanner.sharing.terrain import survey

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.problem import Placement, Problem

CHANGED = "The plan was changed by hand since; “Find a place” shows what there is now."


def measures_as_json(problem: Problem, placements: Sequence[Placement]) -> dict[str, Any]:
    """Return what a proposal shows of a plan without a proof: refusals and satisfactions."""
    terrain = survey(problem)
    alone = best_alone(terrain, list_candidates(terrain))
    rows = rows_of_placements(terrain, placements)
    scores = np.zeros(len(problem.asks), dtype=np.int64)
    np.add.at(scores, rows.ask, rows.score)
    served = satisfactions_of(problem, scores.tolist(), alone.tolist())
    placed = {ask.key: 0 for ask in problem.asks}
    for place in placements:
        placed[place.ask] += 1
    return {
        "asked": sum(ask.sessions for ask in problem.asks),
        "satisfactions": [plain(entry) for entry in served],
        "refusals": [
            {
                "ask": ask.key,
                "squad_name": ask.squad_name,
                "missing": ask.sessions - placed[ask.key],
                "reasons": [{"code": "by hand", "text": CHANGED}],
                "changes": [],
            }
            for ask in problem.asks
            if placed[ask.key] < ask.sessions
        ],
    }
