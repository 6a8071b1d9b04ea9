"""What minutes cost: the prices of a problem, found by place and day."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.values.prices import LATEST, window_of

if TYPE_CHECKING:
    from clubplanner.sharing.values.problem import Ground, Problem
    from clubplanner.sharing.values.wants import Price

Run = tuple[int, int, int]
"""From which minute up to which, and what a minute costs then."""


class Rates:
    """Prices of a problem by place and day."""

    def __init__(self, problem: Problem) -> None:
        self._prices: dict[tuple[object, ...], list[Price]] = defaultdict(list)
        self._hires: dict[tuple[str, int, int, int], int] = {}
        for price in problem.prices:
            key = (price.for_floodlights, price.venue, price.pitch, price.ground, price.day)
            self._prices[key].append(price)
        self.has_floodlights = any(price.for_floodlights for price in problem.prices)

    def opening(self, venue: str, day: int) -> int:
        """Return what it costs that a venue opens on a day."""
        for at in (day, None):
            found = sum(price.per_opening for price in self._at(False, venue, None, None, at))
            if found:
                return found
        return 0

    def hire(self, ground: Ground, day: int, start: int, end: int) -> int:
        """Compute what a session's ground costs, rounded up once."""
        key = ground.key, day, start, end
        if key not in self._hires:
            self._hires[key] = self._hire(ground, day, start, end)
        return self._hires[key]

    def _hire(self, ground: Ground, day: int, start: int, end: int) -> int:
        own, shared = 0, 0
        for price, since, until in self._runs(ground, day, (start, end), for_floodlights=False):
            coins = price.per_hour * (until - since)
            own, shared = (own, shared + coins) if price.ground is None else (own + coins, shared)
        if ground.share is not None:
            return -(-(own * 12 + shared * ground.share) // 720)
        return int(np.ceil((own + shared * ground.share_of_pitch) / 60 - 1e-6))

    def floodlights(self, ground: Ground, day: int) -> list[Run]:
        """Return when floodlights of a ground's pitch cost something, and coins a minute."""
        runs = self._runs(ground, day, (0, LATEST), for_floodlights=True)
        return [
            (since, until, -(-price.per_hour // 60))
            for price, since, until in runs
            if price.per_hour
        ]

    def _at(self, *key: object) -> list[Price]:
        return self._prices.get(key, [])

    def _runs(
        self, ground: Ground, day: int, within: tuple[int, int], *, for_floodlights: bool
    ) -> list[tuple[Price, int, int]]:
        """Return which price holds from when to when, within two minutes of the day."""
        left = [within]
        found: list[tuple[Price, int, int]] = []
        places = ((ground.pitch, ground.key), (ground.pitch, None), (None, None))
        for pitch, own in places:
            for at in (day, None):
                for price in self._at(for_floodlights, ground.venue, pitch, own, at):
                    if price.per_opening and not price.per_hour:
                        continue  # it says nothing of hours
                    left, taken = _cut(left, window_of(price))
                    found += [(price, since, until) for since, until in taken]
        return found


def _cut(
    left: list[tuple[int, int]], window: tuple[int, int]
) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """Take a window out of ranges; return what is left and what was taken."""
    rest: list[tuple[int, int]] = []
    taken: list[tuple[int, int]] = []
    for start, end in left:
        since, until = max(start, window[0]), min(end, window[1])
        if since >= until:
            rest.append((start, end))
            continue
        taken.append((since, until))
        rest += [(a, b) for a, b in ((start, since), (until, end)) if a < b]
    return rest, taken
