"""A squad's sessions apart: how near a plan has them, and the same as terms of a model.

What is near, and why, `domain.club.spread` says.
"""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.domain.club.spread import (
    NEAR_POINTS,
    ROW_POINTS,
    SAME_DAY_POINTS,
    least_nearness,
    nearness,
    rows_of_three,
)
from clubplanner.sharing.ground.terrain import once

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping, Sequence

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain

_Term = cp_model.LinearExprT


def apart_points(terrain: Terrain, slots: Slots, plan: Iterable[int]) -> int:
    """Add up how near to each other chosen slots have the sessions of each squad."""
    return sum(_nearness_of(terrain, slots, plan).values())


def near_asks(terrain: Terrain, slots: Slots, plan: Iterable[int]) -> list[int]:
    """Return the asks of squads whose sessions lie near to each other."""
    found = _nearness_of(terrain, slots, plan)
    return [n for n, ask in enumerate(terrain.problem.asks) if found.get(ask.squad)]


def least_apart(terrain: Terrain, slots: Slots) -> int:
    """Return what no plan that places every session can be under, from each squad by itself."""
    days: dict[int, set[int]] = defaultdict(set)
    for ask, day in zip(slots.ask.tolist(), slots.day.tolist(), strict=True):
        days[ask].add(day)
    return sum(_least(terrain, number, own) for number, own in days.items())


def add_apart(
    model: cp_model.CpModel, terrain: Terrain, slots: Slots, chosen: Sequence[cp_model.IntVar]
) -> _Term:
    """Add `apart_points` to a model, to be made small."""
    squads: dict[str, dict[int, dict[int, list[cp_model.IntVar]]]] = {}
    for slot, variable in enumerate(chosen):
        ask, day = int(slots.ask[slot]), int(slots.day[slot])
        own = squads.setdefault(terrain.problem.asks[ask].squad, {})
        own.setdefault(day, {}).setdefault(ask, []).append(variable)
    terms: list[_Term] = []
    for days in squads.values():
        near, used = _terms_of(model, terrain, days)
        terms += near
        asks = {ask for row in days.values() for ask in row}
        if near and len(asks) == 1:
            _add_least(model, terrain, asks.pop(), used, near)
    return cp_model.LinearExpr.sum(terms)


def _terms_of(
    model: cp_model.CpModel,
    terrain: Terrain,
    days: Mapping[int, Mapping[int, Sequence[cp_model.IntVar]]],
) -> tuple[list[_Term], dict[int, _Term]]:
    """Return what one squad's sessions count, and by day whether it has one."""
    are_near = _near(terrain)
    used: dict[int, _Term] = {}
    terms: list[_Term] = []
    for day, asks in days.items():
        rows = [cp_model.LinearExpr.sum(list(row)) for row in asks.values()]
        used[day] = rows[0]
        if len(rows) > 1:
            there = used[day] = model.new_bool_var("")
            total = cp_model.LinearExpr.sum(rows)
            for row in rows:
                model.add(row <= there)
            model.add(there <= total)
            terms += [SAME_DAY_POINTS * total, -SAME_DAY_POINTS * there]
    for one, other in combinations(sorted(days), 2):
        if are_near(one, other):
            both = model.new_bool_var("")
            model.add(cp_model.LinearExpr.sum([used[one], used[other]]) <= both + 1)
            terms.append(NEAR_POINTS * both)
    for three in rows_of_three(sorted(days), are_near):
        all_three = model.new_bool_var("")
        model.add(cp_model.LinearExpr.sum([used[day] for day in three]) <= all_three + 2)
        terms.append(ROW_POINTS * all_three)
    return terms, used


def _add_least(
    model: cp_model.CpModel,
    terrain: Terrain,
    number: int,
    used: Mapping[int, _Term],
    near: Sequence[_Term],
) -> None:
    """Say what an ask's sessions come to at least where most have a place; it helps the bound."""
    least = _least(terrain, number, used)
    if not least:
        return
    sessions = min(terrain.problem.asks[number].sessions, len(used))
    are_near = _near(terrain)
    slope = max(
        -(-(least - least_nearness(used, fewer, are_near)) // (sessions - fewer))
        for fewer in range(sessions)
    )
    placed = [-slope * day for day in used.values()]
    model.add(cp_model.LinearExpr.sum([*near, *placed]) >= least - slope * sessions)


def _least(terrain: Terrain, number: int, days: Iterable[int]) -> int:
    """Return what an ask that has its squad for itself comes to at least with all sessions."""
    ask = terrain.problem.asks[number]
    if _asks_of_squads(terrain)[ask.squad] > 1:
        return 0
    return least_nearness(sorted(days), ask.sessions, _near(terrain))


def _nearness_of(terrain: Terrain, slots: Slots, plan: Iterable[int]) -> dict[str, int]:
    days: dict[str, list[int]] = defaultdict(list)
    for slot in plan:
        squad = terrain.problem.asks[int(slots.ask[slot])].squad
        days[squad].append(int(slots.day[slot]))
    are_near = _near(terrain)
    return {squad: nearness(own, are_near) for squad, own in days.items() if len(own) > 1}


@once
def _near(terrain: Terrain) -> Callable[[int, int], bool]:
    """Return what tells whether two days have dates that follow each other."""
    near = (terrain.apart == 1).tolist()
    return lambda one, other: bool(near[one][other])


@once
def _asks_of_squads(terrain: Terrain) -> dict[str, int]:
    counts: dict[str, int] = defaultdict(int)
    for ask in terrain.problem.asks:
        counts[ask.squad] += 1
    return counts
