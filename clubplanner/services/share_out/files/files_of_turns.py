"""Turns as files: whether they are true of their problem, and how even they are shown to be."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.errors import FaultyInputError
from clubplanner.services.share_out.files.files import named
from clubplanner.sharing.checks.turns_told import TURNS_NOT_CHECKED, verify_turns
from clubplanner.sharing.files.files import is_of_turns, read_problem, read_turns

if TYPE_CHECKING:
    from clubplanner.services.share_out.files.files import NamedFile
    from clubplanner.sharing.checks.believed import Believed
    from clubplanner.sharing.values.problem import Problem
    from clubplanner.sharing.values.turns_taken import GroupTaken, TurnsTaken


@dataclass(frozen=True, slots=True)
class Evenness:
    """How even a group's turns are, and how even it is shown that they could be.

    Attributes:
        day: As the problem calls it.
        squads: Names of who takes turns.
        low: The least burden at the end.
        high: The worst.
        fairest_worst: The worst of the fairest turns found.
        least_worst: By the sum of prices no turns have a worst burden below this.
        is_added_up: Whether both are the same, so that nobody need believe the search for it.
        is_proved: Whether the search says that no turns are fairer than those.
    """

    day: str
    squads: tuple[str, ...]
    low: int
    high: int
    fairest_worst: int
    least_worst: int
    is_added_up: bool
    is_proved: bool


@dataclass(frozen=True, slots=True)
class CheckedTurns:
    """What a check of turns finds.

    Attributes:
        faults: What is not true; empty for true turns.
        groups: How even they are, a group each; empty where something is not true.
        not_checked: What is believed.
    """

    faults: tuple[str, ...]
    groups: tuple[Evenness, ...]
    not_checked: tuple[Believed, ...]


def has_turns(result_file: NamedFile) -> bool:
    """Tell whether a result's file is one of turns."""
    return is_of_turns(result_file.data)


def check_turns(problem_file: NamedFile, result_file: NamedFile) -> CheckedTurns:
    """Check turns against their problem.

    Raises:
        FaultyInputError: With every fault of both files.
    """
    problem, faults = read_problem(problem_file.data)
    taken, others = read_turns(result_file.data)
    if problem is None or taken is None:
        raise FaultyInputError([*named(problem_file, faults), *named(result_file, others)])
    found = tuple(f"{one.code}: {one.message}" for one in verify_turns(problem, taken))
    groups = () if found else tuple(_evenness(problem, taken, group) for group in taken.turns)
    return CheckedTurns(found, groups, TURNS_NOT_CHECKED)


def _evenness(problem: Problem, taken: TurnsTaken, group: GroupTaken) -> Evenness:
    names = {ask.key: ask.squad_name for ask in problem.asks}
    return Evenness(
        day=problem.days[group.day].name,
        squads=tuple(names[taken.placements[number].ask] for number in group.members),
        low=min(group.totals),
        high=max(group.totals),
        fairest_worst=group.fairest_worst,
        least_worst=group.least_worst,
        is_added_up=group.fairest_worst == group.least_worst,
        is_proved=group.is_proved,
    )
