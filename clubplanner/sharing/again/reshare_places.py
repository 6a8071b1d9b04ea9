"""The places of a re-share: all that sessions could have, and those where the standing plan is."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.candidates import join
from clubplanner.sharing.ground.slots import Slots
from clubplanner.sharing.model.plan_worth import PlanWorth
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.displacement import move_points
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import ground_weights
from clubplanner.sharing.values.problem import Placement

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain

_Key = tuple[int, int, int, int]


class Places:
    """What a re-share chooses from, and what it starts from.

    Attributes:
        terrain: The altered problem's columns.
        rows: The candidates; each is a slot of its own.
        slots: The same as slots.
        worth: Measures plans.
        best: What each ask could have alone, in wish points.
        standing: The standing plan as far as its asks are still there.
        asks: For each standing placement the number of its ask.
        owners: For each standing placement the squad whose it is.
        kept: For each standing placement the row that is its place, or None where it cannot stay.
        hit: Squads that lose a place whatever is done.
        most_sessions: For each ask how many sessions it can have at most, by its days.
    """

    def __init__(
        self,
        terrain: Terrain,
        standing: Sequence[Placement],
        pitches: Collection[str] | None = None,
    ) -> None:
        """List the places.

        Args:
            terrain: The altered problem's columns.
            standing: The plan that stands.
            pitches: Keys of the pitches on which sessions may be that are not pinned; None for all.
        """
        self.terrain = terrain
        problem = terrain.problem
        asks = {ask.key: n for n, ask in enumerate(problem.asks)}
        self.standing = tuple(item for item in standing if item.ask in asks)
        self.asks = [asks[item.ask] for item in self.standing]
        self.owners = [problem.asks[ask].squad for ask in self.asks]
        self.rows = _within(terrain, _with_standing(terrain, self.standing), pitches)
        self.best = best_alone(terrain, self.rows)
        self.slots = single_slots(terrain, self.rows)
        self.worth = PlanWorth(terrain, self.slots, self.best)
        places = {key: row for row, key in enumerate(_keys(self.rows))}
        self.kept = [
            places.get(_key_of(terrain, ask, item))
            if item.end_min - item.start_min == problem.asks[ask].minutes
            else None
            for ask, item in zip(self.asks, self.standing, strict=True)
        ]
        owned = zip(self.owners, self.kept, strict=True)
        self.hit = {squad for squad, row in owned if row is None}
        days = np.zeros((len(problem.asks), max(1, len(problem.days))), dtype=bool)
        days[self.rows.ask, self.rows.day] = True
        counts = days.sum(axis=1).tolist()
        self.most_sessions = [min(n, a.sessions) for n, a in zip(counts, problem.asks, strict=True)]

    def disturbed_by(self, plan: Collection[int]) -> set[str]:
        """Name the squads, not hit, that a plan gives another place than they had."""
        chosen = set(plan)
        owned = zip(self.owners, self.kept, strict=True)
        return {squad for squad, row in owned if squad not in self.hit and row not in chosen}

    def ways(self, old: Placement, rows: Sequence[int]) -> list[int]:
        """Compute how far a standing session moves to each of some rows."""
        problem = self.terrain.problem
        grounds = {ground.key: ground for ground in problem.grounds}
        places = [self._place_of(row, old.ask) for row in rows]
        return [move_points(problem, grounds, old, place) for place in places]

    def _place_of(self, row: int, ask: str) -> Placement:
        rows = self.rows
        ground = self.terrain.problem.grounds[int(rows.ground[row])].key
        day, start, end = int(rows.day[row]), int(rows.start[row]), int(rows.end[row])
        return Placement(ask, 0, ground, day, start, end)


def single_slots(terrain: Terrain, rows: Candidates) -> Slots:
    """Make every candidate a slot of its own: which part a squad has is what it notices."""
    return Slots(
        rows=tuple((row,) for row in range(len(rows))),
        grounds=tuple((int(ground),) for ground in rows.ground),
        ask=rows.ask,
        pitch=terrain.pitch[rows.ground],
        day=rows.day,
        start=rows.start,
        end=rows.end,
        score=rows.score,
        weight=ground_weights(terrain)[rows.ground],
        is_pinned=rows.session >= 0,
    )


def _with_standing(terrain: Terrain, standing: Sequence[Placement]) -> Candidates:
    """List the candidates, and needlessly large places on ground where their ask stands.

    Only those: on any other ground a session has moved as far as on the smaller one within.
    """
    rows = list_candidates(terrain)
    known = set(_keys(rows))
    everything = list_candidates(terrain, keep_all=True)
    asks = {ask.key: n for n, ask in enumerate(terrain.problem.asks)}
    wanted = {_key_of(terrain, asks[item.ask], item)[:2] for item in standing}
    more = [
        row
        for row, key in enumerate(_keys(everything))
        if key[:2] in wanted and key not in known and everything.session[row] < 0
    ]
    joined = join([rows, everything.take(np.array(more, dtype=np.int64))])
    return joined.take(_first_of_each(joined))


def _within(terrain: Terrain, rows: Candidates, pitches: Collection[str] | None) -> Candidates:
    """Leave out what is on other pitches and not pinned."""
    if pitches is None:
        return rows
    allowed = np.array([pitch in pitches for pitch in terrain.pitches], dtype=bool)
    return rows.take(np.flatnonzero((rows.session >= 0) | allowed[terrain.pitch[rows.ground]]))


def _first_of_each(rows: Candidates) -> NDArray[np.int64]:
    """Keep one row of each place, the pinned one where there is one."""
    best: dict[_Key, int] = {}
    for row, key in enumerate(_keys(rows)):
        if key not in best or rows.session[row] >= 0:
            best[key] = row
    return np.array(sorted(best.values()), dtype=np.int64)


def _keys(rows: Candidates) -> list[_Key]:
    columns = (rows.ask, rows.ground, rows.day, rows.start)
    return list(zip(*(column.tolist() for column in columns), strict=True))


def _key_of(terrain: Terrain, ask: int, item: Placement) -> _Key:
    grounds = {ground.key: n for n, ground in enumerate(terrain.problem.grounds)}
    return ask, grounds.get(item.ground, -1), item.day, item.start_min
