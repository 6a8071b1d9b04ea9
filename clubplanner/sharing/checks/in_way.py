"""Who is in the way of which place of an ask, in plain Python.

Like `checking`, it shares nothing with the search but values.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import gap_between, load_rules, rest_rules
from clubplanner.sharing.checks.rules_told import is_light, with_lost

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.checks.certified import PlacesAlone
    from clubplanner.sharing.values.problem import Ask, Ground, Placement, Problem


@dataclass(frozen=True, slots=True)
class Wanted:
    """A place that an ask could have alone.

    Attributes:
        place: Where and when.
        ground: Its ground.
        on_ground: Sessions of the plan that have ground of it.
        people: Those that need somebody who is needed there, or whose squad has to rest from it.
    """

    place: Placement
    ground: Ground
    on_ground: tuple[Placement, ...]
    people: tuple[Placement, ...]

    @property
    def in_way(self) -> frozenset[Placement]:
        """All sessions in its way."""
        return frozenset((*self.on_ground, *self.people))


class InWay:
    """The sessions of a plan as they are in the way of others."""

    def __init__(self, problem: Problem, plan: Sequence[Placement], places: PlacesAlone) -> None:
        self._problem = problem
        self._plan = plan
        self._places = places
        self._asks = {ask.key: ask for ask in problem.asks}
        self._grounds = {ground.key: ground for ground in problem.grounds}
        self._by_day: dict[int, list[Placement]] = defaultdict(list)
        for item in plan:
            self._by_day[item.day].append(item)

    def of(self, ask: Ask) -> Iterator[Wanted]:
        """Go through the places of an ask that break no rule by themselves, pins apart."""
        resting: dict[int, frozenset[Placement]] = {}
        for place, ground in self._places.free(ask):
            if not is_light(self._problem, ground, place):
                continue
            if place.day not in resting:
                resting[place.day] = self._resting(ask, place)
            here = self._by_day[place.day]
            near = resting[place.day]
            on_ground = tuple(item for item in here if self._has_ground(item, place, ground))
            busy = {item for item in here if self._is_busy(ask, item, place, ground)} | near
            people = tuple(item for item in (self._plan if near else here) if item in busy)
            yield Wanted(place, ground, on_ground, people)

    def _resting(self, ask: Ask, place: Placement) -> frozenset[Placement]:
        """List the squad's sessions that are too few days from a day, pinned or not."""
        squad = [item for item in self._plan if self._asks[item.ask].squad == ask.squad]
        tried = replace(place, session=-1)
        found = [fault for one in squad for fault in rest_rules(self._problem, [one, tried])]
        return frozenset(item for fault in found for item in fault.placements if item != tried)

    def _has_ground(self, item: Placement, place: Placement, ground: Ground) -> bool:
        other = self._grounds[item.ground]
        shares = other.pitch == ground.pitch and other.cells & ground.cells
        return bool(shares) and gap_between(item, place) < self._problem.changeover_minutes

    def _is_busy(self, ask: Ask, item: Placement, place: Placement, ground: Ground) -> bool:
        other = self._asks[item.ask]
        if other.key == ask.key:
            return True
        is_needed = ask.squad == other.squad or (ask.coach is not None and ask.coach == other.coach)
        is_far = self._grounds[item.ground].venue != ground.venue
        return is_needed and gap_between(item, place) < (
            self._problem.travel_minutes if is_far else 0
        )

    @cached_property
    def _limited(self) -> dict[str, tuple[Problem, list[Placement]]]:
        """By limited pitch the problem without others' limits, and the sessions there."""
        return {
            pitch: (
                replace(
                    self._problem,
                    loads=tuple(load for load in self._problem.loads if load.pitch == pitch),
                    standing=tuple(one for one in self._problem.standing if one.pitch == pitch),
                ),
                [item for item in self._plan if self._grounds[item.ground].pitch == pitch],
            )
            for pitch in {load.pitch for load in self._problem.loads}
        }

    def is_beyond_limit(self, ask: Ask, wanted: Wanted) -> bool:
        """Tell whether a place would, with the plan, use its pitch beyond its limit."""
        pitch = wanted.ground.pitch
        if not ask.wear_percent or pitch not in self._limited:
            return False
        problem, here = self._limited[pitch]
        tried = replace(with_lost(problem, wanted.ground, wanted.place), session=-1)
        return any(tried in fault.placements for fault in load_rules(problem, [*here, tried]))
