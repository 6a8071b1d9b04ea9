"""Choosing places for several sessions at once, so that no two of them meet."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.times.times import TimeRange

MOST_STEPS = 100_000
"""Branches looked at before the best choice so far is taken."""


@dataclass(frozen=True, slots=True)
class Place:
    """Ground that is free for a session.

    Attributes:
        area_id: The area's number.
        pitch_key: The pitch it is a part of.
        cells: Bit mask of its cells on the pitch.
        name: Area and pitch in words.
        venue_name: Where it lies.
        during: When, as instants in UTC.
        cost: How far it is from what was, in points; 0 is the same ground and time.
    """

    area_id: int
    pitch_key: str
    cells: int
    name: str
    venue_name: str
    during: TimeRange
    cost: int


@dataclass(frozen=True, slots=True)
class Chosen:
    """Which place each session gets.

    Attributes:
        places: One entry a session in the order asked; None where there is none left.
        is_best: Whether every choice was looked at: no other places more, or as many nearer.
    """

    places: tuple[Place | None, ...]
    is_best: bool


def meets(one: Place, other: Place) -> bool:
    """Tell whether two places share ground and a moment."""
    return (
        one.pitch_key == other.pitch_key
        and bool(one.cells & other.cells)
        and one.during.overlaps(other.during)
    )


def choose_places(options: Sequence[Sequence[Place]], people: Sequence[str] = ()) -> Chosen:
    """Give each session one of its places: as many as can be, then the smallest cost in all.

    Args:
        options: For each session the places that are free for it by itself.
        people: For each session whose it is (a coach); two sessions of one person may not overlap.
            A blank name is nobody. Empty for no such rule.

    Returns:
        The choice.
    """
    search = _Search(
        [sorted(places, key=lambda p: (p.cost, p.during, p.name)) for places in options],
        list(people) or [""] * len(options),
    )
    search.run()
    return Chosen(tuple(search.best), search.steps < MOST_STEPS)


class _Search:
    """Depth first over the sessions, fewest places first, cut off by what can still be reached."""

    def __init__(self, options: list[list[Place]], people: list[str]) -> None:
        self.options = options
        self.people = people
        self.order = sorted(range(len(options)), key=lambda n: (len(options[n]), n))
        self.now: list[Place | None] = [None] * len(options)
        self.best: list[Place | None] = list(self.now)
        self.score = (0, 0)
        self.steps = 0

    def run(self) -> None:
        self._place(0, 0, 0)

    def _place(self, depth: int, placed: int, cost: int) -> None:
        self.steps += 1
        if (placed, -cost) > self.score:
            self.score, self.best = (placed, -cost), list(self.now)
        left = self.order[depth:]
        reach = placed + sum(1 for n in left if self.options[n])
        floor = cost + sum(self.options[n][0].cost for n in left if self.options[n])
        if not left or (reach, -floor) <= self.score or self.steps >= MOST_STEPS:
            return
        session = left[0]
        for place in self.options[session]:
            if self._is_free(session, place):
                self.now[session] = place
                self._place(depth + 1, placed + 1, cost + place.cost)
                self.now[session] = None
        self._place(depth + 1, placed, cost)

    def _is_free(self, session: int, place: Place) -> bool:
        for other, taken in enumerate(self.now):
            if taken is None:
                continue
            same = self.people[session] and self.people[session] == self.people[other]
            if meets(place, taken) or (same and place.during.overlaps(taken.during)):
                return False
        return True
