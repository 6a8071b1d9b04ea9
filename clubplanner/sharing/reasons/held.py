"""A plan as reasons and changes look at it, and who is in whose way.

Everything is worked out once for a plan. What it would be like with some sessions gone and others
come is told from there by those sessions alone, never by going through the whole plan again.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.domain.club.fair import percent_served
from clubplanner.sharing.ground.candidates import join
from clubplanner.sharing.places.listing import ask_candidates
from clubplanner.sharing.places.placements import rows_of_placements
from clubplanner.sharing.rules.book import ground_clashes, people_clashes, too_many
from clubplanner.sharing.rules.people.persons import people_shared

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.places.placements import Known
    from clubplanner.sharing.values.problem import Ask, Placement

MOST_KNOWN = 500
"""So many looks at all ground are kept at a time; each may take some 100 kB."""


@dataclass(frozen=True, slots=True)
class View:
    """What an ask could have beside a plan.

    Attributes:
        rows: Its places.
        in_way: How many sessions of the plan are in the way of each.
    """

    rows: Candidates
    in_way: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class SquadHas:
    """How a squad stands, or would.

    Attributes:
        name: As people say it.
        counts: How many sessions each of its asks has, by number of the ask.
        points: Wish points of them.
        best: Wish points that it could have alone.
        past: Percent points more or less in earlier stretches.
    """

    name: str
    counts: dict[int, int]
    points: int
    best: int
    past: int

    @property
    def has(self) -> int:
        """How many sessions it has."""
        return sum(self.counts.values())

    @property
    def percent(self) -> int:
        """Percent of what it could have alone."""
        return percent_served(self.points, self.best)

    @property
    def left(self) -> int:
        """The same, with what it had more or less than others in earlier stretches."""
        return self.percent + self.past

    def with_one(self, ask: int, points: int, count: int) -> SquadHas:
        """Return how it would stand with a session more, count 1, or less, count -1."""
        counts = {**self.counts, ask: self.counts[ask] + count}
        return SquadHas(self.name, counts, self.points + count * points, self.best, self.past)


@dataclass(frozen=True, slots=True)
class Held:
    """The plan as the reasons look at it.

    Attributes:
        terrain: The problem's columns.
        placements: The plan.
        rows: The same as candidates, in the same order.
        known: Looks at ground, kept between asks and plans of one problem.
        views: By ask, what it could have; filled as it is asked for.
        squads: By key, how squads stand; filled as it is asked for.
    """

    terrain: Terrain
    placements: tuple[Placement, ...]
    rows: Candidates
    known: Known = field(default_factory=dict, repr=False, compare=False)
    views: dict[int, View] = field(default_factory=dict, repr=False, compare=False)
    squads: dict[str, SquadHas] = field(default_factory=dict, repr=False, compare=False)

    def without(self, session: int) -> Held:
        """Return the plan without one of its sessions."""
        placements = self.placements[:session] + self.placements[session + 1 :]
        rows = self.rows.take(np.arange(len(self.placements)) != session)
        return Held(self.terrain, placements, rows, self.known)

    def places_of(self, ask: Ask, number: int, *, keep_all: bool = False) -> Candidates:
        """List the places of an ask, as `ask_candidates` does."""
        if len(self.known) > MOST_KNOWN:
            self.known.clear()
        return ask_candidates(self.terrain, ask, number, keep_all=keep_all, known=self.known)

    def next_session(self, number: int) -> int:
        """Return the first of an ask's sessions that has no place."""
        own = np.flatnonzero(self.rows.ask == number).tolist()
        used = {self.placements[row].session for row in own}
        return next(n for n in range(len(used) + 1) if n not in used)

    def view(self, number: int) -> View:
        """Tell what one of the problem's own asks could have."""
        if number not in self.views:
            rows = self.places_of(self.terrain.problem.asks[number], number)
            self.views[number] = View(rows, count_in_way(self, rows))
        return self.views[number]


def hold(terrain: Terrain, placements: Sequence[Placement]) -> Held:
    """Look at a plan."""
    known: Known = {}
    rows = rows_of_placements(terrain, placements, known)
    return Held(terrain, tuple(placements), rows, known)


