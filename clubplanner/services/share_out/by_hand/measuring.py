"""Measuring a plan that a person has changed: who goes without, and how well each is served."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from clubplanner.services.proposals.files_to_check import files_as_json
from clubplanner.services.proposals.kept_reasons import refusals_as_json
from clubplanner.services.proposals.weeks.facts import week_as_json
from clubplanner.sharing.solving.kept import outcome_by_hand
from clubplanner.sharing.values.problem import plain

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.values.problem import Placement, Problem


def measures_as_json(problem: Problem, placements: Sequence[Placement]) -> dict[str, Any]:
    """Return what a proposal keeps of a plan without a proof: who is served, who goes without.

    With it the files that it can be checked with.
    """
    outcome = outcome_by_hand(problem, placements)
    return {
        "asked": outcome.asked,
        "satisfactions": [plain(entry) for entry in outcome.satisfactions],
        "refusals": refusals_as_json(outcome.refusals),
        "week": week_as_json(problem, placements),
        **files_as_json(problem, outcome),
    }
