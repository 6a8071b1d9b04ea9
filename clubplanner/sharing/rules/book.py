"""The rules of a share-out, all in one list, and what they come to together.

A new rule is a file beside the others and a line in `RULES`. What the plain checker in `checks`
says of a rule it says by itself.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.rules.ground import (
    enough_ground,
    floodlights,
    goal,
    held_ground,
    load,
    surface,
    venue,
)
from clubplanner.sharing.rules.people import coach, evenings_in_a_row, one_a_day, rest, travel
from clubplanner.sharing.rules.rule import Stays
from clubplanner.sharing.rules.times import (
    curfew,
    earliest_start,
    latest_finish,
    light,
    opening_hours,
)
from clubplanner.sharing.values.facts import RuleSaid
from clubplanner.sharing.values.words import repeats

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Draft, Mask, Rule
    from clubplanner.sharing.values.facts import DayName
    from clubplanner.sharing.values.problem import Ask

RULES: tuple[Rule, ...] = (
    one_a_day.RULE,
    coach.RULE,
    travel.RULE,
    evenings_in_a_row.RULE,
    earliest_start.RULE,
    latest_finish.RULE,
    rest.RULE,
    enough_ground.SIZE,
    floodlights.RULE,
    surface.RULE,
    enough_ground.FORMAT,
    goal.RULE,
    curfew.RULE,
    light.RULE,
    venue.RULE,
    opening_hours.RULE,
    load.RULE,
    held_ground.RULE,
)
"""In the order in which they are told, plain lasting ones first; rows of the model go in by it."""


def bit_of(rule: Rule) -> int:
    """Return the bit that stands for a rule in the sets of broken rules given here."""
    return 1 << RULES.index(rule)


_BY_CODE = {rule.code: rule for rule in RULES}
_NUMBERED = tuple((1 << number, rule) for number, rule in enumerate(RULES))


def broken_on_ground(terrain: Terrain, ask: Ask) -> NDArray[np.int64]:
    """Mark for each ground which of an ask's rules about ground it breaks."""
    bits = np.zeros(len(terrain.problem.grounds), dtype=np.int64)
    for bit, rule in _NUMBERED:
        broken = rule.on_ground(terrain, ask) if rule.on_ground is not None else None
        if broken is not None:
            bits[broken] |= bit
    return bits


def look_at(
    terrain: Terrain, minutes: int, day: int, starts: NDArray[np.int64]
) -> tuple[Stays, NDArray[np.int64]]:
    """Look at sessions of one length, and which rules they break whoever comes.

    Args:
        terrain: The problem's columns.
        minutes: Length of the sessions.
        day: Index of the day.
        starts: Minutes at which they could start.

    Returns:
        The sessions with the dates they lose, and an array of broken rules by ground and start.
    """
    ends = starts + minutes
    stays = Stays(day, starts, ends, held_ground.dates_lost(terrain, day, starts, ends))
    bits = np.zeros(stays.lost.shape, dtype=np.int64)
    for bit, rule in _NUMBERED:
        broken = rule.on_place(terrain, stays) if rule.on_place is not None else None
        if broken is not None:
            bits |= bit * broken
    return stays, bits


def broken_by_ask(terrain: Terrain, ask: Ask, stays: Stays) -> NDArray[np.int64]:
    """Mark by ground and start which rules about an ask a session breaks, whoever else is there."""
    bits = np.zeros(stays.lost.shape, dtype=np.int64)
    for bit, rule in _NUMBERED:
        broken = rule.on_ask(terrain, ask, stays) if rule.on_ask is not None else None
        if broken is not None:
            bits |= bit * broken
    return bits


def ground_clashes(terrain: Terrain, rows: Candidates, others: Candidates) -> Mask:
    """Tell which rows want ground that which others have.

    Returns:
        Array of shape (len(rows), len(others)).
    """
    return _clashes(terrain, rows, others, [rule for rule in RULES if not rule.is_of_people])


def people_clashes(
    terrain: Terrain, rows: Candidates, others: Candidates, *, are_pinned: bool = False
) -> Mask:
    """Tell which rows want people who are at which others, on the way or resting from it.

    Args:
        terrain: The problem's columns.
        rows: Some candidates.
        others: Other candidates.
        are_pinned: Whether both are pinned, so that only rules count which bind those as well.

    Returns:
        Array of shape (len(rows), len(others)).
    """
    rules = [rule for rule in RULES if rule.is_of_people and (rule.binds_pins or not are_pinned)]
    return _clashes(terrain, rows, others, rules)


def _clashes(terrain: Terrain, rows: Candidates, others: Candidates, rules: Sequence[Rule]) -> Mask:
    found = np.zeros((len(rows), len(others)), dtype=bool)
    for rule in rules:
        if rule.clash is not None:
            found |= rule.clash(terrain, rows, others)
    return found


def too_many(terrain: Terrain, rows: Candidates, plan: Candidates) -> Mask:
    """Tell which rows cannot be added to a plan for what it comes to as a whole."""
    found = np.zeros(len(rows), dtype=bool)
    for rule in RULES:
        if rule.too_many is not None:
            found |= rule.too_many(terrain, rows, plan)
    return found


def why_too_many(terrain: Terrain, ask: Ask, rows: Candidates, plan: Candidates) -> RuleSaid | None:
    """Tell which rule keeps every one of an ask's rows out of a plan as a whole.

    Returns:
        What its `why_not` is told with; None where no such rule keeps all of them out by itself.
    """
    for rule, barred in too_many_by(terrain, rows, plan):
        if len(rows) and barred.all():
            return say_rule(terrain, ask, rule, rows.ground)
    return None


def too_many_by(
    terrain: Terrain, rows: Candidates, plan: Candidates
) -> Iterator[tuple[Rule, Mask]]:
    """Yield each rule about whole plans, with the rows that it keeps out of one."""
    for rule in RULES:
        if rule.too_many is not None:
            yield rule, rule.too_many(terrain, rows, plan)


def say_rule(
    terrain: Terrain,
    ask: Ask,
    rule: Rule,
    grounds: Iterable[int] = (),
    days: tuple[DayName, ...] = (),
) -> RuleSaid:
    """Return a rule with the values that it is told with.

    Args:
        terrain: The problem's columns.
        ask: Whose.
        rule: Which rule.
        grounds: Numbers of the ground that it is told about; empty for all.
        days: Days that it is told about.
    """
    pitches = {int(terrain.pitch[ground]) for ground in grounds}
    values = {} if rule.says is None else rule.says(terrain, ask, pitches)
    weekly = repeats(terrain.problem)
    return RuleSaid(rule=rule.code, days=days, is_weekly=weekly, **values)


def rule_of(code: str) -> Rule | None:
    """Return the rule of a code; None where there is none."""
    return _BY_CODE.get(code)


def barred_days(terrain: Terrain, ask: Ask, plan: Candidates) -> dict[Rule, frozenset[int]]:
    """Return by rule the days on which its squad's sessions leave no room for one of an ask."""
    return {
        rule: frozenset(rule.barred_days(terrain, ask, plan))
        for rule in RULES
        if rule.barred_days is not None
    }


def add_rows(draft: Draft) -> None:
    """Hold a model to every rule but those of its frame: cells, and the sessions of an ask."""
    for rule in RULES:
        if rule.add_rows is not None:
            rule.add_rows(draft)
