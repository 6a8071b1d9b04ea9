"""The aims of a share-out in the order in which they count, and how their gaps are measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.club.spread import Evenings
from clubplanner.language import marked

if TYPE_CHECKING:
    from clubplanner.sharing.values.problem import Problem

PLACING = marked("placing sessions")
WORST_OFF = marked("serving the worst-off squad")
FAIRNESS = marked("being fair")
WISHES = marked("granting wishes")
APART = marked("keeping each squad's sessions apart")
EVEN = marked("filling evenings evenly")
FEW = marked("opening few evenings")
COST = marked("keeping cost low")
COMPACT = marked("keeping evenings compact")

SIGNS = {
    PLACING: 1,
    WORST_OFF: 1,
    FAIRNESS: -1,
    WISHES: 1,
    APART: -1,
    EVEN: -1,
    FEW: -1,
    COST: -1,
    COMPACT: -1,
}
"""1 where more is better, -1 where less is."""
WHOLE_WEEK = (APART, EVEN, FEW)
"""Aims about the week as a whole. They come after wishes, so that they cost nobody a session, a
fair share or a wish, and before cost, unless the club wants its evenings cheap. They are no small
weights within the wishes: many neighbouring days would then outweigh one wish."""


def level_names(problem: Problem) -> tuple[str, ...]:
    """Name the aims that a problem has, in order."""
    names = [PLACING, WORST_OFF, FAIRNESS, WISHES]
    if problem.wants_apart:
        names.append(APART)
    if problem.evenings is Evenings.EVEN:
        names.append(EVEN)
    if problem.evenings is Evenings.FEW:
        names.append(FEW)
    if problem.prices:
        names.append(COST)
    if problem.evenings is Evenings.CHEAP:
        names.append(EVEN)
    if problem.wants_compact:
        names.append(COMPACT)
    return tuple(names)


def gap_of(name: str, value: int, bound: int, worst_shortfall: int) -> float:
    """Measure how far a value is from its bound.

    Args:
        name: Which aim.
        value: What the plan reaches.
        bound: What no plan can pass.
        worst_shortfall: What the shortfall would be if nobody had anything.

    Returns:
        A part of the value; for fairness of the worst shortfall; for the worst-off squad of 100 %.
    """
    scales = {FAIRNESS: worst_shortfall, WORST_OFF: 100}
    return abs(bound - value) / max(1, scales.get(name, abs(value)))
