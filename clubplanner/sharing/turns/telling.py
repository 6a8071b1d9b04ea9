"""Planned turns as a result that anybody can check."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.turns_even import least_worst
from clubplanner.sharing.ground.terrain import ground_numbers, survey
from clubplanner.sharing.places.placements import with_lost_dates
from clubplanner.sharing.turns.even_prices import even_prices
from clubplanner.sharing.values.outcome import CutShort
from clubplanner.sharing.values.problem import digest
from clubplanner.sharing.values.turns_taken import GroupTaken, TurnsTaken

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.turns.turns import Rota, TurnGroup
    from clubplanner.sharing.values.problem import Placement, Problem


@dataclass(frozen=True, slots=True)
class Planned:
    """A group's turns.

    Attributes:
        group: Who takes turns; before the first one each has the place of its number.
        members: Their sessions in the plan, in the order of the group.
        rota: Who has which place on each date of their day.
    """

    group: TurnGroup
    members: tuple[Placement, ...]
    rota: Rota


def in_order(problem: Problem, placements: Sequence[Placement]) -> tuple[Placement, ...]:
    """Return a plan in order of day, time and ground, with the dates that each place loses."""
    terrain = survey(problem)
    grounds = ground_numbers(terrain)
    return tuple(
        sorted(
            with_lost_dates(terrain, placements),
            key=lambda item: (item.day, item.start_min, grounds[item.ground]),
        )
    )


def tell_turns(
    problem: Problem,
    placements: Sequence[Placement],
    planned: Sequence[Planned],
    cut_short: CutShort = CutShort.NO,
) -> TurnsTaken:
    """Return turns with all that they claim.

    Args:
        problem: The problem.
        placements: The plan as `in_order` gives it, from which the groups were made.
        planned: Their turns.
        cut_short: Whether groups are missing, and why.
    """
    numbers = {(item.ask, item.session): n for n, item in enumerate(placements)}
    groups = sorted(
        (_tell_group(problem, numbers, item) for item in planned), key=lambda one: one.members
    )
    return TurnsTaken(tuple(groups), tuple(placements), digest(problem), cut_short)


def _tell_group(
    problem: Problem, numbers: dict[tuple[str, int], int], planned: Planned
) -> GroupTaken:
    group, rota, size = planned.group, planned.rota, range(len(planned.members))
    dates = problem.days[planned.members[0].day].dates
    weights, prices = even_prices(group.burdens, group.allowed, group.carried, len(dates))
    taken = GroupTaken(
        day=planned.members[0].day,
        members=tuple(numbers[item.ask, item.session] for item in planned.members),
        dates=dates,
        still=tuple(kept is not None for kept in group.still) or (False,) * len(size),
        carried=group.carried,
        burdens=group.burdens,
        turns=rota.turns,
        counts=tuple(tuple(sum(turn[n] == m for turn in rota.turns) for m in size) for n in size),
        totals=rota.burdens,
        changes=rota.changes,
        slack=rota.slack,
        fairest_worst=rota.fairest_worst,
        weights=weights,
        place_prices=prices,
        least_worst=0,
        is_proved=rota.is_proved,
    )
    return replace(taken, least_worst=least_worst(taken))
