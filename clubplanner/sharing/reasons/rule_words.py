"""Which rules leave an ask without any place, found as a smallest set."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.rules.book import (
    RULES,
    barred_days,
    bit_of,
    broken_by_ask,
    broken_on_ground,
    look_at,
    say_rule,
)
from clubplanner.sharing.rules.people import rest
from clubplanner.sharing.rules.times.asked_times import possible_starts
from clubplanner.sharing.values.facts import Facts, day_names, hours_of
from clubplanner.sharing.values.outcome import Reason

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Rule
    from clubplanner.sharing.values.facts import RuleSaid
    from clubplanner.sharing.values.problem import Ask

MOST_PLACES = 4
"""How many places a near miss names before it counts the rest."""


def rule_reasons(
    terrain: Terrain, ask: Ask, own_days: Collection[int], plan: Candidates
) -> tuple[Reason, ...]:
    """Explain an ask that has no place at all, or none on the days it has left.

    Args:
        terrain: The problem's columns.
        ask: The ask.
        own_days: Days on which it already has a session; each session needs its own day.
        plan: The plan, as rows.

    Returns:
        Reasons, the first of which is a proof by itself.
    """
    problem = terrain.problem
    barred = barred_days(terrain, ask, plan)
    near = frozenset().union(*barred.values()).difference(own_days)
    taken = near | set(own_days)
    days = [day for day in sorted({w.day for w in ask.possible}) if day not in taken]
    if not days:
        facts = _too_few_days(terrain, ask, own_days, barred)
        return (Reason("rules", is_proved=not near, facts=facts),)
    bits = _broken(terrain, ask, days)
    hours = hours_of(problem, ask, days)
    if bits.shape[1] == 0:
        facts = Facts(kind="too long", number=ask.minutes, hours=hours)
        return (Reason("rules", is_proved=True, facts=facts),)
    if bits.shape[0] == 0:
        return (Reason("rules", is_proved=True, facts=Facts(kind="no ground")),)
    wanted = [say_rule(terrain, ask, rule) for rule in smallest_set(bits) if rule.words is not None]
    facts = Facts(
        kind="no place",
        rules=(*wanted, *_without_rest(barred_said(terrain, ask, barred))),
        hours=hours,
        days=day_names(problem, own_days),
        number=ask.rest_days if own_days and barred[rest.RULE] else 0,
    )
    proof = Reason("rules", is_proved=not near, facts=facts)
    return (proof, *_near_misses(terrain, ask, bits))


def barred_said(
    terrain: Terrain, ask: Ask, barred: Mapping[Rule, Collection[int]]
) -> list[RuleSaid]:
    """Say which of an ask's possible days its squad's other sessions take, and by which rule."""
    possible = {window.day for window in ask.possible}
    found: list[RuleSaid] = []
    for rule, days in barred.items():
        names = day_names(terrain.problem, possible.intersection(days))
        if names and rule.why_not is not None:
            found.append(say_rule(terrain, ask, rule, days=names))
    return found


def _without_rest(said: Iterable[RuleSaid]) -> list[RuleSaid]:
    """Leave out what the words beside it say already."""
    return [one for one in said if one.rule != rest.RULE.code]


def smallest_set(bits: NDArray[np.int64]) -> list[Rule]:
    """Drop rules one at a time, from the last of the book, while every place still breaks one.

    Args:
        bits: Broken rules, by ground and start; none 0.

    Returns:
        Rules, in the order of the book, no part of which would keep out every place.
    """
    kept = list(RULES)
    for rule in reversed(RULES):
        others = sum(bit_of(other) for other in kept if other is not rule)
        if np.all(bits & others):
            kept.remove(rule)
    return kept


def _broken(terrain: Terrain, ask: Ask, days: Sequence[int]) -> NDArray[np.int64]:
    barred = broken_on_ground(terrain, ask)
    parts = [np.empty((len(barred), 0), dtype=np.int64)]
    for day in days:
        starts = possible_starts(terrain.problem, ask, day)
        stays, bits = look_at(terrain, ask.minutes, day, starts)
        parts.append(bits | broken_by_ask(terrain, ask, stays) | barred[:, None])
    return np.concatenate(parts, axis=1)


def _too_few_days(
    terrain: Terrain,
    ask: Ask,
    own_days: Collection[int],
    barred: Mapping[Rule, Collection[int]],
) -> Facts:
    problem = terrain.problem
    said = tuple(_without_rest(barred_said(terrain, ask, barred)))
    if not own_days:
        return Facts(kind="barred", rules=said) if said else Facts(kind="no times")
    if len(problem.days) == 1:
        return Facts(kind="one evening", days=day_names(problem, [0]))
    days = day_names(problem, own_days)
    return Facts(kind="no day left", days=days, number=ask.rest_days, rules=said)


def _near_misses(terrain: Terrain, ask: Ask, bits: NDArray[np.int64]) -> list[Reason]:
    """Name the places that a single rule keeps out."""
    found: list[Reason] = []
    for rule in RULES:
        places = np.flatnonzero((bits == bit_of(rule)).any(axis=1)).tolist()
        if places and rule.words is not None:
            names = tuple(terrain.problem.grounds[n].name for n in places[:MOST_PLACES])
            said = replace(
                say_rule(terrain, ask, rule, places),
                spot_names=names,
                more=max(0, len(places) - MOST_PLACES),
            )
            found.append(Reason("rules", facts=Facts(kind="near miss", rules=(said,))))
    return found
