"""The share-out's model once more, with every place by itself, for what a re-share counts.

Which part of a pitch a squad has is what it notices, so parts are not merged here; every pitch and
day has its exact rows from the start. A model may know some of the places only (`reshare_reach.py`
says which are enough).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.again.reshare_places import single_slots
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.places.displacement import lost_points

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.again.reshare_places import Places


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

    @property
    def disturbed(self) -> cp_model.LinearExprT:
        """How many squads are disturbed that were not hit."""
        return cp_model.LinearExpr.sum(list(self.changed.values()))

    def hint(self, plan: Collection[int]) -> None:
        """Let the next search begin at a plan, as far as its rows are known here."""
        self.share.model.clear_hints()  # type: ignore[no-untyped-call]
        for row, variable in self._variables.items():
            self.share.model.add_hint(variable, row in plan)

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
        terms: list[cp_model.LinearExprT] = []
        for old, kept in olds:
            own = [model.new_bool_var("") for _ in others]
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
        for row, matches in serves.items():
            if matches and is_even:
                model.add(sum(matches) == self._variables[row])
            elif matches:
                model.add(sum(matches) <= self._variables[row])
        return terms
