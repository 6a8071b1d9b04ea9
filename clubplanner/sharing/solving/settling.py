"""What a re-share comes to with another plan, found since: everything told anew of that plan.

A re-share counts how far sessions move, and one that had no place moves nowhere; so those may be
placed once more, everybody else staying. What the re-share proved holds for the new plan as long as
it is no worse on the aims before.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.again.moves import list_moves
from clubplanner.sharing.again.reshare_work import NAMES
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.aim_book import aim_named, aims_of
from clubplanner.sharing.parts.looking import look
from clubplanner.sharing.parts.whole import Whole
from clubplanner.sharing.places.displacement import displacement
from clubplanner.sharing.solving.solve import kind_of, outcome_of
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from clubplanner.sharing.values.outcome import CutShort, Level

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.brake import Brake
    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Effort, Placement, Problem


def settled(
    found: Reshared,
    before: Problem,
    standing: Sequence[Placement],
    better: Outcome,
    effort: Effort,
    brake: Brake,
) -> Reshared:
    """Take another plan over, and tell all that is told of it.

    Args:
        found: The result of a re-share.
        before: The problem as it was.
        standing: The plan that stood.
        better: The result of a search in which whoever stood stays where the re-share put them.
        effort: How long explaining who goes without may take, about.
        brake: Once pulled, little is explained.

    Returns:
        The result with the other plan, or as it was where that is worse on an aim of a re-share.
    """
    first = found.outcome
    if better.placements == first.placements or not first.levels:
        return found
    terrain = survey(found.problem)
    whole = Whole(terrain, look(terrain), better.placements)
    values, disturbed = _values(whole, found.hit, standing)
    old = {level.name: level.value for level in first.levels}
    if any(_is_worse(name, values[name], old[name]) for name in NAMES if name in old):
        return found
    levels = _levels(whole, first.levels, values)
    again = (*NAMES, *(aim.name for aim in aims_of(found.problem) if aim.is_of_week))
    count = len(again) if NAMES[1] in old else len(whole.names)
    outcome = replace(
        outcome_of(
            terrain,
            Budget(effort, brake=brake),
            kind_of(levels, count),
            whole.sessions(),
            levels,
            whole.look.best,
            first.certificate,
        ),
        seconds=first.seconds + better.seconds,
        is_repeatable=first.is_repeatable and better.is_repeatable,
        cut_short=better.cut_short if first.cut_short is CutShort.NO else first.cut_short,
    )
    return replace(
        found,
        outcome=outcome,
        disturbed=disturbed,
        moves=list_moves(before, found.problem, standing, outcome.placements),
    )


def _values(
    whole: Whole, hit: Sequence[str], standing: Sequence[Placement]
) -> tuple[dict[str, int], tuple[str, ...]]:
    """Measure a plan on every aim, those of a re-share included; and say who is disturbed."""
    problem, plan = whole.terrain.problem, whole.sessions()
    squads = {ask.key: ask.squad for ask in problem.asks}
    known = [item for item in standing if item.ask in squads]
    there = {_place(item) for item in plan}
    moved = {squads[item.ask] for item in known if _place(item) not in there} - set(hit)
    disturbed = tuple(squad for squad in dict.fromkeys(squads.values()) if squad in moved)
    way = displacement(problem, known, plan)
    return {**whole.values, NAMES[1]: len(disturbed), NAMES[2]: way}, disturbed


def _place(item: Placement) -> tuple[str, str, int, int, int]:
    return item.ask, item.ground, item.day, item.start_min, item.end_min


def _is_worse(name: str, value: int, old: int) -> bool:
    is_more = name == PLACING or (name not in NAMES and aim_named(name).is_more_better)
    return value < old if is_more else value > old


def _levels(whole: Whole, old: Sequence[Level], values: Mapping[str, int]) -> list[Level]:
    """Measure aims anew against what was proved; those after one that is worse prove nothing."""
    levels = []
    for level in old:
        value = values[level.name]
        if level.name in NAMES[1:]:
            bound = min(value, level.bound)
            gap = abs(bound - value) / max(1, abs(value))
            levels.append(Level(level.name, value, bound, value == bound, gap))
        else:
            levels.append(whole.level(level.name, level.bound))
        if _is_worse(level.name, value, level.value):
            break
    return levels
