"""The single changes that set a squad's sessions further apart, and what each costs whom.

A share-out takes none of them by itself where places, fairness or wishes count more. Whoever reads
the plan may weigh that otherwise, and sees here what is at stake.
"""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING

from clubplanner.domain.club.spread import follow_each_other, nearness
from clubplanner.sharing.reasons.by_hand import what_else

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.sharing.reasons.by_hand import Option
    from clubplanner.sharing.values.problem import Placement, Problem

MOST_SQUADS, MOST_LOOKS = 12, 600
"""So many squads are looked at, and so many times asks: each look goes through the whole plan, so
that all together take some 0.8 s of the processor whatever the club's size."""
MOST_OPTIONS = 8
"""So many places for a session that can be had are weighed, those liked best and cheapest."""


def how_many_looked_at(asks: int) -> int:
    """Return how many squads are looked at in a problem with a number of asks."""
    return min(MOST_SQUADS, MOST_LOOKS // max(1, asks))


def way_apart(
    problem: Problem, placements: Sequence[Placement], squad: str
) -> tuple[Placement, Option] | None:
    """Find the change of one session that sets a squad's sessions further apart at least cost.

    Pinned sessions stay where they are. Nobody loses a session, and what others have is, all
    together, no nearer than before.

    Args:
        problem: The problem.
        placements: The plan.
        squad: Key of a squad with sessions near each other.

    Returns:
        The session as it is, and its other place; None where no one is found.
    """
    squads = {ask.key: ask.squad for ask in problem.asks}
    pins = {(ask.key, pin.session) for ask in problem.asks for pin in ask.pinned}
    own = [item for item in placements if squads[item.ask] == squad]
    found: list[tuple[Placement, Option]] = []
    for item in own:
        if (item.ask, item.session) in pins:
            continue
        days = _days_further_apart(problem, own, item)
        options = what_else(
            problem, placements, item.ask, item.session, most=MOST_OPTIONS, days=days
        )
        found += [
            (item, option)
            for option in options
            if _is_further_apart(problem, squads, placements, item, option)
        ]
    return min(found, key=_cost, default=None)


def _cost(change: tuple[Placement, Option]) -> tuple[int, int]:
    _item, option = change
    return option.cost - option.points, len(option.steps)


def _days_further_apart(
    problem: Problem, own: Sequence[Placement], item: Placement
) -> frozenset[int]:
    """Return the days on which a session would lie less near to the squad's others."""
    others = [problem.days[one.day].weekday for one in own if one is not item]
    now = nearness([*others, problem.days[item.day].weekday], follow_each_other)
    return frozenset(
        day.index
        for day in problem.days
        if nearness([*others, day.weekday], follow_each_other) < now
    )


def _is_further_apart(
    problem: Problem,
    squads: Mapping[str, str],
    placements: Sequence[Placement],
    item: Placement,
    option: Option,
) -> bool:
    """Whether the sessions of all who move lie less near to each other than before."""
    gone = {item, *(step.old for step in option.steps)}
    come = [option.placement, *(step.new for step in option.steps)]
    moved = {squads[one.ask] for one in gone}
    before = [one for one in placements if squads[one.ask] in moved]
    after = [*(one for one in before if one not in gone), *come]
    return _nearness(problem, squads, after) < _nearness(problem, squads, before)


def _nearness(problem: Problem, squads: Mapping[str, str], plan: Iterable[Placement]) -> int:
    days: dict[str, list[int]] = defaultdict(list)
    for one in plan:
        days[squads[one.ask]].append(problem.days[one.day].weekday)
    return sum(nearness(own, follow_each_other) for own in days.values())
