"""What links the evenings of pitches: the sessions of an ask, its days, people, first sessions."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.cliques import moments
from clubplanner.sharing.rules.people.persons import asks_by_person
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain

PARTS = 1_000
"""Into how many parts a point is divided in prices."""


@dataclass(frozen=True, slots=True)
class Prices:
    """Prices in parts of a point, none negative.

    Attributes:
        links: What a slot pays for each link that it is in.
        firsts: What a squad's first session is worth to each session of the squad.
    """

    links: NDArray[np.int64]
    firsts: NDArray[np.int64]

    def drawn(self, other: Prices, part: float) -> Prices:
        """Return other prices, drawn towards these by a part of the way."""
        return Prices(
            np.rint(part * self.links + (1 - part) * other.links).astype(np.int64),
            np.rint(part * self.firsts + (1 - part) * other.firsts).astype(np.int64),
        )


class Links:
    """Rows over slots of more than one evening.

    Attributes:
        of_slot: For each slot the links it is in.
        most: For each link how many of its slots a plan has at most.
        is_of_people: For each link whether it is about a person's moment.
        points: What each slot counts in placing sessions, without a first session.
        squad: Number of each slot's squad.
        tops: What each squad's first session counts more.
    """

    def __init__(self, terrain: Terrain, slots: Slots) -> None:
        asks = terrain.problem.asks
        self.of_slot: list[list[int]] = [[] for _ in range(len(slots))]
        self._flat: tuple[NDArray[np.int64], NDArray[np.int64]] | None = None
        self.most: list[int] = []
        self.is_of_people: list[bool] = []
        numbers = {squad: n for n, squad in enumerate(dict.fromkeys(a.squad for a in asks))}
        top = [0] * len(numbers)
        for ask in asks:
            top[numbers[ask.squad]] = max(ask.priority, top[numbers[ask.squad]])
        squads = np.array([numbers[ask.squad] for ask in asks], dtype=np.int64)
        points = np.array([SESSION_POINTS * ask.priority for ask in asks], dtype=np.int64)
        self.squad = squads[slots.ask]
        self.points = points[slots.ask]
        self.tops = FIRST_POINTS * np.array(top, dtype=np.int64)
        self._add_asks(terrain, slots)
        self._add_people(terrain, slots)

    def gains(self, prices: Prices, parts: int = PARTS) -> NDArray[np.int64]:
        """Compute what each slot gains at some prices, in parts of a point."""
        paid = self._sums(prices.links)
        return np.asarray(parts * self.points + prices.firsts[self.squad] - paid)

    def used_up(self, plan: Iterable[int]) -> NDArray[np.bool_]:
        """Tell of each slot whether a link that it is in has as many slots of a plan as it may."""
        left = np.array(self.most, dtype=np.int64)
        for slot in plan:
            left[self.of_slot[slot]] -= 1
        return np.asarray(self._sums((left <= 0).astype(np.int64)) > 0)

    def paid(self, prices: Prices, parts: int = PARTS) -> int:
        """Compute what is at most gained outside of the evenings, in parts of a point."""
        held = int((prices.links * np.array(self.most, dtype=np.int64)).sum())
        return held + int(np.maximum(0, parts * self.tops - prices.firsts).sum())

    def add_ways(self, terrain: Terrain, slots: Slots, plan: Sequence[int]) -> None:
        """Link sessions that leave a person no time for the way between two venues.

        All such links would be many more than all others; plans show which are needed.

        Args:
            terrain: The problem's columns.
            slots: The merged candidates.
            plan: Slots that may leave no such time.
        """
        travel = terrain.problem.travel_minutes
        venue = np.array([terrain.venue[own[0]] for own in slots.grounds], dtype=np.int64)
        for team in asks_by_person(terrain).values():
            own = [slot for slot in plan if int(slots.ask[slot]) in team]
            for one, other in combinations(own, 2):
                near = (slots.start < slots.end[one] + travel) & (
                    slots.start[one] < slots.end + travel
                )
                near &= (slots.day == slots.day[one]) & np.isin(slots.ask, team)
                if venue[one] == venue[other] or not near[other]:
                    continue
                same = (slots.start == slots.start[one]) & (slots.end == slots.end[one])
                there = (slots.start <= slots.start[other]) & (slots.start[other] < slots.end)
                is_in = (same & (venue == venue[one])) | (there & (venue == venue[other]))
                self._add(np.flatnonzero(near & is_in).tolist(), 1, is_of_people=True)

    def _sums(self, values: NDArray[np.int64]) -> NDArray[np.int64]:
        """Add up for each slot a value of each link that it is in."""
        if self._flat is None:
            ends = np.cumsum([0, *map(len, self.of_slot)])
            links = np.fromiter((link for own in self.of_slot for link in own), np.int64)
            self._flat = links, ends
        links, ends = self._flat
        total = np.concatenate([[0], np.cumsum(values[links])])
        return np.asarray(total[ends[1:]] - total[ends[:-1]])

    def _add_asks(self, terrain: Terrain, slots: Slots) -> None:
        by_day: dict[tuple[int, int], list[int]] = defaultdict(list)
        by_ask: dict[int, list[int]] = defaultdict(list)
        for slot, (ask, day) in enumerate(zip(slots.ask.tolist(), slots.day.tolist(), strict=True)):
            by_day[ask, day].append(slot)
            by_ask[ask].append(slot)
        for members in by_day.values():
            self._add(members, 1)
        for ask, members in by_ask.items():
            self._add(members, terrain.problem.asks[ask].sessions)

    def _add_people(self, terrain: Terrain, slots: Slots) -> None:
        by_person: dict[tuple[bool, str, int], list[int]] = defaultdict(list)
        for slot, (ask, day) in enumerate(zip(slots.ask.tolist(), slots.day.tolist(), strict=True)):
            one = terrain.problem.asks[ask]
            by_person[False, one.squad, day].append(slot)
            if one.coach is not None:
                by_person[True, one.coach, day].append(slot)
        for members in by_person.values():
            if len(set(slots.ask[members].tolist())) == 1:
                continue
            times = [(slot, int(slots.start[slot]), int(slots.end[slot])) for slot in members]
            for minute in moments((start, end) for _, start, end in times):
                there = [slot for slot, start, end in times if start <= minute < end]
                if len(set(slots.ask[there].tolist())) > 1:
                    self._add(there, 1, is_of_people=True)

    def _add(self, members: Sequence[int], most: int, *, is_of_people: bool = False) -> None:
        self._flat = None
        for slot in members:
            self.of_slot[slot].append(len(self.most))
        self.most.append(most)
        self.is_of_people.append(is_of_people)
