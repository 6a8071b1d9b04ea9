"""The share-out's model once more, with every place by itself, for what a re-share counts.

Which part of a pitch a squad has is what it notices, so parts are not merged here; every pitch and
day has its exact rows from the start.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.ground.candidates import join
from clubplanner.sharing.ground.slots import Slots
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.model.plan_worth import PlanWorth
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.displacement import lost_points, move_points
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import ground_weights
from clubplanner.sharing.values.problem import Placement

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain

_Key = tuple[int, int, int, int]


class ReshareModel:
    """The model of a re-share with its three aims.

    Attributes:
        terrain: The altered problem's columns.
        rows: The candidates; each is a slot of its own.
        share: The model of places and people, with the points of placing.
        worth: Measures plans.
        best: What each ask could have alone, in wish points.
        standing: The standing plan as far as its asks are still there.
        kept: For each standing placement the row that is its place, or None where it cannot stay.
        hit: Squads that lose a place whatever is done.
        changed: For each other squad with standing sessions, whether one is not where it was.
    """

    def __init__(self, terrain: Terrain, standing: Sequence[Placement]) -> None:
        self.terrain = terrain
        problem = terrain.problem
        asks = {ask.key: n for n, ask in enumerate(problem.asks)}
        self.standing = tuple(item for item in standing if item.ask in asks)
        self.rows = _with_standing(terrain, self.standing)
        self.best = best_alone(terrain, self.rows)
        slots = _single_slots(terrain, self.rows)
        self.share = ShareModel(terrain, slots, self.best, self.rows)
        self.worth = PlanWorth(terrain, slots, self.best)
        for pitch, day in sorted(self.share.slots.by_pitch_and_day()):
            self.share.add_detail(pitch, day)
        places = {key: row for row, key in enumerate(_keys(self.rows))}
        self.kept = [
            places.get(_key_of(terrain, asks[item.ask], item))
            if item.end_min - item.start_min == problem.asks[asks[item.ask]].minutes
            else None
            for item in self.standing
        ]
        squads = {ask.key: ask.squad for ask in problem.asks}
        self._owners = [squads[item.ask] for item in self.standing]
        owned = list(zip(self._owners, self.kept, strict=True))
        self.hit = {squad for squad, row in owned if row is None}
        self.changed: dict[str, cp_model.IntVar] = {}
        for squad, row in owned:
            if row is not None and squad not in self.hit:
                if squad not in self.changed:
                    self.changed[squad] = self.share.model.new_bool_var(f"{squad} is disturbed")
                self.share.model.add_bool_or(self.share.chosen[row], self.changed[squad])

    def disturbed_by(self, plan: Collection[int]) -> set[str]:
        """Name the squads, not hit, that a plan gives another place than they had."""
        chosen = set(plan)
        owned = zip(self._owners, self.kept, strict=True)
        return {squad for squad, row in owned if squad not in self.hit and row not in chosen}

    @property
    def disturbed(self) -> cp_model.LinearExprT:
        """How many squads are disturbed that were not hit."""
        return cp_model.LinearExpr.sum(list(self.changed.values()))

    def way(self, *, is_full: bool) -> cp_model.LinearExprT:
        """Add up how far sessions move: each old one is matched to at most one new one.

        A place that is kept is matched to itself: the way is a metric, so nothing is shorter.

        Args:
            is_full: Whether every ask is known to get all sessions it has days for; written down,
                as it helps the proof.
        """
        by_ask: dict[int, list[int]] = {}
        for row, ask in enumerate(self.rows.ask.tolist()):
            by_ask.setdefault(ask, []).append(row)
        terms: list[cp_model.LinearExprT] = []
        for number, rows in by_ask.items():
            days = len(set(self.rows.day[rows].tolist()))
            sessions = self.terrain.problem.asks[number].sessions
            if is_full:
                chosen = [self.share.chosen[row] for row in rows]
                self.share.model.add(sum(chosen) == min(days, sessions))
            terms += self._ways(number, rows, is_full=is_full and days >= sessions)
        placed = {self.terrain.problem.asks[number].key for number in by_ask}
        left = sum(item.ask not in placed for item in self.standing)
        return cp_model.LinearExpr.sum(terms) + left * lost_points(self.terrain.problem)

    def _ways(
        self, number: int, rows: Sequence[int], *, is_full: bool
    ) -> list[cp_model.LinearExprT]:
        """Match the sessions of an ask: a new place serves one old one, and the other way."""
        model, ask = self.share.model, self.terrain.problem.asks[number]
        owned = zip(self.standing, self.kept, strict=True)
        olds = [(item, row) for item, row in owned if item.ask == ask.key]
        stays = {row for _, row in olds}
        others = [row for row in rows if row not in stays]
        is_even = is_full and len(olds) == ask.sessions
        serves: dict[int, list[cp_model.IntVar]] = {row: [] for row in others}
        terms: list[cp_model.LinearExprT] = []
        for old, kept in olds:
            own = [model.new_bool_var("") for _ in others]
            for row, match in zip(others, own, strict=True):
                serves[row].append(match)
            costs = self._costs(old, others)
            if kept is not None:
                own.append(self.share.chosen[kept])
                costs.append(0)
            if is_even:
                model.add_exactly_one(own)
                terms.append(cp_model.LinearExpr.weighted_sum(own, costs))
            else:
                lost = lost_points(self.terrain.problem)
                model.add_at_most_one(own)
                less = [cost - lost for cost in costs]
                terms.append(lost + cp_model.LinearExpr.weighted_sum(own, less))
        for row, matches in serves.items():
            if matches and is_even:
                model.add(sum(matches) == self.share.chosen[row])
            elif matches:
                model.add(sum(matches) <= self.share.chosen[row])
        return terms

    def _costs(self, old: Placement, rows: Sequence[int]) -> list[int]:
        """Compute how far one session moves to each of some rows."""
        problem = self.terrain.problem
        grounds = {ground.key: ground for ground in problem.grounds}
        places = [_place_of(self.terrain, self.rows, row, old.ask) for row in rows]
        return [move_points(problem, grounds, old, place) for place in places]


def _with_standing(terrain: Terrain, standing: Sequence[Placement]) -> Candidates:
    """List the candidates, and those places of the standing plan that are needlessly large."""
    rows = list_candidates(terrain)
    known = set(_keys(rows))
    everything = list_candidates(terrain, keep_all=True)
    asks = {ask.key: n for n, ask in enumerate(terrain.problem.asks)}
    wanted = {_key_of(terrain, asks[item.ask], item) for item in standing} - known
    more = [
        row
        for row, key in enumerate(_keys(everything))
        if key in wanted and everything.session[row] < 0
    ]
    joined = join([rows, everything.take(np.array(more, dtype=np.int64))])
    return joined.take(np.array(_first_of_each(joined), dtype=np.int64))


def _first_of_each(rows: Candidates) -> list[int]:
    """Keep one row of each place, the pinned one where there is one."""
    best: dict[_Key, int] = {}
    for row, key in enumerate(_keys(rows)):
        if key not in best or rows.session[row] >= 0:
            best[key] = row
    return sorted(best.values())


def _keys(rows: Candidates) -> list[_Key]:
    columns = (rows.ask, rows.ground, rows.day, rows.start)
    return list(zip(*(column.tolist() for column in columns), strict=True))


def _key_of(terrain: Terrain, ask: int, item: Placement) -> _Key:
    grounds = {ground.key: n for n, ground in enumerate(terrain.problem.grounds)}
    return ask, grounds.get(item.ground, -1), item.day, item.start_min


def _place_of(terrain: Terrain, rows: Candidates, row: int, ask: str) -> Placement:
    ground = terrain.problem.grounds[int(rows.ground[row])].key
    day, start, end = int(rows.day[row]), int(rows.start[row]), int(rows.end[row])
    return Placement(ask, 0, ground, day, start, end)


def _single_slots(terrain: Terrain, rows: Candidates) -> Slots:
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
