"""Which pitches and squads to look at again: some that could do better, and those near them."""

from __future__ import annotations

import random
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.model.aim import Seeks
from clubplanner.sharing.model.aim_book import aim_named

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from clubplanner.sharing.parts.whole import Whole

MOST_PITCHES = 12
FOR_THE_BARE = 0.5
"""How often, in placing, it is about a squad that has nothing, as long as there is one."""
LEAST_ROWS_PART = 0.25
"""A neighbourhood has at least this part of the places that it may have."""


@dataclass(frozen=True, slots=True)
class Near:
    """What is looked at again.

    Attributes:
        pitches: Keys of the pitches.
        free: Keys of the asks.
    """

    pitches: frozenset[str]
    free: frozenset[str]


class Neighbourhoods:
    """Chooses what to look at again in a plan."""

    def __init__(self, whole: Whole, seed: int) -> None:
        problem = whole.terrain.problem
        self._whole = whole
        self._chance = random.Random(seed)  # noqa: S311 - a search, nothing secret
        self._keys = [ask.key for ask in problem.asks]
        self._number = {key: n for n, key in enumerate(self._keys)}
        numbers = {pitch: n for n, pitch in enumerate(whole.terrain.pitches)}
        self._pitch = {ground.key: numbers[ground.pitch] for ground in problem.grounds}

    def open_asks(self) -> list[int]:
        """List the asks that miss sessions and could have a place."""
        asks, look, plan = self._whole.terrain.problem.asks, self._whole.look, self._whole.plan
        return [
            n
            for n, ask in enumerate(asks)
            if len(plan.get(ask.key, ())) < min(ask.sessions, int(look.days[n]))
        ]

    def choose(
        self, name: str, most_rows: int, busy_pitches: Collection[str], busy_asks: Collection[str]
    ) -> Near | None:
        """Choose what to look at again for an aim.

        Args:
            name: The aim.
            most_rows: About so many places at most.
            busy_pitches: Keys of pitches that others are looking at.
            busy_asks: Keys of asks that others may be moving, or whose squad or coach others may.

        Returns:
            None where everything that could do better is being looked at.
        """
        whole, terrain = self._whole, self._whole.terrain
        barred = {n for n, pitch in enumerate(terrain.pitches) if pitch in busy_pitches}
        seed = self._seed(name, busy_asks)
        if seed is None:
            return None
        on_pitch = self._asks_by_pitch()
        may = self._usable(seed, barred)
        if not may:
            return None
        enough = most_rows * self._chance.uniform(LEAST_ROWS_PART, 1.0)
        open_ = [n for n in self.open_asks() if self._keys[n] not in busy_asks]
        pitches = [self._chance.choice(may)]
        while True:
            free = {n for p in pitches for n in on_pitch.get(p, ())} | {seed}
            free |= {n for n in open_ if whole.look.places[n][pitches].any()}
            free = {n for n in free if self._keys[n] not in busy_asks}
            rows = int(whole.look.places[np.ix_(sorted(free), pitches)].sum())
            nearest = self._nearest(sorted(free), pitches, barred)
            if rows >= enough or len(pitches) >= MOST_PITCHES or nearest is None:
                break
            pitches.append(nearest)
        while rows > most_rows and len(open_) and len(free) > 1:  # too many go without
            spare = sorted(free - {seed} - {n for p in pitches for n in on_pitch.get(p, ())})
            if not spare:
                break
            free -= set(self._chance.sample(spare, -(-len(spare) // 2)))
            rows = int(whole.look.places[np.ix_(sorted(free), pitches)].sum())
        return Near(
            frozenset(terrain.pitches[n] for n in pitches), frozenset(self._keys[n] for n in free)
        )

    def _seed(self, name: str, busy: Collection[str]) -> int | None:
        """Choose an ask that an aim is about."""
        asks = self._whole.terrain.problem.asks
        can = [n for n in range(len(asks)) if self._keys[n] not in busy]
        open_ = [n for n in self.open_asks() if self._keys[n] not in busy]
        seeks = aim_named(name).seeks
        if seeks is Seeks.OPEN:
            served = {asks[self._number[key]].squad for key, own in self._whole.plan.items() if own}
            bare = [n for n in open_ if asks[n].squad not in served]
            first = bare if bare and self._chance.random() < FOR_THE_BARE else open_
            return self._chance.choice(first) if first else None
        if seeks is Seeks.BADLY_OFF:
            percents = self._whole.percents()
            short = [n for n in can if percents.get(asks[n].squad, 100) < 100]
            short.sort(key=lambda n: percents[asks[n].squad])
            if short:
                return short[min(len(short) - 1, int(self._chance.expovariate(0.3)))]
        return self._chance.choice(can) if can else None

    def _usable(self, ask: int, barred: Collection[int]) -> list[int]:
        found = np.flatnonzero(self._whole.look.places[ask]).tolist()
        return [n for n in found if n not in barred]

    def _asks_by_pitch(self) -> dict[int, set[int]]:
        found: dict[int, set[int]] = {}
        for key, own in self._whole.plan.items():
            for item in own:
                found.setdefault(self._pitch[item.ground], set()).add(self._number[key])
        return found

    def _nearest(
        self, free: Sequence[int], pitches: Sequence[int], barred: Collection[int]
    ) -> int | None:
        """Choose another pitch, the likelier the more of the squads at hand could be there."""
        could = self._whole.look.places[list(free)] > 0
        weights = could.sum(axis=0).astype(np.float64) ** 2
        weights[[*pitches, *barred]] = 0.0
        bounds = np.cumsum(weights)
        if bounds[-1] == 0.0:
            return None
        point = self._chance.random() * float(bounds[-1])
        return min(len(weights) - 1, int(np.searchsorted(bounds, point, side="right")))
