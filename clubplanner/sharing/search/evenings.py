"""How much can be placed, from whole evenings of a pitch and prices between them.

Parts of sessions fill an evening better than sessions do, and the relaxed model of the whole has
parts. Here each evening of a pitch is filled with whole sessions (`evening.py`), and only what
links evenings has prices: the sessions an ask wants, its days, people, a squad's first session.
At any prices, what the evenings gain and what is paid bound every plan (Lagrangean relaxation;
its best bound is that of Dantzig and Wolfe, "Decomposition principle for linear programs",
Operations Research 8, 1960). Prices come from the evenings found so far, drawn towards the best
prices known (Wentges, "Weighted Dantzig-Wolfe decomposition for linear mixed-integer programming",
International Transactions in Operational Research 4, 1997); with many evenings they are only looked
for near those (Marsten, Hogan and Blankenship, "The boxstep method for large-scale optimization",
Operations Research 23, 1975). The evenings found make plans, too.
All adding up is in whole numbers, so that the bound does not rest on a solver's rounding.

Left out: the evenings' rows as cuts in the model of the whole with a row for more than the plan
has, where half of the steps found nothing more and a search of 20 s ended with less; and evenings
within less than about 7 s for each thousand slots (`placing.SLOTS_A_SECOND`), where the relaxed
model alone does better.
"""

from __future__ import annotations

from collections import defaultdict
from concurrent.futures import ThreadPoolExecutor
from typing import TYPE_CHECKING

from clubplanner.sharing.places.merging import ground_weights
from clubplanner.sharing.search.branching import Branching
from clubplanner.sharing.search.diving import Dives
from clubplanner.sharing.search.evening import Evening
from clubplanner.sharing.search.evening_links import PARTS, Links
from clubplanner.sharing.search.evening_plans import best_of
from clubplanner.sharing.search.evening_prices import Near, first_prices, parts_of, prices_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.search.diving import Priced
    from clubplanner.sharing.search.evening import Filled
    from clubplanner.sharing.search.evening_links import Prices
    from clubplanner.sharing.search.evening_prices import Place
    from clubplanner.sharing.values.budget import Budget

DRAWN = 0.7
"""How far prices are drawn towards the best ones known."""
NEAR, NEARER, WIDER, MOST_NEAR = 0.15, 0.85, 4.0, 10.0
"""Points that prices may lie from the best ones known, at first; what that is multiplied by where
they were no better, and where the evenings known leave nothing to be found there; how far at most.
"""
ROUND_STEPS, ROW_STEPS = 0.003, 4e-5
"""Steps that finding prices counts, for each evening known and for each slot."""


