"""What keeps an ask from places that would do: holders, people who are busy, limits."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.reasons.held import held_ground, held_people
from clubplanner.sharing.reasons.telling.places import MOST_NAMED
from clubplanner.sharing.rules.book import say_rule, too_many_by
from clubplanner.sharing.values.facts import (
    Facts,
    Hours,
    Span,
    day_name,
    day_names,
    holders_of,
)
from clubplanner.sharing.values.outcome import Reason

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.reasons.held import Held
    from clubplanner.sharing.rules.rule import Rule
    from clubplanner.sharing.values.facts import RuleSaid


def limits_and_holders(held: Held, number: int, rows: Candidates) -> list[Reason]:
    """Say what keeps an ask from some rows, all of it, limits first.

    Args:
        held: The plan.
        number: Which ask.
        rows: Places of it that pass every rule by themselves.
    """
    ground, people = held_ground(held, rows), held_people(held, rows)
    people[:, held.rows.ask == number] = False
    is_clear = np.asarray(~(ground.any(axis=1) | people.any(axis=1)))
    found = _limits(held, number, rows, is_clear)
    for day in sorted(set(rows.day.tolist())):
        here = rows.day == day
        found += _ground_on(held, number, rows.take(here), ground[here])
        found += _people_on(held, number, rows.take(here), people[here])
    return found


def _limits(held: Held, number: int, rows: Candidates, is_clear: NDArray[np.bool_]) -> list[Reason]:
    """Tell of rules about the plan as a whole: what they bar of a day, or what nobody holds."""
    terrain = held.terrain
    ask = terrain.problem.asks[number]
    limits: dict[RuleSaid, list[int]] = {}
    whole: dict[RuleSaid, list[int]] = {}
    for rule, barred in too_many_by(terrain, rows, held.rows):
        for day in sorted(set(rows.day[barred].tolist())):
            here = rows.day == day
            if barred[here].all():
                said = say_rule(terrain, ask, rule, rows.ground[here])
                whole.setdefault(said, []).append(day)
            elif (here & barred & is_clear).any():
                grounds = rows.ground[here & barred & is_clear]
                limits.setdefault(_with_ground(held, number, rule, grounds), []).append(day)
    reasons = [
        Reason("rules", facts=Facts(kind="barred", rules=(_on(held, said, days),)))
        for said, days in whole.items()
    ]
    reasons += [
        Reason("limit", facts=Facts(rules=(_on(held, said, days),)))
        for said, days in limits.items()
    ]
    return reasons


def _on(held: Held, said: RuleSaid, days: Sequence[int]) -> RuleSaid:
    return replace(said, days=day_names(held.terrain.problem, days))


def _with_ground(held: Held, number: int, rule: Rule, grounds: NDArray[np.int64]) -> RuleSaid:
    terrain = held.terrain
    said = say_rule(terrain, terrain.problem.asks[number], rule, grounds)
    names = [terrain.problem.grounds[n].name for n in np.unique(grounds).tolist()]
    return replace(said, spot_names=tuple(names[:MOST_NAMED]), more=max(0, len(names) - MOST_NAMED))


def _ground_on(held: Held, number: int, rows: Candidates, clash: NDArray[np.bool_]) -> list[Reason]:
    """Name who holds ground that would do on a day."""
    problem = held.terrain.problem
    ask, day = problem.asks[number], int(rows.day[0])
    holders = tuple(held.placements[n] for n in np.flatnonzero(clash.any(axis=0)))
    if not holders:
        return []
    here = clash.any(axis=1)
    span = Span(int(rows.start[here].min()), int(rows.end[here].max()))
    named, more = holders_of(problem, holders, MOST_NAMED)
    facts = Facts(
        kind="sized" if ask.least_m2 or ask.least_share else "",
        hours=(Hours(day_name(problem.days[day]), (span,)),),
        holders=named,
        more=more,
        is_whole=bool(here.all()),
    )
    return [Reason("held", holders=holders, facts=facts)]


def _people_on(held: Held, number: int, rows: Candidates, clash: NDArray[np.bool_]) -> list[Reason]:
    """Name the sessions on a day, or near it, that need people whom an ask needs, and why."""
    problem = held.terrain.problem
    ask, day = problem.asks[number], int(rows.day[0])
    numbers = np.flatnonzero(clash.any(axis=0)).tolist()
    if not numbers:
        return []
    why = {held.placements[n]: _why_busy(held, number, rows.take(clash[:, n]), n) for n in numbers}
    holders = tuple(why)
    named, more = holders_of(problem, holders, MOST_NAMED, why)
    facts = Facts(
        days=(day_name(problem.days[day]),),
        holders=named,
        more=more,
        person=ask.coach or "",
    )
    return [Reason("person", holders=holders, facts=facts)]


def _why_busy(held: Held, number: int, rows: Candidates, session: int) -> str:
    """Say by what a session keeps people of an ask from some rows, as in `Holder`."""
    asks, other = held.terrain.problem.asks, held.placements[session]
    meets = bool(((rows.start < other.end_min) & (rows.end > other.start_min)).any())
    if other.day != int(rows.day[0]):
        return "rest"
    if asks[int(held.rows.ask[session])].squad == asks[number].squad and meets:
        return "squad"
    if meets:
        return "coach"
    return "from" if bool((rows.start >= other.end_min).any()) else "to"
