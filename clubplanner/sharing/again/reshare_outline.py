"""A re-share with equal parts of a pitch merged, as in a share-out, but for where squads stand.

The place that a standing session has is a slot of its own, so that who is disturbed is counted as
it is. Which other part a squad gets is left to `lay_out`; a pitch and day where that fails gets
its exact rows. Until then the model is a relaxation: what it proves holds for all plans.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.ground.slots import Slots
from clubplanner.sharing.model.layout import lay_out, salvage
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.places.first_plan import fill_plan
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.places.plans_to_go_on_from import sound_rows

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from clubplanner.sharing.again.reshare_places import Places

_Place = tuple[int, int]


class Outline:
    """The merged model of a re-share with its first two aims.

    Attributes:
        share: The model of places and people, with the points of placing.
        changed: For each squad with standing sessions that is not hit, whether one of them is not
            where it was.
    """

    def __init__(self, places: Places) -> None:
        self._places = places
        terrain, rows = places.terrain, places.rows
        stays = {row for row in places.kept if row is not None}
        self._slots = _apart(merge(terrain, rows), stays)
        self.share = ShareModel(terrain, self._slots, places.best, rows)
        self._slot_of = {row: n for n, own in enumerate(self._slots.rows) for row in own}
        self.changed: dict[str, cp_model.IntVar] = {}
        model = self.share.model
        for squad, row in zip(places.owners, places.kept, strict=True):
            if row is not None and squad not in places.hit:
                if squad not in self.changed:
                    self.changed[squad] = model.new_bool_var(f"{squad} is disturbed")
                stays_there = self.share.chosen[self._slot_of[row]]
                model.add_bool_or([stays_there, self.changed[squad]])

    @property
    def disturbed(self) -> cp_model.LinearExprT:
        """How many squads are disturbed that were not hit."""
        return cp_model.LinearExpr.sum(list(self.changed.values()))

    def fill(self) -> None:
        """Hold every ask to all the sessions it has days for; sharper than their sum."""
        by_ask: dict[int, list[cp_model.IntVar]] = {}
        for ask, variable in zip(self._slots.ask.tolist(), self.share.chosen, strict=True):
            by_ask.setdefault(ask, []).append(variable)
        for ask, chosen in by_ask.items():
            total = cp_model.LinearExpr.sum(chosen)
            self.share.model.add(total == self._places.most_sessions[ask])

    def slots_at(self, plan: Collection[int]) -> list[int]:
        """Return the slots of a plan's rows."""
        return sorted({self._slot_of[row] for row in plan})

    def hint(self, chosen: Sequence[int], model: cp_model.CpModel) -> None:
        """Let the next search of the model, or of a copy, begin at some slots."""
        slots = set(chosen)
        model.clear_hints()  # type: ignore[no-untyped-call]
        for slot, variable in enumerate(self.share.chosen):
            model.add_hint(_twin(model, variable), slot in slots)

    def slots_of(self, solver: cp_model.CpSolver) -> list[int]:
        """Read the slots that a search has chosen."""
        return [n for n, item in enumerate(self.share.chosen) if solver.boolean_value(item)]

    def lay_out(self, chosen: Sequence[int]) -> tuple[list[int], list[_Place]]:
        """Turn chosen slots into a sound plan.

        Returns:
            Numbers of its rows, and the pitches and days that could not be laid out as chosen;
            the plan has as much of those as can be, and what else there is room for.
        """
        terrain, slots, rows = self._places.terrain, self._slots, self._places.rows
        picks, failed = lay_out(terrain, slots, chosen)
        if failed:
            picks.update(salvage(terrain, slots, chosen, failed))
        laid = sorted(slots.rows[slot][pick] for slot, pick in picks.items())
        kept = sound_rows(terrain, rows, laid)
        return sorted(fill_plan(terrain, rows, kept).tolist()), failed

    def detail(self, failed: Sequence[_Place]) -> None:
        """Write the exact rows of pitches and days."""
        for place in failed:
            self.share.add_detail(*place)

    def freed(
        self, chosen: Sequence[int], failed: Sequence[_Place], *, is_wide: bool
    ) -> cp_model.CpModel:
        """Copy the model with all held where they are who are not on some pitches and days.

        Args:
            chosen: Where they are.
            failed: Pitches and days.
            is_wide: Whether those are free as well who are elsewhere on such a day.
        """
        slots, kept = self._slots, set(chosen)
        where, days = set(failed), {day for _, day in failed}
        free = {
            int(slots.ask[n])
            for n in kept
            if (int(slots.pitch[n]), int(slots.day[n])) in where
            or (is_wide and int(slots.day[n]) in days)
        }
        model = self.share.model.clone()
        for slot, variable in enumerate(self.share.chosen):
            if int(slots.ask[slot]) not in free:
                model.add(_twin(model, variable) == (slot in kept))
        return model


def _apart(slots: Slots, rows: Collection[int]) -> Slots:
    """Make slots of their own of some rows."""
    parts: list[tuple[int, tuple[int, ...]]] = []
    for slot, own in enumerate(slots.rows):
        single = [n for n, row in enumerate(own) if row in rows]
        others = tuple(n for n, row in enumerate(own) if row not in rows)
        parts += [(slot, (n,)) for n in single]
        parts += [(slot, others)] if others else []
    numbers = np.array([slot for slot, _ in parts], dtype=np.int64)
    return Slots(
        rows=tuple(tuple(slots.rows[slot][n] for n in picked) for slot, picked in parts),
        grounds=tuple(tuple(slots.grounds[slot][n] for n in picked) for slot, picked in parts),
        ask=slots.ask[numbers],
        pitch=slots.pitch[numbers],
        day=slots.day[numbers],
        start=slots.start[numbers],
        end=slots.end[numbers],
        score=slots.score[numbers],
        weight=slots.weight[numbers],
        is_pinned=slots.is_pinned[numbers],
    )


def _twin(model: cp_model.CpModel, variable: cp_model.IntVar) -> cp_model.IntVar:
    """Return a variable of the whole model in its copy."""
    return model.get_bool_var_from_proto_index(variable.index)
