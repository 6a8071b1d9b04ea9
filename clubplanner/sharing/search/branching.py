"""Dividing all plans by who trains on which day, until one is as good as any can be.

The prices between evenings leave plans with parts of evenings, and so a bound that none may reach.
Here all plans are divided in two, by how many sessions an ask has and on which days, and each lot
again (branch and price: Barnhart and others, "Branch-and-price: column generation for solving huge
integer programs", Operations Research 46, 1998). Of a lot the evenings known either come to what is
looked for, and it is divided; or evenings are filled anew for it, until they do, or until the
prices show that none of its plans can. Where whole sessions are on whole days, each day is filled
with just those; what does not go together on a day is known from then on.

As many points are looked for as are bounded. Where no lot can have them, fewer are looked for in
those lots that may have them. Half of the time the lots most like what the parts of evenings say
are looked at, one inside the other, which finds plans.

A lot is left for what whole numbers add up to: no linear program is believed. Rules that link days
other than by the number of an ask's sessions are left out, so that a bound holds and a plan may
not: then nothing is claimed beyond.
"""

from __future__ import annotations

import math
import random
from collections import defaultdict
from typing import TYPE_CHECKING

from clubplanner.sharing.model.layout import lay_out
from clubplanner.sharing.search.branch_program import PARTS, BranchProgram
from clubplanner.sharing.search.days import Days
from clubplanner.sharing.search.lots import SMALL, Plans, halves, is_divisible, near_half

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.search.days import Together
    from clubplanner.sharing.search.diving import Bundle
    from clubplanner.sharing.search.evening import Evening, Filled
    from clubplanner.sharing.search.evening_links import Links
    from clubplanner.sharing.search.evening_prices import Place
    from clubplanner.sharing.search.lots import AskDay
    from clubplanner.sharing.values.budget import Budget

MOST_MISSES = 2
"""After so many lots without such a plan, those most like the parts of evenings are left."""
HOPED = 0.75
"""Such a part of what is missing up to the bound is then looked for."""
CHANCE = 0.5
"""By how much of itself a part is made smaller by chance at most, after the first try."""
LOT_STEPS, PIVOT_STEPS = 0.001, 2e-8
"""Steps that a lot counts whose parts of evenings are found, and for each change of them and each
evening known."""


