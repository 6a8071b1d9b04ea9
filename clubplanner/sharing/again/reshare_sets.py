"""The way that sessions move, by which squads are disturbed.

Once it is known who is disturbed, all others stay where they are, and of their ground nothing is
left to choose: the way of the few who move is soon searched to its end. Where no fewer squads can
be disturbed, there are few such sets of squads, and a plan with none of those known is one question
with a sharp relaxation: what is added up is squads disturbed, not the way. When that is denied, the
least way of the sets known is the least of all plans.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.again.reshare_dominance import undominated
from clubplanner.sharing.again.reshare_model import ReshareModel

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.again.reshare_work import Work

SET_PART, OTHER_PART = 0.3, 0.4
"""Parts of the steps left for the way of one set of squads, and for a plan of another set."""


class DisturbedSets:
    """Betters the plan of a re-share on the way, one set of disturbed squads after the other."""

    def __init__(self, work: Work, apt: NDArray[np.bool_], least: int, *, is_full: bool) -> None:
        """Remember what to work on.

        Args:
            work: Has the best plan, and adopts a better one.
            apt: Rows that a plan can use which is as good as the best on all earlier aims.
            least: So many squads, not hit, every such plan disturbs at least.
            is_full: Whether every ask is known to have all sessions it has days for.
        """
        self._work = work
        self._apt = apt
        self._is_full = is_full
        self._most = len(work.places.disturbed_by(work.plan))
        self._is_least = self._most == least

    def run(self, bound: int) -> int:
        """Look at the set of the best plan, then at others as long as there is time.

        Args:
            bound: No plan as good on all earlier aims moves less.

        Returns:
            The same, higher where it was proved.
        """
        work = self._work
        plan: Sequence[int] | None = work.plan
        known: list[set[str]] = []
        while plan is not None and self._most and work.has_time():
            known.append(work.places.disturbed_by(plan))
            if not self._settle(known[-1], bound) or not self._is_least:
                return bound
            if work.values(work.plan)[2] <= bound:
                return bound
            plan, is_done = self._another(known)
            if plan is None and is_done:
                return work.values(work.plan)[2]
        return bound

    def _settle(self, disturbed: Collection[str], bound: int) -> bool:
        """Search the plans that disturb none but some squads; tell whether it came to its end."""
        model = self._work.way_model(self._beside(disturbed), self._is_full, self._most)
        for squad, changed in model.changed.items():
            if squad not in disturbed:
                model.share.model.add(changed == 0)
        _bound, is_done = self._work.search(model, float(bound), SET_PART, workers=1)
        return is_done

    def _beside(self, disturbed: Collection[str]) -> NDArray[np.bool_]:
        """Find the rows that can be in a plan in which all stay but hit and some other squads."""
        places = self._work.places
        apt = self._apt.copy()
        for old, (squad, row) in enumerate(zip(places.owners, places.kept, strict=True)):
            if row is not None and squad not in places.hit and squad not in disturbed:
                apt[self._work.reach.in_the_way_of(old)] = False
        return apt | (places.rows.session >= 0)

    def _another(self, known: Sequence[Collection[str]]) -> tuple[list[int] | None, bool]:
        """Look for a plan that disturbs another set of as many squads.

        Returns:
            A plan, or None; and whether it is sure that there is none.
        """
        work = self._work
        apt = undominated(work.places, self._apt)
        model = ReshareModel(work.places, np.flatnonzero(apt))
        program = model.share.model
        if self._is_full:
            model.fill()
        else:
            program.add(model.share.aims.points >= work.values(work.plan)[0])
        program.add(model.disturbed <= self._most)
        # No plan disturbs fewer than each known set has, so a plan of another set leaves one out.
        for squads in known:
            own = [model.changed[squad] for squad in squads]
            program.add(cp_model.LinearExpr.sum(own) <= len(own) - 1)
        program.minimize(model.disturbed)  # its relaxation is what denies; any plan will do
        steps = OTHER_PART * work.budget.left
        solver, status = work.solve(program, steps, workers=1, is_first_enough=True)
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return model.plan_of(solver), False
        return None, status == cp_model.INFEASIBLE
