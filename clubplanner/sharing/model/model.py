"""The share-out as an integer program.

One variable a slot. Equal parts of a pitch count against its capacity by their weight. That is a
relaxation: what the weights allow may still not go side by side all evening. `add_detail` writes
the exact rows, cell by cell, for one pitch and day; with every pitch and day in detail the model
is exact. Rows are written for the moments of `moments` only.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.ground.cliques import WHOLE, cell_groups, moments, most_side_by_side
from clubplanner.sharing.model.aim_book import aim_named
from clubplanner.sharing.model.aims import Aims
from clubplanner.sharing.rules.book import add_rows
from clubplanner.sharing.rules.rule import Draft

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain


class ShareModel:
    """The variables and rows of one problem, with its aims.

    Attributes:
        model: The integer program.
        chosen: A variable for each slot: whether it is in the plan.
        aims: What can be asked of the plan, of all squads or of those given.
        detailed: Pitches and days that have exact rows.
        fixed: Places that somebody has whatever is chosen; None for none.
    """

    terrain: Terrain
    slots: Slots
    model: cp_model.CpModel
    chosen: list[cp_model.IntVar]
    aims: Aims
    fixed: Candidates | None

    def __init__(
        self,
        terrain: Terrain,
        slots: Slots,
        best: NDArray[np.int64],
        candidates: Candidates,
        squads: Collection[str] | None = None,
        fixed: Candidates | None = None,
    ) -> None:
        self.terrain = terrain
        self.slots = slots
        self.model = cp_model.CpModel()
        self.chosen = [self.model.new_bool_var(f"slot {n}") for n in range(len(slots))]
        self.detailed: set[tuple[int, int]] = set()
        self._groups = slots.by_pitch_and_day()
        for slot in np.flatnonzero(slots.is_pinned):
            self.model.add(self.chosen[slot] == 1)
        self._add_asks()
        for (pitch, day), members in self._groups.items():
            self._add_capacity(members)
            if self._needs_detail(members):
                self.add_detail(pitch, day)
        firsts = np.array([rows[0] for rows in slots.rows], dtype=np.int64)
        rows = candidates.take(firsts)
        add_rows(Draft(self.model, terrain, slots, self.chosen, rows, fixed))
        self.aims = Aims(self.model, terrain, slots, self.chosen, best, squads)
        self._aims: dict[str, cp_model.LinearExprT] = {}
        self.fixed = fixed

    def add_detail(self, pitch: int, day: int) -> None:
        """Write the exact rows of a pitch and day: one ground a session, one session a cell."""
        if (pitch, day) not in self.detailed:
            self.detailed.add((pitch, day))
            self._write_detail(self.model, self.chosen, pitch, day)

    def with_only(
        self, free: Collection[int], kept: Collection[int], exact: Collection[tuple[int, int]]
    ) -> cp_model.CpModel:
        """Return a model of the plans in which only some asks may change.

        Args:
            free: Numbers of the asks that may.
            kept: Slots that are chosen of all others.
            exact: Pitches and days that have exact rows in it, beside those that have them here.
        """
        model = self.model.clone()
        chosen = [model.get_bool_var_from_proto_index(it.index) for it in self.chosen]
        for slot, variable in enumerate(chosen):
            if int(self.slots.ask[slot]) not in free:
                model.add(variable == (slot in kept))
        for pitch, day in sorted(set(exact) - self.detailed):
            self._write_detail(model, chosen, pitch, day)
        return model

    def _write_detail(
        self, model: cp_model.CpModel, chosen: Sequence[cp_model.IntVar], pitch: int, day: int
    ) -> None:
        members = self._groups[pitch, day]
        used = sorted({ground for slot in members for ground in self.slots.grounds[slot]})
        on_ground: dict[int, list[tuple[int, cp_model.IntVar]]] = {ground: [] for ground in used}
        for slot in members:
            grounds = self.slots.grounds[slot]
            takes = [chosen[slot]]
            if len(grounds) > 1:
                takes = [model.new_bool_var(f"slot {slot} on {g}") for g in grounds]
                model.add(sum(takes) == chosen[slot])
            for ground, variable in zip(grounds, takes, strict=True):
                on_ground[ground].append((slot, variable))
        masks = [int(self.terrain.cells[ground]) for ground in used]
        groups = cell_groups(masks) + [[n] for n in range(len(used))]
        for group in groups:
            items = [item for n in group for item in on_ground[used[n]]]
            variables = [variable for _, variable in items]
            for there in self._at_once([slot for slot, _ in items]):
                if len(there) > 1:
                    model.add_at_most_one([variables[n] for n in there])

    def aim(self, name: str) -> cp_model.LinearExprT:
        """Return an aim as an expression; what it needs is added on first use."""
        if name not in self._aims:
            self._aims[name] = aim_named(name).expression(self)
        return self._aims[name]

    def _needs_detail(self, members: Sequence[int]) -> bool:
        """Whether the weights say too little from the start: ground that is no equal part."""
        problem = self.terrain.problem
        return any(
            problem.grounds[ground].share is None or self.slots.weight[slot] == 0
            for slot in members
            for ground in self.slots.grounds[slot]
        )

    def _at_once(self, members: Sequence[int]) -> Iterator[list[int]]:
        """For each moment that matters list which of some slots are on, by their place here."""
        numbers = np.array(members, dtype=np.int64)
        starts = self.slots.start[numbers]
        ends = self.slots.end[numbers] + self.terrain.problem.changeover_minutes
        for moment in moments(set(zip(starts.tolist(), ends.tolist(), strict=True))):
            yield np.flatnonzero((starts <= moment) & (moment < ends)).tolist()

    def _at_most_one(self, row: Sequence[cp_model.IntVar]) -> None:
        if len(row) > 1:
            self.model.add_at_most_one(row)

    def _add_asks(self) -> None:
        by_ask_day: dict[tuple[int, int], list[cp_model.IntVar]] = {}
        by_ask: dict[int, list[cp_model.IntVar]] = {}
        for slot, variable in enumerate(self.chosen):
            ask, day = int(self.slots.ask[slot]), int(self.slots.day[slot])
            by_ask_day.setdefault((ask, day), []).append(variable)
            by_ask.setdefault(ask, []).append(variable)
        for row in by_ask_day.values():
            self._at_most_one(row)
        for ask, row in by_ask.items():
            self.model.add(sum(row) <= self.terrain.problem.asks[ask].sessions)

    def _add_capacity(self, members: Sequence[int]) -> None:
        """Hold the weights in use at one moment, over the pitch and over each set of its parts."""
        owners: dict[frozenset[int], list[int]] = {}
        for slot in members:
            owners.setdefault(frozenset(self.slots.grounds[slot]), []).append(slot)
        weight = {g: int(self.slots.weight[own[0]]) for part, own in owners.items() for g in part}
        sets = {*owners, frozenset(weight)}
        for grounds in sorted(sets, key=sorted):
            inside = sorted(s for part, own in owners.items() if part <= grounds for s in own)
            parts = [(int(self.terrain.cells[g]), weight[g]) for g in sorted(grounds)]
            room = most_side_by_side(parts)
            limit = WHOLE if room is None else room
            weights = self.slots.weight[inside].tolist()
            for there in self._at_once(inside):
                row = [weights[n] for n in there]
                if sum(row) > limit:
                    terms = [self.chosen[inside[n]] for n in there]
                    self.model.add(cp_model.LinearExpr.weighted_sum(terms, row) <= limit)
