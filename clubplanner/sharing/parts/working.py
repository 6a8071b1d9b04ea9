"""The work on one part: its places listed, its aims worked through, in whatever process it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.plan_worth import PlanWorth
from clubplanner.sharing.parts.guiding import Guide
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.places.placements import placements_of_rows
from clubplanner.sharing.places.plans_to_go_on_from import rows_to_go_on_from
from clubplanner.sharing.places.refilling import refilled
from clubplanner.sharing.search.search import Search
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.parts.cutting import Part
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Level, Placement
    from clubplanner.sharing.values.problem import Effort


@dataclass(frozen=True, slots=True)
class PartDone:
    """What came of a part.

    Attributes:
        placements: All sessions of its problem.
        levels: The aims that were worked on.
        is_cut: Whether the clock or the brake ended it, or a part of the work on it.
        steps: Steps of the search that it took.
    """

    placements: tuple[Placement, ...]
    levels: tuple[Level, ...]
    is_cut: bool
    steps: float = 0.0


MOST_OF_AN_ASK = 40
"""Slots of each ask with which a part is searched that proves nothing."""
FEW_SLOTS = 1_500
"""A part with no more slots than this is searched with all of them."""
FIRST_REFILL_PART, REFILL_PART = 0.2, 0.4
"""Part of what is left that bettering a quick plan may take before the relaxation, and after it."""
GUIDING_PART = 0.3
"""Part of the time that the relaxation may take."""


def work_on(part: Part, effort: Effort, brake: Brake) -> PartDone:
    """Work on a part; its plan is never worse than the one that it starts from.

    First a plan is made one session after the other. Where that leaves something to better, a
    relaxation is rounded. A quick plan is bettered by taking sessions out and putting others in;
    otherwise the search goes on from the best of these; a part that proves nothing
    is searched with those places alone that the relaxation does not call too dear.
    """
    budget = Budget(effort, brake=brake)
    terrain = survey(part.problem)
    listed = list_candidates(terrain)
    here = np.array([pitch in part.pitches for pitch in terrain.pitches], dtype=bool)
    candidates = listed.take((listed.session >= 0) | here[terrain.pitch[listed.ground]])
    if not len(candidates):
        return PartDone((), (), is_cut=False)
    plans = _Plans(part, terrain, candidates)
    plans.offer(fill_plan(terrain, candidates))
    if part.start:
        start = rows_to_go_on_from(terrain, candidates, part.start)
        plans.offer(fill_plan(terrain, candidates, start))
    if plans.is_best() or budget.clock_left <= 0:
        return plans.done(is_cut=budget.clock_left <= 0)
    if part.aims == 0:  # before the relaxation, for which there may be no time
        plans.refill(plans.rows, budget, FIRST_REFILL_PART)
    guide = Guide(terrain, plans.slots)
    until = budget.seconds + min(GUIDING_PART * effort.seconds, budget.clock_left)
    is_guided = guide.solve(until - budget.seconds)
    if is_guided:
        rounded = guide.rounded(candidates)
        plans.offer(rounded)
    budget.is_cut |= budget.seconds >= until
    if is_guided and part.aims == 0:
        plans.refill(rounded.tolist(), budget)
    if part.aims == 0 or plans.is_best():
        return plans.done(is_cut=budget.is_cut)
    if is_guided and not part.is_exact and len(plans.slots) > FEW_SLOTS:
        kept = guide.worth_keeping(candidates, MOST_OF_AN_ASK, plans.rows)
        plans = plans.within(kept)
    del guide
    return plans.bettered(budget)


class _Plans:
    """The best plan so far of a part, as numbers of candidates."""

    def __init__(self, part: Part, terrain: Terrain, candidates: Candidates) -> None:
        self.slots = merge(terrain, candidates)
        self.rows: frozenset[int] = frozenset()
        self._part, self._terrain, self._candidates = part, terrain, candidates
        self._best = np.array(part.best, dtype=np.int64)
        self._worth = PlanWorth(terrain, self.slots, self._best)
        self._slot_of = np.zeros(len(candidates), dtype=np.int64)
        for slot, rows in enumerate(self.slots.rows):
            self._slot_of[list(rows)] = slot

    def offer(self, rows: NDArray[np.int64]) -> None:
        """Take a plan where it is better."""
        fresh = frozenset(rows.tolist())
        if not self.rows or self._worth.rank(self._of(fresh)) > self._worth.rank(
            self._of(self.rows)
        ):
            self.rows = fresh

    def refill(self, rows: Iterable[int], budget: Budget, part: float = REFILL_PART) -> None:
        """Better a plan in placing sessions, and take it where it is better than the best."""
        most = self._worth.most()[PLACING]
        found = refilled(self._terrain, self._candidates, rows, most, budget, part)
        self.offer(np.array(found, dtype=np.int64))

    def is_best(self) -> bool:
        """Whether no plan of the part can be better, by what each squad could have by itself."""
        values, most = self._worth.values(self._of(self.rows)), self._worth.most()
        return all(value == most[name] for name, value in values.items())

    def within(self, kept: NDArray[np.bool_]) -> _Plans:
        """Return the same with some of the candidates only, those of the plan among them."""
        number = np.cumsum(kept) - 1
        fewer = _Plans(self._part, self._terrain, self._candidates.take(kept))
        fewer.rows = frozenset(number[sorted(self.rows)].tolist())
        return fewer

    def bettered(self, budget: Budget) -> PartDone:
        """Search on from here."""
        args = self._terrain, self._candidates, self.slots, self._best, budget, None
        search = Search(*args)
        search.names = search.names[: self._part.aims]
        search.run(sorted(self.rows))
        levels = tuple(search.levels)
        return PartDone(search.placements(), levels, budget.is_cut, budget.steps)

    def done(self, *, is_cut: bool = False) -> PartDone:
        """Return what there is, each aim with what each squad could have by itself."""
        values, most = self._worth.values(self._of(self.rows)), self._worth.most()
        levels = tuple(self._worth.level(name, n, most[name]) for name, n in values.items())
        plan = placements_of_rows(self._terrain, self._candidates, self.rows)
        return PartDone(plan, levels, is_cut)

    def _of(self, rows: Collection[int]) -> list[int]:
        return sorted(self._slot_of[sorted(rows)].tolist())
