"""The aims of a share-out, one entry each.

To add one: its words in `values.levels`; an entry here, at the place where it counts; what it comes
to and its terms in a file of `wishes` or of this room. By itself, and without looking here, the
checker computes it again (`checks.verifying`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.domain.club.spread import Evenings
from clubplanner.sharing.model.aim import Aim, Over, Seeks
from clubplanner.sharing.model.cost_terms import Costs, add_dead_minutes, dead_minutes
from clubplanner.sharing.model.measures import (
    most_attained,
    placing_points,
    shortfall_points,
    worst_percent,
)
from clubplanner.sharing.values.levels import (
    APART,
    COMPACT,
    COST,
    EVEN,
    FAIRNESS,
    FEW,
    PLACING,
    WISHES,
    WORST_OFF,
)
from clubplanner.sharing.wishes.apart import add_apart, apart_points, least_apart, near_asks
from clubplanner.sharing.wishes.evenings import (
    add_even,
    add_few,
    asks_on_full_evenings,
    even_points,
    least_even,
    open_evenings,
)
from clubplanner.sharing.wishes.two_squads import add_pairs, pair_points, spot_of

if TYPE_CHECKING:
    from clubplanner.sharing.model.aim import Alone, Chosen
    from clubplanner.sharing.model.model import ShareModel
    from clubplanner.sharing.values.problem import Problem
    from clubplanner.sharing.wishes.two_squads import Spot


def _granted(chosen: Chosen) -> int:
    """Add up wish points, those about pairs of squads among them."""
    problem = chosen.problem
    spots: dict[str, list[Spot]] = {}
    for slot in chosen.plan if problem.pairs else ():
        squad = problem.asks[int(chosen.slots.ask[slot])].squad
        spots.setdefault(squad, []).append(spot_of(chosen.terrain, chosen.slots, slot))
    return sum(chosen.scores) + pair_points(problem.pairs, spots)


def _add_granted(share: ShareModel) -> cp_model.LinearExprT:
    pairs = add_pairs(share.model, share.terrain, share.slots, share.chosen)
    return cp_model.LinearExpr.sum([share.aims.wishes, pairs])


def _least_apart(alone: Alone) -> int:
    if alone.slots is None or not alone.is_full:
        return 0
    return least_apart(alone.terrain, alone.slots)


def _least_even(alone: Alone) -> int:
    if alone.slots is None:
        return 0
    return least_even(alone.terrain, alone.slots, alone.least_placed)


def _always(_problem: Problem) -> bool:
    return True


def _nothing(_alone: Alone) -> int:
    return 0


AIMS = (
    Aim(
        PLACING,
        is_more_better=True,
        is_had=_always,
        worth=lambda chosen: placing_points(chosen.problem, chosen.placed),
        most=lambda alone: placing_points(alone.problem, alone.placed),
        expression=lambda share: share.aims.points,
        relax_part=0.5,
        polish_part=0.2,
        seeks=Seeks.OPEN,
        attained=lambda alone, bound: most_attained(alone.problem, alone.placed, bound),
    ),
    Aim(
        WORST_OFF,
        is_more_better=True,
        is_had=_always,
        worth=lambda chosen: worst_percent(chosen.served),
        most=lambda _alone: 100,
        expression=lambda share: share.aims.worst,
        relax_part=0.3,
        polish_part=0.2,
        over=Over.LEAST,
        scale=lambda _value, _nothing: 100,
        seeks=Seeks.BADLY_OFF,
        is_narrowed=True,
    ),
    Aim(
        FAIRNESS,
        is_more_better=False,
        is_had=_always,
        worth=lambda chosen: shortfall_points(chosen.served),
        most=_nothing,
        expression=lambda share: share.aims.shortfall,
        relax_part=0.3,
        polish_part=0.2,
        scale=lambda _value, nothing: nothing(),
        seeks=Seeks.BADLY_OFF,
    ),
    Aim(
        WISHES,
        is_more_better=True,
        is_had=_always,
        worth=_granted,
        most=lambda alone: alone.wish_points,
        expression=_add_granted,
        relax_part=0.6,
        polish_part=0.5,
        is_traded=True,
    ),
    Aim(
        APART,
        is_more_better=False,
        is_had=lambda problem: problem.wants_apart,
        worth=lambda it: apart_points(it.terrain, it.slots, it.plan),
        most=_least_apart,
        expression=lambda it: add_apart(it.model, it.terrain, it.slots, it.chosen),
        relax_part=0.5,
        polish_part=0.4,
        in_the_way=lambda it: near_asks(it.terrain, it.slots, it.plan),
        is_traded=True,
    ),
    Aim(
        EVEN,
        is_more_better=False,
        is_had=lambda problem: problem.evenings in (Evenings.EVEN, Evenings.CHEAP),
        worth=lambda it: even_points(it.terrain, it.slots, it.plan),
        most=_least_even,
        expression=lambda it: add_even(it.model, it.terrain, it.slots, it.chosen, it.fixed),
        relax_part=0.5,
        polish_part=0.4,
        over=Over.COMMON,
        in_the_way=lambda it: asks_on_full_evenings(it.terrain, it.slots, it.plan),
        waits_for_cost=lambda problem: problem.evenings is Evenings.CHEAP,
        is_traded=True,
    ),
    Aim(
        FEW,
        is_more_better=False,
        is_had=lambda problem: problem.evenings is Evenings.FEW,
        worth=lambda it: open_evenings(it.terrain, it.slots, it.plan),
        most=lambda alone: min(1, alone.least_placed),
        expression=lambda it: add_few(it.model, it.terrain, it.slots, it.chosen, it.fixed),
        relax_part=0.5,
        polish_part=0.4,
        over=Over.COMMON,
        is_traded=True,
    ),
    Aim(
        COST,
        is_more_better=False,
        is_had=lambda problem: bool(problem.prices),
        worth=lambda chosen: chosen.cost_of(chosen.plan),
        most=_nothing,
        expression=lambda it: Costs(it.terrain, it.slots).add(it.model, it.chosen),
        relax_part=0.5,
        polish_part=0.5,
        is_traded=True,
    ),
    Aim(
        COMPACT,
        is_more_better=False,
        is_had=lambda problem: problem.wants_compact,
        worth=lambda it: dead_minutes(it.slots, it.plan, it.problem.changeover_minutes),
        most=_nothing,
        expression=lambda it: add_dead_minutes(it.model, it.terrain, it.slots, it.chosen),
        relax_part=0.6,
        polish_part=0.5,
    ),
)
"""All aims, in the order in which they count."""
_BY_NAME = {aim.name: aim for aim in AIMS}
_TURNS = {aim.name: float(turn) for turn, aim in enumerate(AIMS)}
_AFTER_COST = _TURNS[COST] + 0.5


def aim_named(name: str) -> Aim:
    """Return the aim of a name."""
    return _BY_NAME[name]


def aims_of(problem: Problem) -> tuple[Aim, ...]:
    """Return the aims that a problem has, in the order in which they count."""

    def turn(aim: Aim) -> float:
        return _AFTER_COST if aim.waits_for_cost(problem) else _TURNS[aim.name]

    return tuple(sorted((aim for aim in AIMS if aim.is_had(problem)), key=turn))


def level_names(problem: Problem) -> tuple[str, ...]:
    """Name the aims that a problem has, in order."""
    return tuple(aim.name for aim in aims_of(problem))
