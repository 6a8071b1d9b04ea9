"""Plans from known evenings, one held after the other, with evenings that suit those held.

The evenings that prices between evenings have found come, in parts, to as many points as are
bounded, and no choice of whole ones among them may. So the evening with the largest part is held,
what is left is priced anew, and only where that could not better the plan any more are evenings
filled again at the new prices (a diving heuristic: Sadykov and others, "Primal heuristics for
branch and price", INFORMS Journal on Computing 31, 2019). Where no better plan can come of it,
another try begins, in another order.

Of many evenings several are held at a time, and more is hoped for than a plan that is only better:
evenings are filled anew as soon as those known allow less than hoped, and where that is of no use,
less is hoped for in that try.

Left out: a third to two thirds of the best plan's evenings held from the beginning, the others put
together anew, where tries from nothing came to no less in the same time.
"""

from __future__ import annotations

import random
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Sequence

    import numpy as np
    from numpy.typing import NDArray

    from clubplanner.sharing.search.evening import Filled
    from clubplanner.sharing.search.evening_links import Links, Prices
    from clubplanner.sharing.search.evening_prices import Place

    Bundle = tuple[Place, tuple[int, ...]]
    Priced = tuple[Prices, float | None, list[float]]

ROUNDS = 3
"""How often evenings are filled anew where those known allow no better plan."""
LESS = 1.0
"""So many points less are hoped for than what could be had when evenings were filled in vain."""
ALL = 0.999
"""An evening with such a part is as good as whole."""
FEW = 12
"""One evening is held at a time of fewer than twice so many that are open, two of fewer than three
times so many, and so on."""
MOST_PART = 0.5
"""Of several evenings held at a time, all but the first have at least such a part."""
CHANCE = 0.5
"""By how much of itself a part is made smaller by chance at most, after the first try."""


class Dives:
    """Puts plans together from evenings."""

    def __init__(
        self,
        links: Links,
        found: Collection[Bundle],
        price: Callable[[Sequence[Bundle], int], Priced],
        fill: Callable[[NDArray[np.int64], Sequence[Place]], dict[Place, Filled] | None],
        seed: int,
    ) -> None:
        """Remember what to work with.

        Args:
            links: What links evenings.
            found: The evenings known; those filled are added to them by `fill`.
            price: Prices links with so many of the first evenings held.
            fill: Fills some evenings at the gains of slots.
            seed: Of the choices made by chance.
        """
        self._links = links
        self._found = found
        self._price = price
        self._fill = fill
        self._chance = random.Random(seed)  # noqa: S311 - a search, nothing secret
        self._spread = 0.0

    def run(
        self,
        places: Sequence[Place],
        can_better: Callable[[float], bool],
        does: Callable[[float], bool],
        has_left: Callable[[], bool],
    ) -> list[int]:
        """Try until a plan is better.

        Args:
            places: The evenings of pitches.
            can_better: Tells whether so many points would allow a better plan.
            does: Tells whether so many are as good as can be hoped for.
            has_left: Tells whether there may be more.

        Returns:
            The plan's slots; empty where none is found.
        """
        while has_left():
            spread, self._spread = self._spread, CHANCE
            found = self._try(places, can_better, does, has_left, spread)
            if found:
                return found
        return []

    def _try(
        self,
        places: Sequence[Place],
        can_better: Callable[[float], bool],
        does: Callable[[float], bool],
        has_left: Callable[[], bool],
        spread: float,
    ) -> list[int]:
        held: dict[Place, tuple[int, ...]] = {}
        hoped = float("inf")
        while has_left():
            open_ = [place for place in places if place not in held]
            reached = hoped

            def is_enough(most: float, reached: float = reached) -> bool:
                return does(most) or most >= reached

            most, bundles, parts = self._look(held, open_, is_enough)
            if most is None or not can_better(most):
                return []
            if not is_enough(most):
                hoped = most - LESS
            shares = [
                (part * self._chance.uniform(1 - spread, 1), part, bundle)
                for bundle, part in zip(bundles, parts, strict=True)
                if part > 1 - ALL
            ]
            if not shares:
                return sorted(slot for slots in held.values() for slot in slots)
            held.update(bundle for _, part, bundle in shares if part >= ALL)
            self._hold(held, sorted(shares, key=lambda share: -share[0]), len(open_))
        return []

    def _hold(
        self,
        held: dict[Place, tuple[int, ...]],
        shares: Sequence[tuple[float, float, Bundle]],
        open_: int,
    ) -> None:
        """Hold the evening with the largest part, and of many open ones some more beside it."""
        chosen = [slot for slots in held.values() for slot in slots]
        several = open_ // FEW
        count = 0
        for share, _, (place, slots) in shares:
            if count and (count >= several or share < MOST_PART):
                return
            if place in held or (count and self._links.used_up(chosen)[list(slots)].any()):
                continue
            held[place] = slots
            chosen += slots
            count += 1

    def _look(
        self,
        held: dict[Place, tuple[int, ...]],
        open_: Sequence[Place],
        is_enough: Callable[[float], bool],
    ) -> tuple[float | None, list[Bundle], list[float]]:
        """Price what is left, with evenings filled anew where those known do not do.

        Returns:
            The points that can be had, the evenings not held, and the part that each has then.
        """
        barred = self._links.used_up(slot for slots in held.values() for slot in slots)
        for attempt in range(ROUNDS + 1):
            bundles = self._left(set(open_), barred)
            prices, most, parts = self._price([*held.items(), *bundles], len(held))
            if most is None or is_enough(most) or not open_ or attempt == ROUNDS:
                break
            gains = self._links.gains(prices)
            gains[barred] = 0
            known = len(self._found)
            if self._fill(gains, open_) is None or len(self._found) == known:
                break
        return most, bundles, parts[len(held) :]

    def _left(self, open_: Collection[Place], barred: NDArray[np.bool_]) -> list[Bundle]:
        """List the evenings known that are not held, without what those held leave no room for."""
        kept = {
            (place, tuple(slot for slot in slots if not barred[slot])): None
            for place, slots in self._found
            if place in open_
        }
        return [(place, slots) for place, slots in kept if slots]
