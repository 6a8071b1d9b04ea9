"""Rows of the model that keep days of rest between sessions and spare the grass."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.ground.wear import week_loads

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain

_Node = tuple[int, int]
"""An ask and a day."""


def add_rest(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
) -> None:
    """Keep sessions of a squad as many days apart as its asks say.

    Pinned ones among themselves are left alone.
    """
    squads: dict[str, list[int]] = {}
    for number, ask in enumerate(terrain.problem.asks):
        squads.setdefault(ask.squad, []).append(number)
    by_node: dict[_Node, list[int]] = {}
    for slot, node in enumerate(zip(slots.ask.tolist(), slots.day.tolist(), strict=True)):
        by_node.setdefault(node, []).append(slot)
    for asks in squads.values():
        if not terrain.rest[np.ix_(asks, asks)].any():
            continue
        nodes = sorted(node for node in by_node if node[0] in asks)
        near = {
            node: {other for other in nodes if other != node and _too_near(terrain, node, other)}
            for node in nodes
        }
        for clique in cover_by_cliques(near):
            _add_clique(model, slots, chosen, [by_node[node] for node in clique])


def cover_by_cliques(near: Mapping[_Node, set[_Node]]) -> list[tuple[_Node, ...]]:
    """Find sets in which every two are near each other, so that each near two are in one."""
    covered: set[tuple[_Node, _Node]] = set()
    found: list[tuple[_Node, ...]] = []
    for first in sorted(near):
        for second in sorted(near[first]):
            if second < first or (first, second) in covered:
                continue
            clique = [first, second]
            for node in sorted(near):
                if node not in clique and all(node in near[other] for other in clique):
                    clique.append(node)
            clique.sort()
            covered |= {(a, b) for a in clique for b in clique if a < b}
            found.append(tuple(clique))
    return found


def add_loads(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
    rows: Candidates,
    fixed: Candidates | None = None,
) -> None:
    """Hold what sessions wear a pitch to its limit in every week; pinned ones may pass it.

    Args:
        model: Gets the rows.
        terrain: The problem's columns.
        slots: The merged candidates.
        chosen: A variable for each slot.
        rows: For each slot one of the candidates it stands for.
        fixed: Sessions of others that are not to be decided.
    """
    for limit in terrain.wear.limits:
        here, loads = week_loads(terrain, rows, limit)
        pinned = loads[slots.is_pinned[here]].sum(axis=0)
        room = limit.room
        if fixed is not None:
            room = room - week_loads(terrain, fixed, limit)[1].sum(axis=0)
        room = np.maximum(room, pinned)
        known: dict[tuple[int, ...], int] = {}
        for week in range(loads.shape[1]):
            key = tuple(loads[:, week].tolist())
            known[key] = min(int(room[week]), known.get(key, int(room[week])))
        for key, most in known.items():
            used = [(chosen[int(slot)], load) for slot, load in zip(here, key, strict=True) if load]
            if sum(load for _, load in used) > most:
                terms, weights = zip(*used, strict=True)
                row = cp_model.LinearExpr.weighted_sum(list(terms), list(weights))
                model.add(row <= max(0, most))


def _too_near(terrain: Terrain, one: _Node, other: _Node) -> bool:
    rest = terrain.rest[one[0], other[0]]
    return bool(rest > 0 and terrain.apart[one[1], other[1]] <= rest)


def _add_clique(
    model: cp_model.CpModel,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
    groups: Sequence[Sequence[int]],
) -> None:
    members = [slot for group in groups for slot in group]
    pinned = [slot for slot in members if slots.is_pinned[slot]]
    if len(pinned) > 1:
        for slot in members:
            if slot not in pinned:
                model.add(chosen[slot] == 0)
    else:
        model.add_at_most_one(chosen[slot] for slot in members)
