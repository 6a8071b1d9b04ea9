"""Fair turns as a result that anybody can check: who has whose place when, and how even it is."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date  # noqa: TC003 - the shapes of files read it at run time

from clubplanner.sharing.values.outcome import CutShort
from clubplanner.sharing.values.problem import (
    Placement,  # noqa: TC001 - the shapes of files read it at run time
)


@dataclass(frozen=True, slots=True)
class GroupTaken:
    """Sessions of one day that have each other's places in turns.

    Members are numbered from 0 in their order; the place of a number is the one that the member of
    that number has in the plan. A burden is by how many wish points a place is worse for a squad
    than the best of the group's.

    Attributes:
        day: Index of the day.
        members: Where their sessions stand in the plan, from 0, in order.
        dates: The dates of the day; a turn each.
        still: For each member whether it was wished that it keeps its place.
        carried: The burden of each member from the weeks that are over.
        burdens: For each member the burden of each place; null for a place it cannot have.
        turns: For each date the place of each member.
        counts: For each member on how many dates it has each place.
        totals: For each member its burden at the end, what it carried included.
        changes: How often a member has another place than on the date before, or than in the plan.
        slack: So far the worst burden may pass that of the fairest turns, for fewer changes: half
            the largest burden of a place, rounded down.
        fairest_worst: The worst burden of the fairest turns that the search found.
        weights: For each member how much its burden weighs in the sum of `least_worst`.
        place_prices: For each place its price in that sum, which may be negative.
        least_worst: By that sum no turns have a worst burden below this.
        is_proved: Whether the search proved that no turns have a smaller worst burden than
            `fairest_worst`, nor any with that a smaller sum of squares of burdens.
    """

    day: int
    members: tuple[int, ...]
    dates: tuple[date, ...]
    still: tuple[bool, ...]
    carried: tuple[int, ...]
    burdens: tuple[tuple[int | None, ...], ...]
    turns: tuple[tuple[int, ...], ...]
    counts: tuple[tuple[int, ...], ...]
    totals: tuple[int, ...]
    changes: int
    slack: int
    fairest_worst: int
    weights: tuple[int, ...]
    place_prices: tuple[int, ...]
    least_worst: int
    is_proved: bool


@dataclass(frozen=True, slots=True)
class TurnsTaken:
    """The result of planning turns.

    Attributes:
        turns: The groups that take turns, in order of their members.
        placements: The plan that they begin with, in order of day, time and ground; whoever is in
            no group has its place there on every date.
        problem_digest: Which problem it belongs to.
        cut_short: Whether it ended early, and why; groups that are missing then keep their places.
    """

    turns: tuple[GroupTaken, ...]
    placements: tuple[Placement, ...]
    problem_digest: str
    cut_short: CutShort = CutShort.NO