class Branching:
    """Looks for plans, and for what none can have, in smaller and smaller lots of plans.

    Attributes:
        bound: No plan has more points.
    """

    def __init__(
        self,
        terrain: Terrain,
        candidates: Candidates,
        slots: Slots,
        best: NDArray[np.int64],
        links: Links,
        found: dict[Bundle, None],
        evenings: Mapping[Place, Evening],
        fill: Callable[[NDArray[np.int64], Sequence[Place]], dict[Place, Filled] | None],
        budget: Budget,
    ) -> None:
        """Remember what to work with.

        Args:
            terrain: The problem's columns.
            candidates: All candidates.
            slots: The merged candidates.
            best: From `best_alone`.
            links: What links evenings.
            found: The evenings known; those filled are added to them by `fill`.
            evenings: The models of evenings.
            fill: Fills some evenings at the gains of slots.
            budget: Gets the steps taken; its clock and brake are kept.
        """
        self.bound = 0
        self._terrain, self._slots = terrain, slots
        self._links, self._found, self._evenings = links, found, evenings
        self._fill, self._budget = fill, budget
        self._days = Days(terrain, candidates, slots, best, budget)
        self._together: list[Together] = []
        self._program = BranchProgram(links, slots, ())
        self._laid_out: set[Bundle] = set()
        self._open: list[Plans] = []
        self._left: list[Plans] = []
        self._is_unsettled = False
        self._chance = random.Random(budget.effort.seed)  # noqa: S311 - a search, nothing secret
        self._spread, self._tried = 0.0, -1

    def run(
        self,
        bound: int,
        reached: int,
        has_left: Callable[[], bool],
        attained: Callable[[int], int],
        take: Callable[[list[int]], int],
        note: Callable[[int], None],
    ) -> int:
        """Look for plans as good as the bound, and lower it where there are none.

        Args:
            bound: No plan has more points.
            reached: Points of the best plan.
            has_left: Tells whether there may be more.
            attained: Lowers a bound to points that plans can have.
            take: Takes a plan's slots and returns the points of the best plan then.
            note: Told of each lower bound.

        Returns:
            What no plan has more points than.
        """
        self.bound, self._reached = bound, reached
        self._has_left, self._attained, self._take = has_left, attained, take
        self._renew()
        self._open, self._left = [Plans(bound)], []
        budget = self._budget
        while self._reached < self.bound and has_left():
            before = budget.steps
            if not self._dive():
                continue
            if not self._divide(budget.steps + budget.steps - before):
                continue
            lower = max([self._reached, *(attained(lot.most) for lot in self._left)])
            if self._is_unsettled or self._reached >= self.bound or lower >= self.bound:
                break
            self.bound = lower
            note(lower)
            self._open = [lot for lot in self._left if attained(lot.most) >= lower]
            self._left = [lot for lot in self._left if attained(lot.most) < lower]
        return self.bound

    def _dive(self) -> bool:
        """Look at the likeliest plans only; tell whether there may be more, none being found.

        After a try as good as the bound, nearly as good ones will do.
        """
        goal = self.bound
        if self.bound == self._tried:
            goal = self._reached + math.ceil(HOPED * (self.bound - self._reached))
        self._tried = self.bound
        open_, misses = [Plans(self.bound)], 0
        while open_ and misses <= MOST_MISSES and self._has_left():
            lot = open_.pop()
            _, parts = self._look(lot, goal)
            if self._reached >= goal:
                return False
            if parts:
                open_ += halves(self._terrain, lot, parts, self._weigh)
            else:
                misses += 1
        self._spread = CHANCE
        return self._has_left()

    def _weigh(self, part: float) -> float:
        return part * self._chance.uniform(1 - self._spread, 1)

    def _divide(self, until: float) -> bool:
        """Look for a plan as good as the bound in all lots of plans that may have one.

        Args:
            until: Up to so many steps.

        Returns:
            Whether it is over.
        """
        while self._open and self._budget.steps < until:
            if not self._has_left():
                return False
            lot = self._open.pop()
            most, parts = self._look(lot, self.bound)
            if self._reached >= self.bound:
                return True
            if most is not None:
                self._left.append(Plans(min(lot.most, most), lot.on_day, lot.counts))
            elif parts:
                self._open += halves(self._terrain, lot, parts, near_half)
            elif self._has_left():
                self._is_unsettled = True
            else:
                self._open.append(lot)
        return not self._open

    def _look(self, lot: Plans, target: int) -> tuple[int | None, dict[AskDay, float]]:
        """Find out whether a lot may have a plan as good as is looked for.

        Returns:
            Points that none of its plans passes, where that is less; else the part of a session of
            each ask on each day in the evenings known, none where a plan was found or it is open.
        """
        while self._has_left():
            self._program.keep_to(lot)
            points = self._program.solve()
            self._budget.steps += LOT_STEPS + PIVOT_STEPS * (
                self._program.iterations * len(self._program)
            )
            if points is None:
                return None, {}
            parts = self._program.on_days()
            if points < target - SMALL or self._program.lacks():
                most, is_new = self._most(lot)
                if most is None or self._attained(most) < target:
                    return most, {}
                if is_new:
                    continue
            if is_divisible(parts):
                return None, parts
            if not self._settle(parts):
                return None, {}
        return None, {}

    def _most(self, lot: Plans) -> tuple[int | None, bool]:
        """Bound a lot at its prices, and tell whether evenings were found that were not known."""
        gains, paid = self._program.at_prices(lot)
        filled = self._fill(gains, list(self._evenings))
        if filled is None:
            return None, False
        total = paid + sum(one.most for one in filled.values())
        new = [self._program.add((place, one.slots)) for place, one in filled.items() if one.slots]
        return max(0, total // PARTS), any(new)

    def _settle(self, parts: Mapping[AskDay, float]) -> bool:
        """Take the plan with these sessions, or find out why there is none.

        Returns:
            Whether more is known, so that the lot may be looked at again.
        """
        plan: list[int] = []
        by_day: dict[int, list[int]] = defaultdict(list)
        for (ask, day), part in parts.items():
            if part > 0.5:
                by_day[day].append(ask)
        is_apart = is_open = False
        for day, asks in by_day.items():
            filled = self._days.fill(day, asks)
            if filled is None:
                return False
            if filled.most >= len(asks):
                plan += filled.slots
                is_open |= len(filled.slots) < len(asks)
                continue
            is_apart = True
            if not self._refuse(day):
                one = self._days.together(day, asks, filled.most, self._has_left)
                self._program.add_together(one)
        if is_apart:
            self._together = self._program.together
            return True
        if not is_open:
            self._reached = self._take(sorted(plan))
            self._renew()  # which may have linked evenings in another way
        return False

    def _refuse(self, day: int) -> bool:
        """Give exact rows to evenings of a day that cannot be laid out; tell whether there are."""
        refused = []
        for bundle in self._program.used(day):
            if bundle in self._laid_out:
                continue
            if lay_out(self._terrain, self._slots, bundle[1])[1]:
                refused.append(bundle)
            else:
                self._laid_out.add(bundle)
        for place, slots in refused:
            self._evenings[place].add_detail(place)
            self._found.pop((place, slots), None)
        if refused:
            self._renew()
        return bool(refused)

    def _renew(self) -> None:
        """Write the linear program of what is known now."""
        self._program = BranchProgram(self._links, self._slots, self._together)
        for bundle in self._found:
            self._program.add(bundle)
