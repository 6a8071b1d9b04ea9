"""Which third is whose: concrete ground for the slots of a plan, a pitch and day at a time.

The plan's worth does not depend on it. Among the ways to lay a day out, one is taken that gives
each squad the same ground as on its days before, and lets every squad have a goal in turn.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.ground.cliques import cell_groups, moments
from clubplanner.sharing.model.solvers import new_solver

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain

SAME_GROUND_POINTS = 3
"""For ground that the squad has on another day of the plan."""
GOAL_POINTS = 2
"""For ground with a goal, to a squad that has had none yet."""


def lay_out(
    terrain: Terrain, slots: Slots, plan: Sequence[int]
) -> tuple[dict[int, int], list[tuple[int, int]]]:
    """Choose a ground for every slot of a plan where that can be done.

    Args:
        terrain: The problem's columns.
        slots: The merged candidates.
        plan: Numbers of the chosen slots.

    Returns:
        For each slot laid out the place of its ground among the slot's own, and the pitches and
        days that cannot be laid out as chosen.
    """
    by_place: dict[tuple[int, int], list[int]] = {}
    for slot in plan:
        by_place.setdefault((int(slots.day[slot]), int(slots.pitch[slot])), []).append(slot)
    picks: dict[int, int] = {}
    failed: list[tuple[int, int]] = []
    habits: dict[tuple[str, int], int] = {}
    for (day, pitch), members in sorted(by_place.items()):
        found = _lay_out_one(terrain, slots, members, habits, must_all=True)
        if found is None:
            failed.append((pitch, day))
            continue
        picks.update(found)
        _remember(terrain, slots, found, habits)
    return picks, failed


def salvage(
    terrain: Terrain, slots: Slots, plan: Sequence[int], failed: Sequence[tuple[int, int]]
) -> dict[int, int]:
    """Choose grounds for as much as possible of the pitches and days that cannot be laid out."""
    picks: dict[int, int] = {}
    for pitch, day in failed:
        members = [n for n in plan if slots.pitch[n] == pitch and slots.day[n] == day]
        picks.update(_lay_out_one(terrain, slots, members, {}, must_all=False) or {})
    return picks


def _remember(
    terrain: Terrain, slots: Slots, found: Mapping[int, int], habits: dict[tuple[str, int], int]
) -> None:
    problem = terrain.problem
    for slot, pick in found.items():
        squad, ground = problem.asks[int(slots.ask[slot])].squad, slots.grounds[slot][pick]
        habits[squad, ground] = habits.get((squad, ground), 0) + 1
        if problem.grounds[ground].has_goal:
            habits[squad, -1] = 1


def _lay_out_one(
    terrain: Terrain,
    slots: Slots,
    members: Sequence[int],
    habits: Mapping[tuple[str, int], int],
    *,
    must_all: bool,
) -> dict[int, int] | None:
    model = cp_model.CpModel()
    takes = {
        (slot, pick): model.new_bool_var(f"{slot} {pick}")
        for slot in members
        for pick in range(len(slots.grounds[slot]))
    }
    for slot in members:
        own = [takes[slot, pick] for pick in range(len(slots.grounds[slot]))]
        if must_all or slots.is_pinned[slot]:
            model.add_exactly_one(own)
        else:
            model.add_at_most_one(own)
    _add_cells(terrain, slots, model, takes)
    asks = terrain.problem.asks
    gains = [
        _gain(terrain, asks[int(slots.ask[slot])].squad, slots.grounds[slot][pick], habits)
        + (0 if must_all else 100)
        for slot, pick in takes
    ]
    model.maximize(cp_model.LinearExpr.weighted_sum(list(takes.values()), gains))
    solver = new_solver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = 2.0
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return {slot: pick for (slot, pick), taken in takes.items() if solver.boolean_value(taken)}


def _gain(terrain: Terrain, squad: str, ground: int, habits: Mapping[tuple[str, int], int]) -> int:
    gain = SAME_GROUND_POINTS * min(2, habits.get((squad, ground), 0))
    if terrain.problem.grounds[ground].has_goal and not habits.get((squad, -1)):
        gain += GOAL_POINTS
    return gain


def _add_cells(
    terrain: Terrain,
    slots: Slots,
    model: cp_model.CpModel,
    takes: Mapping[tuple[int, int], cp_model.IntVar],
) -> None:
    gap = terrain.problem.changeover_minutes
    used = sorted({slots.grounds[slot][pick] for slot, pick in takes})
    masks = [int(terrain.cells[ground]) for ground in used]
    for group in cell_groups(masks) + [[n] for n in range(len(used))]:
        grounds = {used[n] for n in group}
        items = [key for key in takes if slots.grounds[key[0]][key[1]] in grounds]
        for moment in moments(_occupied(slots, (slot for slot, _ in items), gap)):
            row = [
                takes[slot, pick]
                for slot, pick in items
                if slots.start[slot] <= moment < slots.end[slot] + gap
            ]
            model.add_at_most_one(row)


def _occupied(slots: Slots, members: Iterable[int], gap: int) -> list[tuple[int, int]]:
    return [(int(slots.start[slot]), int(slots.end[slot]) + gap) for slot in members]
