"""The fewest squads that are disturbed where every ask can have all its sessions.

Whether a plan disturbs no more than so many is asked value by value, from what the linear
relaxation proves upwards: the limit makes each question sharper than the least of all at once, and
the last value that is denied is the bound. Which part of the ground and which start a session has
does not count here, so places that another can stand in for are left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.again.reshare_dominance import undominated
from clubplanner.sharing.again.reshare_model import ReshareModel
from clubplanner.sharing.again.reshare_relaxed import relaxed_least

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from clubplanner.sharing.again.reshare_work import Work

Branching = cp_model.SatParameters.SearchBranching
AUTOMATIC = Branching.AUTOMATIC_SEARCH
VALUE_PARTS = ((0.25, AUTOMATIC), (0.4, Branching.PORTFOLIO_SEARCH))
"""Ways to branch for a value, with the part of the steps left: by the second, which is not told
the bound, some plans are found soon that the first does not find."""
MORE_PARTS = ((0.6, AUTOMATIC),)
"""The same for values above one that is open."""
RELAXED_STEPS, RELAXED_PART = 4e-5, 0.3
"""Steps that a place counts in a relaxed model, and part of the clock left that it may take."""


def fewest_disturbed(work: Work, least: int, weight: int, part: float) -> int:
    """Search plans in which every ask has all its sessions for one that disturbs few.

    Args:
        work: Has the best plan, and is given a better one.
        least: So many squads, not hit, every such plan disturbs at least.
        weight: More than all squads that can be disturbed.
        part: Part of the steps left that it may take.

    Returns:
        The same as `least`, higher where it was proved; the weight or more where no plan has all
        sessions.
    """
    budget = work.budget
    apt = undominated(work.places, np.ones(len(work.places.rows), dtype=bool))
    numbers = np.flatnonzero(apt)
    after = (1 - part) * budget.left
    least = limit = max(least, _relaxed(work, numbers))
    while limit < 2 * weight:
        answer = None
        for share, branching in VALUE_PARTS if limit == least else MORE_PARTS:
            steps = share * (budget.left - after)
            if answer is None and steps > 0 and work.has_time():
                model = _model(work, numbers)
                if branching is AUTOMATIC:
                    model.share.model.add(model.disturbed >= least)
                model.share.model.add(model.disturbed <= limit)
                answer = _is_there(work, model, steps, branching)
        if answer:
            break
        if answer is None:
            limit = max(limit + 1, 2 * limit - least)
        else:
            least = limit = limit + 1
    return least


def _model(work: Work, numbers: NDArray[np.int64]) -> ReshareModel:
    """Write a model of plans with all sessions; its relaxation is what denies."""
    model = ReshareModel(work.places, numbers)
    model.fill()
    model.share.model.minimize(model.disturbed)
    return model


def _relaxed(work: Work, numbers: NDArray[np.int64]) -> int:
    """Bound the squads disturbed by plans with all sessions, without a search."""
    budget = work.budget
    budget.steps += RELAXED_STEPS * len(numbers)
    seconds = RELAXED_PART * budget.clock_left
    return relaxed_least(_model(work, numbers).share.model, budget.left, seconds)


def _is_there(work: Work, model: ReshareModel, steps: float, branching: Branching) -> bool | None:
    """Look for any plan of a model, and keep it; None where it is not known if there is one."""
    solver, status = work.solve(
        model.share.model, steps, workers=1, is_first_enough=True, branching=branching
    )
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        work.adopt(model.plan_of(solver))
        return True
    return False if status == cp_model.INFEASIBLE else None
