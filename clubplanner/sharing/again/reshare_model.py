"""The share-out's model once more, with every place by itself, for what a re-share counts.

Which part of a pitch a squad has is what it notices, so parts are not merged here; every pitch and
day has its exact rows from the start. A model may know some of the places only (`reshare_reach.py`
says which are enough).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.again.reshare_places import single_slots
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.places.displacement import lost_points, match_sessions
from clubplanner.sharing.places.placements import placement_of

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.again.reshare_places import Places
    from clubplanner.sharing.values.problem import Placement


@dataclass(frozen=True, slots=True)
class _Matched:
    """The matching of an ask's sessions.

    Attributes:
        rows: Its places where none of its sessions stood.
        olds: Where they stood.
        kept: The rows of those that the model knows.
        variables: For each session, whether it is the one that has each of the rows now.
    """

    rows: list[int]
    olds: list[Placement]
    kept: list[int | None]
    variables: list[list[cp_model.IntVar]]


class ReshareModel:
    """The model of a re-share with its three aims.

    Attributes:
        places: What the re-share chooses from.
        numbers: The rows that the model knows, in order; all its variables are in this order.
        share: The model of places and people, with the points of placing.
        changed: For each squad with standing sessions that is not hit, whether one of them is not
            where it was.
    """

    def __init__(self, places: Places, numbers: NDArray[np.int64] | None = None) -> None:
        """Write the model.

        Args:
            places: What the re-share chooses from.
            numbers: The rows that it is to know, in order, all pinned ones among them; None for
                all.
        """
        self.places = places
        terrain = places.terrain
        self.numbers = np.arange(len(places.rows)) if numbers is None else numbers
        rows = places.rows.take(self.numbers)
        self.share = ShareModel(terrain, single_slots(terrain, rows), places.best, rows)
        for pitch, day in sorted(self.share.slots.by_pitch_and_day()):
            self.share.add_detail(pitch, day)
        self._variables = dict(zip(self.numbers.tolist(), self.share.chosen, strict=True))
        self.changed: dict[str, cp_model.IntVar] = {}
        model = self.share.model
        for squad, row in zip(places.owners, places.kept, strict=True):
            if row is not None and squad not in places.hit:
                if squad not in self.changed:
                    self.changed[squad] = model.new_bool_var(f"{squad} is disturbed")
                stays = [self._variables[row]] if row in self._variables else []
                model.add_bool_or([*stays, self.changed[squad]])
        self._matched: list[_Matched] = []
        self._hold_whole_asks()

    @property
    def disturbed(self) -> cp_model.LinearExprT:
        """How many squads are disturbed that were not hit."""
        return cp_model.LinearExpr.sum(list(self.changed.values()))

    def hint(self, plan: Collection[int]) -> None:
        """Let the next search begin at a plan, as far as its rows are known here."""
        model = self.share.model
        model.clear_hints()  # type: ignore[no-untyped-call]
        for row, variable in self._variables.items():
            model.add_hint(variable, row in plan)
        disturbed = self.places.disturbed_by(plan)
        for squad, variable in self.changed.items():
            model.add_hint(variable, squad in disturbed)
        for matched in self._matched:
            pairs = self._pairs(matched, plan)
            for old, own in enumerate(matched.variables):
                for row, variable in zip(matched.rows, own, strict=True):
                    model.add_hint(variable, pairs.get(old) == row)

    def _pairs(self, matched: _Matched, plan: Collection[int]) -> dict[int, int]:
        """Match the sessions of an ask that move to a plan's new places, the shortest way."""
        moved = [n for n, kept in enumerate(matched.kept) if kept is None or kept not in plan]
        rows = self.places.rows
        news = [
            placement_of(self.places.terrain, rows, row, row) for row in matched.rows if row in plan
        ]
        olds = [replace(matched.olds[n], session=n) for n in moved]
        found = match_sessions(self.places.terrain.problem, olds, news)
        return {old.session: new.session for old, new in found if new is not None}

    def _hold_whole_asks(self) -> None:
        """Give who is not disturbed no other place, day by day; sharper than the sum of both.

        Follows where a squad that is not hit has all its sessions of an ask: staying, they are all.
        """
        places, rows = self.places, self.places.rows
        stays: dict[int, set[int]] = {}
        for ask, row in zip(places.asks, places.kept, strict=True):
            stays.setdefault(ask, set()).update(() if row is None else (row,))
        by_day: dict[tuple[int, int], list[cp_model.IntVar]] = {}
        for row, variable in self._variables.items():
            ask = int(rows.ask[row])
            if row not in stays.get(ask, ()):
                by_day.setdefault((ask, int(rows.day[row])), []).append(variable)
        asks = places.terrain.problem.asks
        for (ask, _day), others in by_day.items():
            squad = asks[ask].squad
            if squad in self.changed and len(stays.get(ask, ())) >= asks[ask].sessions:
                self.share.model.add_at_most_one([~self.changed[squad], *others])

    def plan_of(self, solver: cp_model.CpSolver) -> list[int]:
        """Read the plan that a search has found, as numbers of rows."""
        return [n for n, variable in self._variables.items() if solver.boolean_value(variable)]

    def rows_of(self, chosen: Iterable[int]) -> list[int]:
        """Return the rows of variables, which are numbered in the model's order."""
        rows: list[int] = self.numbers[list(chosen)].tolist()
        return rows

    def numbers_of(self, plan: Collection[int]) -> list[int]:
        """Return the variables of a plan's rows, as far as the model knows them."""
        return np.flatnonzero(np.isin(self.numbers, list(plan))).tolist()

    def fill(self) -> None:
        """Hold every ask to all the sessions it has days for; sharper than their sum."""
        rows = self.places.rows
        by_ask: dict[int, list[int]] = {}
        for row in self.numbers.tolist():
            by_ask.setdefault(int(rows.ask[row]), []).append(row)
        for number, sessions in enumerate(self.places.most_sessions):
            chosen = [self._variables[row] for row in by_ask.get(number, [])]
            if chosen:
                self.share.model.add(sum(chosen) == sessions)
            elif sessions:
                self.share.model.add_bool_or([])

    def way(self, *, is_full: bool) -> cp_model.LinearExprT:
        """Add up how far sessions move: each old one is matched to at most one new one.

        A place that is kept is matched to itself: the way is a metric, so nothing is shorter.

        Args:
            is_full: Whether every ask is known to get all sessions it has days for; `fill` says so
                to the model.
        """
        by_ask: dict[int, list[int]] = {}
        for row in self.numbers.tolist():
            by_ask.setdefault(int(self.places.rows.ask[row]), []).append(row)
        terms: list[cp_model.LinearExprT] = []
        problem = self.places.terrain.problem
        for number, rows in by_ask.items():
            asked = problem.asks[number].sessions
            is_whole = is_full and self.places.most_sessions[number] == asked
            terms += self._ways(number, rows, is_full=is_whole)
        left = sum(ask not in by_ask for ask in self.places.asks)
        return cp_model.LinearExpr.sum(terms) + left * lost_points(problem)

    def _ways(
        self, number: int, rows: Sequence[int], *, is_full: bool
    ) -> Iterable[cp_model.LinearExprT]:
        """Match the sessions of an ask: a new place serves one old one, and the other way."""
        places, model = self.places, self.share.model
        problem = places.terrain.problem
        olds = [
            (item, row if row in self._variables else None)
            for ask, item, row in zip(places.asks, places.standing, places.kept, strict=True)
            if ask == number
        ]
        stays = {row for _, row in olds}
        others = [row for row in rows if row not in stays]
        is_even = is_full and len(olds) == problem.asks[number].sessions
        serves: dict[int, list[cp_model.IntVar]] = {row: [] for row in others}
        variables: list[list[cp_model.IntVar]] = []
        terms: list[cp_model.LinearExprT] = []
        for old, kept in olds:
            own = [model.new_bool_var("") for _ in others]
            variables.append(list(own))
            for row, match in zip(others, own, strict=True):
                serves[row].append(match)
            costs = places.ways(old, others)
            if kept is not None:
                own.append(self._variables[kept])
                costs.append(0)
            if is_even:
                model.add_exactly_one(own)
                terms.append(cp_model.LinearExpr.weighted_sum(own, costs))
            else:
                lost = lost_points(problem)
                model.add_at_most_one(own)
                less = [cost - lost for cost in costs]
                terms.append(lost + cp_model.LinearExpr.weighted_sum(own, less))
        self._matched.append(
            _Matched(others, [o for o, _ in olds], [k for _, k in olds], variables)
        )
        for row, matches in serves.items():
            if matches and is_even:
                model.add(sum(matches) == self._variables[row])
            elif matches:
                model.add(sum(matches) <= self._variables[row])
        return terms