class Evenings:
    """Works on a problem evening by evening.

    Attributes:
        bound: No plan has more points in placing sessions; None before the first round.
    """

    def __init__(
        self,
        terrain: Terrain,
        candidates: Candidates,
        slots: Slots,
        best: NDArray[np.int64],
        budget: Budget,
    ) -> None:
        self.bound: int | None = None
        self._terrain = terrain
        self._candidates = candidates
        self._best = best
        self._slots = slots
        self._budget = budget
        self._links = Links(terrain, slots)
        weights = ground_weights(terrain)
        self._evenings = {
            place: Evening(terrain, candidates, slots, best, weights, members)
            for place, members in slots.by_pitch_and_day().items()
        }
        self._found: dict[tuple[Place, tuple[int, ...]], None] = {}
        self._least = 0
        self._dives = Dives(self._links, self._found, self._price, self._fill, budget.effort.seed)
        budget.steps += ROW_STEPS * len(slots)

    def learn(self, plan: Iterable[int]) -> None:
        """Take in the evenings of a plan."""
        by_place: dict[Place, list[int]] = defaultdict(list)
        for slot in plan:
            by_place[int(self._slots.pitch[slot]), int(self._slots.day[slot])].append(slot)
        for place, members in by_place.items():
            self._found[place, tuple(sorted(members))] = None

    def price(
        self,
        until: float,
        clock: float,
        reached: int,
        note: Callable[[int], None],
        *,
        are_many: bool = False,
    ) -> None:
        """Look for prices that bound all plans as low as can be.

        Args:
            until: Up to so many steps of the budget.
            clock: Until so many of its seconds are left.
            reached: Points of a plan; a bound no higher needs no lower one.
            note: Told of each lower bound.
            are_many: Whether there are so many evenings that prices are looked for near the best.
        """
        budget = self._budget
        near = NEAR
        prices = centre = first_prices(self._links, self._slots, self._terrain)
        budget.steps += ROW_STEPS * len(self._slots)
        while budget.steps < until and budget.left > 0 and budget.clock_left > clock:
            known, before = len(self._found), self.bound
            gains = self._links.gains(prices)
            filled = self._fill(gains, list(self._evenings))
            if filled is None:
                break
            total = self._links.paid(prices) + sum(one.most for one in filled.values())
            if before is None or total < self._least:
                self._least, self.bound = total, total // PARTS
                centre = prices
                note(total // PARTS)
            else:
                near *= NEARER
            if are_many:
                priced = self._near(centre, near, reached)
                if priced is None:
                    break
                prices, near = priced
                continue
            fresh, most = prices_of(self._links, list(self._found))
            budget.steps += ROUND_STEPS + ROW_STEPS * len(self._found)
            can_fall_to = reached if most is None else max(reached, int(most + 1e-6))
            if self.bound is None or self.bound <= can_fall_to:
                break
            prices = centre.drawn(fresh, DRAWN) if len(self._found) > known else fresh
        if budget.clock_left <= clock:
            budget.is_cut = True

    def _near(self, centre: Prices, near: float, reached: int) -> tuple[Prices, float] | None:
        """Price links near the best prices known, further from them where nothing is left there.

        Returns:
            The prices and how near they are; None where no lower bound is to be found.
        """
        found = list(self._found)
        while self.bound is not None and self.bound > reached and self._budget.left > 0:
            prices, most = prices_of(self._links, found, Near(centre, near))
            self._budget.steps += ROUND_STEPS + 2 * ROW_STEPS * len(found)
            if most is None:
                return None
            if self.bound > int(most + 1e-6):
                return prices, near
            near *= WIDER
            if near > MOST_NEAR:
                return None
        return None

    def plan(self, steps: float) -> list[int]:
        """Put a plan together from the evenings known; it still has to be laid out."""
        found = list(self._found)
        return best_of(self._terrain, self._slots, self._links, found, self._budget, steps)

    def dive(
        self,
        until: float,
        clock: float,
        can_better: Callable[[float], bool],
        does: Callable[[float], bool] | None = None,
    ) -> list[int]:
        """Put plans together one evening after the other until one is better.

        Args:
            until: Up to so many steps of the budget.
            clock: Until so many of its seconds are left.
            can_better: Tells whether so many points would allow a better plan.
            does: Tells whether so many are what is hoped for; None for those that better it.

        Returns:
            The plan's slots, which still have to be laid out; empty where none is found.
        """
        has_left = self._has_left(until, clock)
        return self._dives.run(list(self._evenings), can_better, does or can_better, has_left)

    def branch(
        self,
        bound: int,
        reached: int,
        until: float,
        clock: float,
        attained: Callable[[int], int],
        take: Callable[[list[int]], int],
        note: Callable[[int], None],
    ) -> int:
        """Divide all plans until one is as good as any can be.

        Args:
            bound: No plan has more points.
            reached: Points of the best plan.
            until: As for `dive`.
            clock: As for `dive`.
            attained: Lowers a bound to points that plans can have.
            take: Takes a plan's slots and returns the points of the best plan then.
            note: Told of each lower bound.

        Returns:
            What no plan has more points than.
        """
        branching = Branching(
            self._terrain,
            self._candidates,
            self._slots,
            self._best,
            self._links,
            self._found,
            self._evenings,
            self._fill,
            self._budget,
        )
        has_left = self._has_left(until, clock)
        return branching.run(bound, reached, has_left, attained, take, note)

    def refuse(self, plan: Sequence[int], failed: Iterable[Place]) -> None:
        """Keep to what a plan has shown to be needed.

        Evenings that could not be laid out are not known any more and get exact rows, and ways that
        it leaves no time for are linked.

        Args:
            plan: The slots of a plan.
            failed: Where it could not be laid out.
        """
        self._links.add_ways(self._terrain, self._slots, list(plan))
        for place in failed:
            there = {
                slot
                for slot in plan
                if (int(self._slots.pitch[slot]), int(self._slots.day[slot])) == place
            }
            self._evenings[place].add_detail(place)
            for known, slots in list(self._found):
                if known == place and there <= set(slots):
                    del self._found[known, slots]

    def _has_left(self, until: float, clock: float) -> Callable[[], bool]:
        budget = self._budget

        def has_left() -> bool:
            is_late = budget.clock_left <= clock
            budget.is_cut |= is_late
            return not is_late and budget.steps < until and budget.left > 0

        return has_left

    def _price(self, found: Sequence[tuple[Place, tuple[int, ...]]], held: int) -> Priced:
        self._budget.steps += ROUND_STEPS + ROW_STEPS * len(found)
        return parts_of(self._links, found, held)

    def _fill(
        self, gains: NDArray[np.int64], places: Sequence[Place]
    ) -> dict[Place, Filled] | None:
        """Fill some evenings, as many at once as there are workers; none depends on another.

        Returns:
            What each comes to; None where one cannot be filled, or there was no time for it.
        """
        budget = self._budget

        def fill(place: Place) -> Filled | None:
            left = budget.clock_left
            own = self._evenings[place]
            return own.fill(gains, budget.effort.seed, left) if left > 0 else None

        with ThreadPoolExecutor(budget.effort.workers) as pool:
            each = zip(places, pool.map(fill, places), strict=True)
            filled = {place: one for place, one in each if one is not None}
        for place, one in filled.items():
            budget.steps += one.steps
            budget.is_cut |= one.is_cut
            if one.slots:
                self._found[place, one.slots] = None
        return filled if len(filled) == len(places) else None
