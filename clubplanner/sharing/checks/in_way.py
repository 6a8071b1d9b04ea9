"""Who is in the way of which place of an ask, in plain Python.

Like `checking`, it shares nothing with the search but values.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import gap_between, load_rules, rest_rules
from clubplanner.sharing.values.facts import day_name

if TYPE_CHECKING:
    from collections.abc import Container, Iterator

    from clubplanner.sharing.checks.by_place import Sessions
    from clubplanner.sharing.checks.places_alone import PlacesAlone
    from clubplanner.sharing.values.facts import Spot
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

    def is_at(self, problem: Problem, spot: Spot | None) -> bool:
        """Tell whether a spot that is told is this place."""
        place = self.place
        return (
            spot is not None
            and (spot.start_min, spot.end_min) == (place.start_min, place.end_min)
            and spot.ground_name == self.ground.name
            and spot.day == day_name(problem.days[place.day])
        )

    def is_free_without(self, gone: Container[Placement]) -> bool:
        """Tell whether nobody is in its way but some that go."""
        return all(item in gone for item in self.on_ground) and all(
            item in gone for item in self.people
        )

    @property
    def in_way(self) -> frozenset[Placement]:
        """All sessions in its way."""
        return frozenset((*self.on_ground, *self.people))


class InWay:
    """The sessions of a plan as they are in the way of others."""

    def __init__(self, problem: Problem, sessions: Sessions, places: PlacesAlone) -> None:
        self._problem = problem
        self._sessions = sessions
        self._places = places
        self._asks = {ask.key: ask for ask in problem.asks}
        self._grounds = {ground.key: ground for ground in problem.grounds}
        self._limited = {load.pitch for load in problem.loads}
        self._beyond: dict[tuple[object, ...], bool] = {}
        self._holders: dict[tuple[str, int, int, int], tuple[Placement, ...]] = {}
        self._last: tuple[Ask | None, list[Wanted]] = (None, [])

    def of(self, ask: Ask) -> list[Wanted]:
        """List the places of an ask that break no rule by themselves, pins apart."""
        if self._last[0] is not ask:
            self._last = ask, list(self._of(ask))
        return self._last[1]

    def _of(self, ask: Ask) -> Iterator[Wanted]:
        resting: dict[int, frozenset[Placement]] = {}
        people: dict[int, list[Placement]] = {}
        for place, ground in self._places.free(ask):
            if not self._places.is_light(ask, ground, place):
                continue
            if place.day not in resting:
                resting[place.day] = self._resting(ask, place)
                people[place.day] = self._people(ask, place.day)
            near = resting[place.day]
            on_ground = self._on_ground(place, ground)
            busy = [item for item in people[place.day] if self._is_busy(ask, item, place, ground)]
            found = self._sessions.in_order([*busy, *near]) if near else busy
            yield Wanted(place, ground, on_ground, tuple(found))

    def _people(self, ask: Ask, day: int) -> list[Placement]:
        """List the sessions of a day that need the squad or its coach."""
        found = self._sessions.with_squad[ask.squad, day]
        if ask.coach is not None:
            found = found + self._sessions.with_coach[ask.coach, day]
        return self._sessions.in_order(found)

    def _resting(self, ask: Ask, place: Placement) -> frozenset[Placement]:
        """List the squad's sessions that are too few days from a day, pinned or not."""
        tried = replace(place, session=-1)
        of_squad = self._sessions.of_squad[ask.squad]
        own = self._places.by_place.of_squad(ask.squad)
        found = [fault for one in of_squad for fault in rest_rules(own, [one, tried])]
        return frozenset(item for fault in found for item in fault.placements if item != tried)

    def _on_ground(self, place: Placement, ground: Ground) -> tuple[Placement, ...]:
        """List the sessions that have ground of a place; for all that would be there then."""
        key = ground.key, place.day, place.start_min, place.end_min
        if key not in self._holders:
            here = self._sessions.there[ground.pitch, place.day]
            self._holders[key] = tuple(
                item
                for item in here
                if self._grounds[item.ground].cells & ground.cells
                and gap_between(item, place) < self._problem.changeover_minutes
            )
        return self._holders[key]

    def _is_busy(self, ask: Ask, item: Placement, place: Placement, ground: Ground) -> bool:
        """Tell whether a session of the squad or its coach that day keeps them from a place."""
        is_far = self._grounds[item.ground].venue != ground.venue
        return item.ask == ask.key or gap_between(item, place) < (
            self._problem.travel_minutes if is_far else 0
        )

    def is_beyond_limit(self, ask: Ask, wanted: Wanted) -> bool:
        """Tell whether a place would, with the plan, use its pitch beyond its limit."""
        ground, pitch = wanted.ground, wanted.ground.pitch
        if not ask.wear_percent or pitch not in self._limited:
            return False
        key = self._places.use_of(ask, ground, wanted.place)
        if key not in self._beyond:
            tried = replace(self._places.with_lost(ground, wanted.place), session=-1)
            here = self._sessions.on_pitch[pitch]
            about = self._places.by_place.about([*here, tried])
            part = replace(self._places.by_place.on(pitch), asks=about.asks)
            found = load_rules(part, [*here, tried])
            self._beyond[key] = any(tried in fault.placements for fault in found)
        return self._beyond[key]
