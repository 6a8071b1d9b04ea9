"""Two squads: what a plan keeps of the wishes about both, and the same as terms of a model."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.ground.cliques import moments
from clubplanner.sharing.values.points import PAIR_POINTS
from clubplanner.sharing.values.wants import CLOSE_MIN, PairKind

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.wants import Pair

AVERSE = frozenset({PairKind.KEEP_APART, PairKind.NOT_TOGETHER})
"""Kinds that are broken by a meeting; the others are kept by one."""


@dataclass(frozen=True, slots=True, order=True)
class Spot:
    """Where and when a squad is: enough to tell whether two squads meet."""

    day: int
    venue: int
    pitch: int
    start_min: int
    end_min: int


def do_meet(kind: PairKind, one: Spot, other: Spot) -> bool:
    """Tell whether two sessions stand to each other as a kind of wish is about."""
    if one.day != other.day:
        return False
    overlap = one.start_min < other.end_min and other.start_min < one.end_min
    if kind is PairKind.NOT_TOGETHER:
        return overlap
    if kind in (PairKind.SHARE_PITCH, PairKind.KEEP_APART):
        return overlap and one.pitch == other.pitch
    if one.venue != other.venue:
        return False
    if kind is PairKind.SAME_EVENING:
        return True
    between = max(other.start_min - one.end_min, one.start_min - other.end_min)
    return 0 <= between <= CLOSE_MIN


def pair_points(pairs: Iterable[Pair], spots: Mapping[str, Sequence[Spot]]) -> int:
    """Add up the points of kept wishes and take off those of broken ones.

    Args:
        pairs: The wishes.
        spots: The sessions of each squad, by its key.
    """
    total = 0
    for pair in pairs:
        others = spots.get(pair.other, ())
        met = sum(
            any(do_meet(pair.kind, one, other) for other in others)
            for one in spots.get(pair.squad, ())
        )
        total += PAIR_POINTS[pair.grade] * (-met if pair.kind in AVERSE else met)
    return total


def spot_of(terrain: Terrain, slots: Slots, slot: int) -> Spot:
    """Return where and when a slot is."""
    return Spot(
        int(slots.day[slot]),
        int(terrain.venue[slots.grounds[slot][0]]),
        int(slots.pitch[slot]),
        int(slots.start[slot]),
        int(slots.end[slot]),
    )


def add_pairs(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
) -> cp_model.LinearExprT:
    """Add `pair_points` to a model.

    Returns:
        The points as an expression, to be made large.
    """
    squads = {squad for pair in terrain.problem.pairs for squad in (pair.squad, pair.other)}
    spots: dict[str, dict[Spot, list[cp_model.IntVar]]] = {squad: {} for squad in squads}
    for slot, variable in enumerate(chosen):
        squad = terrain.problem.asks[int(slots.ask[slot])].squad
        if squad in squads:
            spot = spot_of(terrain, slots, slot)
            spots[squad].setdefault(spot, []).append(variable)
    terms: list[cp_model.LinearExprT] = []
    for pair in terrain.problem.pairs:
        for one, own in sorted(spots[pair.squad].items()):
            met = {
                spot: row
                for spot, row in spots[pair.other].items()
                if do_meet(pair.kind, one, spot)
            }
            if met:
                terms.append(_term(model, pair, own, met))
    return cp_model.LinearExpr.sum(terms)


def _term(
    model: cp_model.CpModel,
    pair: Pair,
    own: Sequence[cp_model.IntVar],
    met: Mapping[Spot, Sequence[cp_model.IntVar]],
) -> cp_model.LinearExprT:
    """Add whether a squad's session meets the other squad; a squad is in one place at a time."""
    meets = model.new_bool_var("")
    here = cp_model.LinearExpr.sum(list(own))
    if pair.kind not in AVERSE:
        model.add(meets <= here)
        model.add(meets <= sum(variable for row in met.values() for variable in row))
        return PAIR_POINTS[pair.grade] * meets
    for moment in moments((spot.start_min, spot.end_min) for spot in met):
        there = [
            variable
            for spot, row in met.items()
            if spot.start_min <= moment < spot.end_min
            for variable in row
        ]
        model.add(meets >= here + sum(there) - 1)
    return -PAIR_POINTS[pair.grade] * meets
