"""Who is needed where: what the rules about a person look up."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.terrain import once

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray
    from ortools.sat.python import cp_model

    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Draft

    PersonsDay = Mapping[tuple[int, int, int], Sequence[cp_model.IntVar]]


@once
def asks_by_person(terrain: Terrain) -> dict[tuple[str, str], list[int]]:
    """Return for each squad and coach the asks that need it."""
    people: dict[tuple[str, str], list[int]] = {}
    for number, ask in enumerate(terrain.problem.asks):
        people.setdefault(("squad", ask.squad), []).append(number)
        if ask.coach is not None:
            people.setdefault(("coach", ask.coach), []).append(number)
    return people


@once
def people_shared(terrain: Terrain) -> NDArray[np.bool_]:
    """Tell for each two asks whether one person is needed for both: squad or coach."""
    count = len(terrain.problem.asks)
    shared = np.zeros((count, count), dtype=bool)
    for own in asks_by_person(terrain).values():
        shared[np.ix_(own, own)] = True
    return shared


def days_of_persons(draft: Draft) -> Iterator[PersonsDay]:
    """Go through the days of everybody whom several asks need.

    Yields:
        What the person could be at that day, by venue, first minute and minute after the last.
    """
    slots = draft.slots
    by_ask: dict[int, list[int]] = {}
    for slot, number in enumerate(slots.ask.tolist()):
        by_ask.setdefault(number, []).append(slot)
    teams = {tuple(own) for own in asks_by_person(draft.terrain).values() if len(own) > 1}
    for asks in sorted(teams):
        by_day: dict[int, dict[tuple[int, int, int], list[cp_model.IntVar]]] = {}
        for slot in sorted(slot for number in asks for slot in by_ask.get(number, [])):
            venue = int(draft.terrain.venue[slots.grounds[slot][0]])
            key = (venue, int(slots.start[slot]), int(slots.end[slot]))
            day = by_day.setdefault(int(slots.day[slot]), {})
            day.setdefault(key, []).append(draft.chosen[slot])
        yield from by_day.values()


def on_at(day: PersonsDay, moment: int) -> list[cp_model.IntVar]:
    """List what of a person's day is on at a moment."""
    return [
        variable
        for (_venue, start, end), row in day.items()
        if start <= moment < end
        for variable in row
    ]
