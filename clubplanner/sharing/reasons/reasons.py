"""Why a session has no place, in words a secretary uses.

Nothing is called impossible without a proof: either every place breaks a rule whoever else goes
without, or the first aim of the share-out is proved.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.language import _
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.changes import helpful_changes
from clubplanner.sharing.reasons.exchanges import cheapest_exchange
from clubplanner.sharing.reasons.held import Held, held_ground, held_people, hold
from clubplanner.sharing.reasons.rule_words import barred_words, rule_reasons
from clubplanner.sharing.rules.book import (
    RULES,
    barred_days,
    bit_of,
    ground_clashes,
    look_at,
    people_clashes,
    why_too_many,
)
from clubplanner.sharing.values.outcome import LEFT_OUT, Reason, Refusal
from clubplanner.sharing.values.words import clock, listed, place_and_time, shortened, span

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.outcome import Change
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

ALWAYS_EXPLAINED = 12
"""So many refused asks are explained whatever the time; each takes well under a tenth of a second.
"""
MOST_NAMED = 6
"""How many holders a reason names before it counts the rest."""


def explain(
    terrain: Terrain,
    placements: Sequence[Placement],
    *,
    is_proved: bool,
    has_time: Callable[[], bool] = lambda: True,
) -> tuple[Refusal, ...]:
    """Explain every ask that misses sessions: first why, then what would help, while there is time.

    Args:
        terrain: The problem's columns.
        placements: The plan.
        is_proved: Whether it is proved that no plan places sessions better.
        has_time: Tells whether there is time for one more; the first `ALWAYS_EXPLAINED` do not
            ask.

    Returns:
        The refusals, in the order of the asks. One that was left out for lack of time says so, by
        a reason with the code `LEFT_OUT`; `explain_ask` explains it by itself.
    """
    held = hold(terrain, placements)
    placed = np.bincount(held.rows.ask, minlength=len(terrain.problem.asks))
    wanted = np.array([ask.sessions for ask in terrain.problem.asks], dtype=np.int64)
    refused = np.flatnonzero(placed < wanted).tolist()
    whys = [
        _reasons(held, number, is_proved=is_proved) if n < ALWAYS_EXPLAINED or has_time() else None
        for n, number in enumerate(refused)
    ]
    refusals: list[Refusal] = []
    for n, (number, reasons) in enumerate(zip(refused, whys, strict=True)):
        missing = int(wanted[number] - placed[number])
        changes = None
        if reasons is not None and (n < ALWAYS_EXPLAINED or has_time()):
            changes = helpful_changes(held, number, may_move=not is_proved)
        refusals.append(_refusal(terrain.problem.asks[number], missing, reasons, changes))
    return tuple(refusals)


def explain_ask(
    problem: Problem, placements: Sequence[Placement], ask: str, *, is_proved: bool
) -> Refusal | None:
    """Explain one ask by itself.

    Args:
        problem: The problem.
        placements: The plan.
        ask: Key of the ask.
        is_proved: Whether it is proved that no plan places sessions better.

    Returns:
        Why it misses sessions and what would help; None if it misses none.

    Raises:
        ValueError: If there is no such ask.
    """
    number = next((n for n, item in enumerate(problem.asks) if item.key == ask), None)
    if number is None:
        raise ValueError(f"There is no ask {ask}.")
    held = hold(survey(problem), placements)
    missing = problem.asks[number].sessions - int(np.count_nonzero(held.rows.ask == number))
    if missing <= 0:
        return None
    reasons = _reasons(held, number, is_proved=is_proved)
    changes = helpful_changes(held, number, may_move=not is_proved)
    return _refusal(problem.asks[number], missing, reasons, changes)


def _refusal(
    ask: Ask, missing: int, reasons: tuple[Reason, ...] | None, changes: tuple[Change, ...] | None
) -> Refusal:
    """Put a refusal together; what is None was left out for lack of time, and that is said."""
    told = reasons or ()
    if reasons is None:
        text = _("Why was not looked into in the time given; it can be asked for by itself.")
        told = (Reason(LEFT_OUT, text, is_proved=False),)
    elif changes is None:
        text = _(
            "What would help was not looked into in the time given; it can be asked for by itself."
        )
        told = (*told, Reason(LEFT_OUT, text, is_proved=False))
    return Refusal(ask.key, ask.squad_name, missing, told, changes or ())


def contradictions(terrain: Terrain) -> tuple[Reason, ...]:
    """Say why pinned sessions cannot all stand; empty when they can."""
    problem = terrain.problem
    pins = [pin for ask in problem.asks for pin in ask.pinned]
    names = {ask.key: ask.squad_name for ask in problem.asks}
    held = hold(terrain, pins)
    found: list[Reason] = []
    for row, pin in enumerate(pins):
        start = held.rows.start[row : row + 1]
        _stays, bits = look_at(terrain, pin.end_min - pin.start_min, pin.day, start)
        broken = int(bits[held.rows.ground[row], 0])
        faults = [
            rule.words.of_pin(problem)
            for rule in RULES
            if broken & bit_of(rule) and rule.words is not None and rule.words.of_pin is not None
        ]
        if faults:
            text = _(
                "%(names)s is pinned to %(place_and_time)s, but %(what)s.",
                names=names[pin.ask],
                place_and_time=place_and_time(problem, pin),
                what=listed(faults),
            )
            found.append(Reason("pinned", text, is_proved=True, holders=(pin,)))
    found += _pin_pairs(held, names)
    return tuple(found)


def _pin_pairs(held: Held, names: dict[str, str]) -> list[Reason]:
    pins = held.placements
    ground = ground_clashes(held.terrain, held.rows, held.rows)
    people = people_clashes(held.terrain, held.rows, held.rows, are_pinned=True)
    found: list[Reason] = []
    for a in range(len(pins)):
        for b in range(a):
            if not (ground[a, b] or people[a, b]):
                continue
            first, second = (
                f"{names[pin.ask]} ({place_and_time(held.terrain.problem, pin)})"
                for pin in (pins[b], pins[a])
            )
            what = (
                _("the same ground")
                if ground[a, b]
                else _("one person in two places, or one day twice")
            )
            text = _(
                "%(first)s and %(second)s are both pinned and need %(what)s.",
                first=first,
                second=second,
                what=what,
            )
            found.append(Reason("pinned", text, is_proved=True, holders=(pins[b], pins[a])))
    return found


def _reasons(held: Held, number: int, *, is_proved: bool) -> tuple[Reason, ...]:
    terrain = held.terrain
    ask = terrain.problem.asks[number]
    rows = held.places_of(ask, number, keep_all=True)
    own_days = set(held.rows.day[held.rows.ask == number].tolist())
    barred = barred_days(terrain, ask, held.rows)
    taken = own_days.union(*barred.values())
    rows = rows.take(np.array([day not in taken for day in rows.day.tolist()], dtype=bool))
    reasons: list[Reason] = []
    if len(rows):
        exchange = cheapest_exchange(held, number)
        reasons += [] if exchange is None else [exchange]
        reasons += _held_by_ground(held, number, rows)
        reasons += _held_by_people(held, number, rows)
        squads_days = barred_words(terrain, ask, barred)
        reasons += [Reason("rules", text, is_proved=False) for text in squads_days]
        reasons += _too_many(held, number, rows)
    else:
        reasons += rule_reasons(terrain, ask, own_days, held.rows)
        if reasons[0].is_proved:
            return tuple(reasons)
    if is_proved:
        text = _(
            "It is proved that no plan places this session as well as all those that now "
            "have a place: another session would have to go without."
        )
        reasons.append(Reason("proof", text, is_proved=True))
    else:
        text = _("Whether others could move to make room was not settled in the time given.")
        reasons.append(Reason("open", text, is_proved=False))
    return tuple(reasons)


def _held_by_ground(held: Held, number: int, rows: Candidates) -> list[Reason]:
    problem = held.terrain.problem
    ask = problem.asks[number]
    clash = held_ground(held, rows)
    found: list[Reason] = []
    for day in sorted(set(rows.day.tolist())):
        here = clash[rows.day == day]
        holders = tuple(held.placements[n] for n in np.flatnonzero(here.any(axis=0)) if here.any())
        if not holders:
            continue
        start = int(rows.start[rows.day == day].min())
        end = int(rows.end[rows.day == day].max())
        words = {
            "day": problem.days[day].name,
            "start": clock(start),
            "end": clock(end),
            "holders": named_holders(held, holders),
        }
        if ask.least_m2 or ask.least_share:
            text = _(
                "The places large enough on %(day)s between %(start)s and %(end)s are held by "
                "%(holders)s.",
                **words,
            )
        else:
            text = _(
                "The places that would do on %(day)s between %(start)s and %(end)s are held by "
                "%(holders)s.",
                **words,
            )
        found.append(Reason("held", text, is_proved=False, holders=holders))
    return found


def _too_many(held: Held, number: int, rows: Candidates) -> list[Reason]:
    """Name the days on which the plan as a whole leaves no room for any of some rows."""
    ask = held.terrain.problem.asks[number]
    days: dict[str, list[str]] = {}
    for day in sorted(set(rows.day.tolist())):
        why = why_too_many(held.terrain, ask, rows.take(rows.day == day), held.rows)
        if why is not None:
            days.setdefault(why, []).append(held.terrain.problem.days[day].name)
    return [
        Reason(
            "rules",
            _("On %(days)s %(why)s.", days=listed(names, "or"), why=why),
            is_proved=False,
        )
        for why, names in days.items()
    ]


def _held_by_people(held: Held, number: int, rows: Candidates) -> list[Reason]:
    problem = held.terrain.problem
    ask = problem.asks[number]
    others = held.rows.ask != number
    clash = held_people(held, rows)[:, others]
    holders = tuple(
        held.placements[n] for n in np.flatnonzero(others)[np.flatnonzero(clash.any(axis=0))]
    )
    if not holders:
        return []
    names = named_holders(held, holders)
    if ask.coach:
        text = _(
            "At some of the hours asked for %(coach)s or the squad is already busy: %(holders)s.",
            coach=ask.coach,
            holders=names,
        )
    else:
        text = _(
            "At some of the hours asked for the squad is already busy: %(holders)s.",
            holders=names,
        )
    return [Reason("person", text, is_proved=False, holders=holders)]


def named_holders(held: Held, holders: Sequence[Placement]) -> str:
    """Name sessions with their ground and times, the first few of them."""
    problem = held.terrain.problem
    names = {ask.key: ask.squad_name for ask in problem.asks}
    grounds = {ground.key: ground.name for ground in problem.grounds}
    ordered = sorted(holders, key=lambda item: (item.day, item.start_min, item.ground))
    parts = [
        f"{names[item.ask]} ({grounds[item.ground]}, {span(item.start_min, item.end_min)})"
        for item in ordered
    ]
    return shortened(parts, MOST_NAMED)
