"""Evenings in a row: a squad trains on no more than so many dates one after the other.

All its asks count together, and the smallest number that one of them gives. Every date of a day
counts, even one that is lost: whatever takes the ground is no evening off. A session that is not
pinned is never part of a longer row; pinned ones may make one by themselves.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.language import marked, term
from clubplanner.sharing.ground.terrain import asks_by_squad, once
from clubplanner.sharing.rules.rule import Rule

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Draft, Mask
    from clubplanner.sharing.values.facts import RuleSaid
    from clubplanner.sharing.values.problem import Ask, Day

_TOO_MANY = (
    marked("it would be the second evening in a row"),
    marked("it would be the third evening in a row"),
    marked("it would be the fourth evening in a row"),
    marked("it would be the fifth evening in a row"),
    marked("it would be the sixth evening in a row"),
    marked("it would be the seventh evening in a row"),
)
"""How a session is told that is one too many, by how many are allowed, from one on."""


@once
def most_by_squad(terrain: Terrain) -> dict[str, int]:
    """Return the most evenings in a row of each squad that has such a limit."""
    most: dict[str, int] = {}
    for ask in terrain.problem.asks:
        if ask.most_in_a_row is not None:
            most[ask.squad] = min(ask.most_in_a_row, most.get(ask.squad, ask.most_in_a_row))
    return most


@once
def _rows_by_most(terrain: Terrain) -> dict[int, tuple[frozenset[int], ...]]:
    mosts = set(most_by_squad(terrain).values())
    return {most: too_long_rows(terrain.problem.days, most) for most in mosts}


def too_long_rows(days: Sequence[Day], most: int) -> tuple[frozenset[int], ...]:
    """Find the sets of days that hold one date more in a row than is allowed.

    Args:
        days: The days of a plan.
        most: How many dates in a row are allowed.

    Returns:
        Sets of days not all of which a squad may train on, none within another, in order.
    """
    day_of = {when.toordinal(): day.index for day in days for when in day.dates}
    rows = {
        frozenset(day_of[first + n] for n in range(most + 1))
        for first in day_of
        if all(first + n in day_of for n in range(most + 1))
    }
    return tuple(sorted((r for r in rows if not any(other < r for other in rows)), key=sorted))


def rows_of(terrain: Terrain, squad: str) -> tuple[frozenset[int], ...]:
    """Return the sets of days not all of which a squad may train on; none without a limit."""
    most = most_by_squad(terrain).get(squad)
    return () if most is None else _rows_by_most(terrain)[most]


def one_too_many(terrain: Terrain, rows: Candidates, plan: Candidates) -> Mask:
    """Tell which rows would be an evening too many in a row if they were added to a plan."""
    barred = np.zeros((len(terrain.problem.asks), max(1, len(terrain.problem.days))), dtype=bool)
    asks = terrain.problem.asks
    squads = {asks[number].squad for number in np.unique(rows.ask).tolist()}
    for squad in squads & most_by_squad(terrain).keys():
        days = list(_barred(terrain, squad, plan))
        barred[np.ix_(asks_by_squad(terrain)[squad], days)] = True
    return np.asarray(barred[rows.ask, rows.day])


def of_limited_squad(terrain: Terrain, rows: Candidates) -> Mask:
    """Tell which rows are of a squad that has a limit."""
    most = most_by_squad(terrain)
    limited = np.array([ask.squad in most for ask in terrain.problem.asks], dtype=bool)
    return np.asarray(limited[rows.ask])


def barred_days(terrain: Terrain, ask: Ask, plan: Candidates) -> Collection[int]:
    """Return the days that would be an evening too many in a row for the ask's squad."""
    return _barred(terrain, ask.squad, plan)


def _barred(terrain: Terrain, squad: str, plan: Candidates) -> set[int]:
    """Return the days of too long rows that are there already, and those that complete one."""
    trains = _days_in(terrain, squad, plan)
    barred: set[int] = set()
    for row in rows_of(terrain, squad):
        missing = row - trains
        if len(missing) < 2:
            barred |= missing or row
    return barred


def _days_in(terrain: Terrain, squad: str, plan: Candidates | None) -> set[int]:
    if plan is None:
        return set()
    return set(plan.day[np.isin(plan.ask, asks_by_squad(terrain)[squad])].tolist())


def add_rows(draft: Draft) -> None:
    """Keep every squad that has a limit from training on all days of a row that is too long."""
    for squad in most_by_squad(draft.terrain):
        fixed = _days_in(draft.terrain, squad, draft.fixed)
        slots = np.flatnonzero(np.isin(draft.slots.ask, asks_by_squad(draft.terrain)[squad]))
        by_day: dict[int, list[int]] = {}
        for slot in slots.tolist():
            by_day.setdefault(int(draft.slots.day[slot]), []).append(slot)
        pinned = {day for day, own in by_day.items() if draft.slots.is_pinned[own].any()}
        trains: dict[int, cp_model.LinearExprT] = {}
        for row in rows_of(draft.terrain, squad):
            if row <= fixed | pinned:
                for slot in (slot for day in row for slot in by_day.get(day, ())):
                    if not draft.slots.is_pinned[slot]:
                        draft.model.add(draft.chosen[slot] == 0)
            elif row <= fixed | by_day.keys():
                days = sorted(row - fixed)
                for day in days:
                    if day not in trains:
                        trains[day] = _trains_on(draft, by_day[day])
                total = cp_model.LinearExpr.sum([trains[day] for day in days])
                draft.model.add(total <= len(days) - 1)


def _trains_on(draft: Draft, slots: Sequence[int]) -> cp_model.LinearExprT:
    """Say whether a squad trains on a day: one ask has one session then, several may have more."""
    by_ask: dict[int, list[cp_model.IntVar]] = {}
    for slot in slots:
        by_ask.setdefault(int(draft.slots.ask[slot]), []).append(draft.chosen[slot])
    if len(by_ask) == 1:
        return cp_model.LinearExpr.sum(next(iter(by_ask.values())))
    trains = draft.model.new_bool_var("")
    for own in by_ask.values():
        draft.model.add(cp_model.LinearExpr.sum(own) <= trains)
    return trains


def _why_not(said: RuleSaid) -> str:
    return term(_TOO_MANY[max(1, min(said.count, len(_TOO_MANY))) - 1])


RULE = Rule(
    code="evenings in a row",
    is_of_people=True,
    too_many=one_too_many,
    counted=of_limited_squad,
    barred_days=barred_days,
    add_rows=add_rows,
    why_not=_why_not,
    says=lambda terrain, ask, _pitches: {"count": most_by_squad(terrain).get(ask.squad, 0)},
)
