"""Measuring a plan that a person has changed: who goes without, and how well each is served."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from clubplanner.services.proposals.kept_reasons import refusals_as_json
from clubplanner.services.proposals.week_facts import week_as_json
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.measures import satisfactions_of
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.placements import rows_of_placements
from clubplanner.sharing.reasons.reasons import explain
from clubplanner.sharing.values.problem import plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Placement, Problem


def measures_as_json(problem: Problem, placements: Sequence[Placement]) -> dict[str, Any]:
    """Return what a proposal shows of a plan without a proof: refusals and satisfactions."""
    terrain = survey(problem)
    alone = best_alone(terrain, list_candidates(terrain))
    rows = rows_of_placements(terrain, placements)
    scores = np.zeros(len(problem.asks), dtype=np.int64)
    np.add.at(scores, rows.ask, rows.score)
    served = satisfactions_of(problem, scores.tolist(), alone.tolist())
    return {
        "asked": sum(ask.sessions for ask in problem.asks),
        "satisfactions": [plain(entry) for entry in served],
        "refusals": refusals_as_json(explain(terrain, placements, is_proved=False)),
        "week": week_as_json(problem, placements),
    }