def blocked_by(held: Held, rows: Candidates) -> NDArray[np.bool_]:
    """Tell which sessions of a plan are in the way of which rows: shape (rows, plan)."""
    return held_ground(held, rows) | held_people(held, rows)


def held_ground(held: Held, rows: Candidates) -> NDArray[np.bool_]:
    """Tell which sessions of a plan have ground that which rows want: shape (rows, plan)."""
    found = np.zeros((len(rows), len(held.rows)), dtype=bool)
    for here, near in _by_pitch(held, rows):
        clash = ground_clashes(held.terrain, rows.take(here), held.rows.take(near))
        found[np.ix_(here, near)] = clash
    return found


def held_people(held: Held, rows: Candidates) -> NDArray[np.bool_]:
    """Tell which sessions of a plan need people whom which rows want: shape (rows, plan)."""
    found = np.zeros((len(rows), len(held.rows)), dtype=bool)
    near = _with_same_people(held, rows)
    found[:, near] = people_clashes(held.terrain, rows, held.rows.take(near))
    return found


def count_in_way(held: Held, rows: Candidates) -> NDArray[np.int64]:
    """Count the sessions of a plan that are in the way of each row."""
    near = held.rows.take(_with_same_people(held, rows))
    people = people_clashes(held.terrain, rows, near)
    count = (people & ~ground_clashes(held.terrain, rows, near)).sum(axis=1)
    for here, there in _by_pitch(held, rows):
        clash = ground_clashes(held.terrain, rows.take(here), held.rows.take(there))
        count[here] += clash.sum(axis=1)
    return np.asarray(count)


def in_the_way(terrain: Terrain, rows: Candidates, others: Candidates) -> NDArray[np.bool_]:
    """Tell which of some sessions are in the way of which rows: shape (rows, others)."""
    ground = ground_clashes(terrain, rows, others)
    return np.asarray(ground | people_clashes(terrain, rows, others))


def free_of(held: Held, rows: Candidates) -> Candidates:
    """Return those of some rows that nobody is in the way of, and that no limit keeps out."""
    rows = rows.take(count_in_way(held, rows) == 0)
    return rows.take(~too_many(held.terrain, rows, held.rows)) if len(rows) else rows


def still_free(held: Held, number: int, gone: Sequence[int], come: Candidates) -> Candidates:
    """List the places of an ask that nobody is in the way of once a plan has changed.

    Args:
        held: The plan as it is.
        number: Which of the problem's asks.
        gone: Numbers of sessions that have left the plan.
        come: Sessions that have come into it.
    """
    view, terrain = held.view(number), held.terrain
    leaving = held.rows.take(np.array(gone, dtype=np.int64))
    left = view.in_way - in_the_way(terrain, view.rows, leaving).sum(axis=1)
    rows = view.rows.take(np.flatnonzero(left == 0))
    if len(rows):
        rows = rows.take(np.flatnonzero(~in_the_way(terrain, rows, come).any(axis=1)))
    if not len(rows):
        return rows
    stays = np.ones(len(held.rows), dtype=bool)
    stays[list(gone)] = False
    return rows.take(~too_many(terrain, rows, join([held.rows.take(stays), come])))


def _by_pitch(
    held: Held, rows: Candidates
) -> Iterator[tuple[NDArray[np.int64], NDArray[np.int64]]]:
    """Go through the pitches of some rows: numbers of the rows there, and of the plan's sessions.

    Sessions on other pitches cannot hold their ground.
    """
    pitch = held.terrain.pitch
    wanted, used = pitch[rows.ground], pitch[held.rows.ground]
    for number in np.intersect1d(wanted, used).tolist():
        yield np.flatnonzero(wanted == number), np.flatnonzero(used == number)


def _with_same_people(held: Held, rows: Candidates) -> NDArray[np.int64]:
    """List the sessions of a plan that need somebody whom some rows need too."""
    shared = people_shared(held.terrain)[np.unique(rows.ask)][:, held.rows.ask]
    return np.flatnonzero(shared.any(axis=0))
