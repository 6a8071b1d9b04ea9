"""Which rules leave an ask without any place, found as a smallest set and put into words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.rules.book import (
    RULES,
    barred_days,
    bit_of,
    broken_by_ask,
    broken_on_ground,
    look_at,
)
from clubplanner.sharing.rules.people import rest
from clubplanner.sharing.rules.people.rest import rest_in_words
from clubplanner.sharing.rules.times.asked_times import possible_starts, times_in_words
from clubplanner.sharing.values.outcome import Reason
from clubplanner.sharing.values.words import listed, shortened

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.rules.rule import Rule
    from clubplanner.sharing.values.problem import Ask, Problem

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
        text = _too_few_days(terrain, ask, own_days, barred)
        return (Reason("rules", text, is_proved=not near),)
    bits = _broken(terrain, ask, days)
    when = times_in_words(problem, ask, days)
    if bits.shape[1] == 0:
        text = _(
            "No possible time is as long as the session (%(minutes)s minutes): %(when)s.",
            minutes=ask.minutes,
            when=when,
        )
        return (Reason("rules", text, is_proved=True),)
    if bits.shape[0] == 0:
        return (Reason("rules", _("There is no ground to share out."), is_proved=True),)
    needed = smallest_set(bits)
    wanted = listed([rule.words.wanted(problem, ask) for rule in needed if rule.words is not None])
    text = _("There is no place that %(wanted)s on %(when)s.", wanted=wanted, when=when)
    if own_days:
        text += " " + _("Each session needs its own day.")
    if own_days and barred[rest.RULE]:
        text += " " + _("There must be %(rest)s between.", rest=rest_in_words(ask))
    text = " ".join([text, *barred_words(terrain, ask, barred)])
    return (Reason("rules", text, is_proved=not near), *_near_misses(problem, bits))


def barred_words(terrain: Terrain, ask: Ask, barred: Mapping[Rule, Collection[int]]) -> list[str]:
    """Say which of an ask's possible days its squad's other sessions take, and by which rule."""
    possible = {window.day for window in ask.possible}
    found: list[str] = []
    for rule, days in barred.items():
        names = [terrain.problem.days[day].name for day in sorted(possible.intersection(days))]
        if names and rule.why_not is not None:
            why = rule.why_not(terrain, ask)
            found.append(_("On %(days)s %(why)s.", days=listed(names, "or"), why=why))
    return found


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
) -> str:
    problem = terrain.problem
    squads_days = barred_words(terrain, ask, barred)
    if not own_days:
        return " ".join(squads_days) or _("No possible days and times are given.")
    if len(problem.days) == 1:
        evening = problem.days[0].name
        return _(
            "A squad has one session of an ask an evening; only %(evening)s is shared out.",
            evening=evening,
        )
    names = listed([problem.days[day].name for day in sorted(own_days)])
    if ask.rest_days:
        text = _(
            "With %(rest)s between sessions, no possible day is left beside %(names)s.",
            rest=rest_in_words(ask),
            names=names,
        )
    elif squads_days:
        text = _("No possible day is left beside %(names)s.", names=names)
    else:
        text = _(
            "Each session needs its own day, and %(names)s is all that is possible.", names=names
        )
    return " ".join([text, *squads_days])


def _near_misses(problem: Problem, bits: NDArray[np.int64]) -> list[Reason]:
    """Name the places that a single rule keeps out."""
    found: list[Reason] = []
    for rule in RULES:
        places = np.flatnonzero((bits == bit_of(rule)).any(axis=1))
        if len(places) and rule.words is not None:
            names = shortened([problem.grounds[n].name for n in places], MOST_PLACES)
            text = _(
                "But for %(what)s, there would be %(names)s.",
                what=rule.words.but_for(problem),
                names=names,
            )
            found.append(Reason("rules", text, is_proved=False))
    return found
