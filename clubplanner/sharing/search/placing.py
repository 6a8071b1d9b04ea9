"""Placing sessions by whole evenings and days, by exchanges in between, by dividing all plans.

In clubs with many evenings of pitches the model of the whole is left out of it: its relaxation
takes a good part of the time and bounds less than prices between evenings do, and a choice of days
is too large to be searched through. There more time goes to evenings held one after the other, and
each plan made of them is bettered by exchanges.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.places.refilling import Refiller, refill
from clubplanner.sharing.search.evenings import Evenings
from clubplanner.sharing.search.whole_days import WholeDays
from clubplanner.sharing.values.levels import PLACING

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from clubplanner.sharing.search.search import Search

EVENINGS_PART, EVENINGS_PLAN_PART = 0.35, 0.1
"""Part of the steps left that prices between evenings may take, and then a plan of evenings."""
DIVING_PART, MANY_DIVING_PART = 0.15, 0.8
"""Part of the steps and the time left that plans of evenings held one by one may take, and where
there are many evenings: there better plans came late (`tests/benchmarks/FIGURES.md`)."""
BRANCHING_PART = 0.45
"""Part of what is then left that dividing all plans may take."""
MANY_REFILL_PART = 0.05
"""Part of what is left that bettering the first plan may take where there are many evenings."""
HOPED = 0.75
"""A plan made of evenings is to have at least such a part of what is missing up to the bound."""
WHOLE_DAYS_PART = 0.75
"""Part of what polishing has in placing that whole days placed anew may take of it."""
SLOTS_A_SECOND = 150
"""With more slots for each second of the effort, and each worker, whole evenings take too long."""
MANY_EVENINGS = 40
"""With more evenings of pitches than this, placing does without the model of the whole."""


class Placing:
    """Works on the first aim of a search.

    Attributes:
        is_wide: Whether there are so many evenings that the model of the whole is left out.
    """

    def __init__(self, search: Search) -> None:
        """Remember the search whose plan is to be bettered."""
        self._search = search
        self.is_wide = len(search.slots.by_pitch_and_day()) > MANY_EVENINGS and self.has_time
        self._refiller: Refiller | None = None

    @property
    def has_time(self) -> bool:
        """Whether there is time to work on whole evenings of pitches."""
        effort = self._search.budget.effort
        return len(self._search.slots) <= SLOTS_A_SECOND * effort.seconds * effort.workers

    def refill(self, most: int) -> None:
        """Better the first plan before there is a model.

        Args:
            most: Points that no plan can pass.
        """
        search = self._search
        self._refiller = Refiller(
            search.terrain, search.candidates, search.rows, search.budget.effort.seed
        )
        parts = (MANY_REFILL_PART,) if self.is_wide else ()
        search.keep(frozenset(refill(self._refiller, most, search.budget, *parts)))

    def run(self, bound: int, part: float) -> tuple[int, float]:
        """Work on placing by whole evenings of pitches, by whole days, and by dividing all plans.

        Args:
            bound: What no plan can pass.
            part: Part of what is left after prices between evenings for whole days and polishing.

        Returns:
            What no plan can pass, and the part of what is then left that is for polishing.
        """
        search, budget = self._search, self._search.budget
        evenings = Evenings(search.terrain, search.candidates, search.slots, search.best, budget)
        bound = search.worth.attained(PLACING, self._price(evenings, bound))
        until = budget.steps + budget.left * part
        if not self.is_wide:
            self._by_whole_days(bound, part * WHOLE_DAYS_PART)
        left = max(0.0, until - budget.steps)
        self.dive(evenings, bound)
        if not self.is_wide and not search.reaches(PLACING, bound):
            bound = self.branch(bound)
        self._refiller = None
        return bound, min(1.0, left / budget.left) if budget.left else 0.0

    def _price(self, evenings: Evenings, bound: int) -> int:
        """Bound placing by prices between evenings, and put a plan of evenings together."""
        search, budget = self._search, self._search.budget
        note = search.note(PLACING)
        for rows in (*search.starts, search.rows):
            evenings.learn(search.slots_of(rows))
        clock = budget.clock_left * (1 - EVENINGS_PART)
        until = budget.steps + budget.left * EVENINGS_PART
        reached = self._value()
        evenings.price(
            until,
            clock,
            reached,
            lambda found: note(reached, min(bound, found)),
            are_many=self.is_wide,
        )
        if evenings.bound is not None:
            bound = min(bound, evenings.bound)
            if reached < bound and not self.is_wide:
                plan = evenings.plan(budget.left * EVENINGS_PLAN_PART)
                evenings.refuse(plan, search.adopt(plan))
        return bound

    def dive(self, evenings: Evenings, bound: int) -> None:
        """Put better plans together from evenings, as long as there are any and there is time.

        Args:
            evenings: What is known of evenings.
            bound: What no plan can pass.
        """
        search, budget = self._search, self._search.budget
        note = search.note(PLACING)
        part = MANY_DIVING_PART if self.is_wide else DIVING_PART
        until = budget.steps + budget.left * part
        clock = budget.clock_left * (1 - part)

        def can_better(most: float) -> bool:
            return search.worth.attained(PLACING, int(most + 1e-6)) > self._value()

        def is_hoped_for(most: float) -> bool:
            reached = self._value()
            return can_better(most) and most >= reached + HOPED * (bound - reached) - 1

        evenings.learn(search.slots_of(search.rows))
        while not search.reaches(PLACING, bound):
            before = self._value()
            plan = evenings.dive(until, clock, can_better, is_hoped_for)
            if not plan:
                return
            rows, failed = search.laid_out(plan)
            evenings.refuse(plan, failed)
            self._keep_bettered(evenings, rows, bound)
            if self._value() > before:
                note(self._value(), bound)

    def branch(self, bound: int) -> int:
        """Divide all plans, as long as there is time and none is known to be best.

        It begins with no evening known: with those of prices and of other plans in it, no plan was
        found for longer.

        Args:
            bound: What no plan can pass.

        Returns:
            What no plan can pass.
        """
        search, budget = self._search, self._search.budget
        evenings = Evenings(search.terrain, search.candidates, search.slots, search.best, budget)
        note = search.note(PLACING)

        def take(plan: list[int]) -> int:
            rows, failed = search.laid_out(plan)
            evenings.refuse(plan, failed)
            self._keep_bettered(evenings, rows, bound)
            note(self._value(), bound)
            return self._value()

        def lower(found: int) -> None:
            nonlocal bound
            bound = found
            note(self._value(), bound)

        return evenings.branch(
            bound,
            self._value(),
            budget.steps + budget.left * BRANCHING_PART,
            budget.clock_left * (1 - BRANCHING_PART),
            lambda most: search.worth.attained(PLACING, most),
            take,
            lower,
        )

    def _keep_bettered(self, evenings: Evenings, rows: frozenset[int], bound: int) -> None:
        """Keep a plan, better it by exchanges and keep that, if they are the best so far."""
        search = self._search
        search.keep(rows)
        if self._refiller is not None and not search.reaches(PLACING, bound):
            self._refiller.begin(rows)
            rows = frozenset(refill(self._refiller, bound, search.budget, MANY_REFILL_PART))
            search.keep(rows)
        evenings.learn(search.slots_of(rows))

    def _by_whole_days(self, bound: int, part: float) -> None:
        """Better the plan by whole days, for a part of the steps and the time left."""
        search, budget = self._search, self._search.budget
        note = search.note(PLACING)
        if search.share is None:
            return

        def adopt(chosen: Sequence[int]) -> list[tuple[int, int]]:
            before = self._value()
            failed = search.adopt(chosen)
            if self._value() > before:
                note(self._value(), bound)
            return failed

        def plan() -> Collection[int]:
            return search.slots_of(search.rows)

        days = WholeDays(search.share, budget, plan, adopt)
        until, clock = budget.steps + budget.left * part, budget.clock_left * (1 - part)
        days.run(until, clock, self._value, bound)

    def _value(self) -> int:
        return self._search.values()[PLACING]
