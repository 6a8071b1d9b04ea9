"""Why a session has no place, as codes and values; `telling` puts them into words.

Nothing is called impossible without a proof: either every place breaks a rule whoever else goes
without, or the first aim of the share-out is proved.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.reasons.changes import helpful_changes
from clubplanner.sharing.reasons.exchanges import first_answer
from clubplanner.sharing.reasons.held import Held, free_of, hold
from clubplanner.sharing.reasons.in_the_way import limits_and_holders
from clubplanner.sharing.reasons.rule_words import barred_said, rule_reasons
from clubplanner.sharing.rules.book import (
    RULES,
    barred_days,
    bit_of,
    ground_clashes,
    look_at,
    people_clashes,
    say_rule,
)
from clubplanner.sharing.values.facts import Facts, Holder, day_names, spot_of
from clubplanner.sharing.values.outcome import LEFT_FREE, LEFT_OUT, Reason, Refusal

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.outcome import Change
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

ALWAYS_EXPLAINED = 12
"""So many refused asks are explained whatever the time; each takes well under a tenth of a second.
"""


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
        told = (Reason(LEFT_OUT, facts=Facts(kind="why")),)
    elif changes is None:
        told = (*told, Reason(LEFT_OUT, facts=Facts(kind="help")))
    return Refusal(ask.key, ask.squad_name, missing, told, changes or ())


def contradictions(terrain: Terrain) -> tuple[Reason, ...]:
    """Say why pinned sessions cannot all stand; empty when they can."""
    problem = terrain.problem
    pins = [(ask, pin) for ask in problem.asks for pin in ask.pinned]
    held = hold(terrain, [pin for _ask, pin in pins])
    found: list[Reason] = []
    for row, (ask, pin) in enumerate(pins):
        start = held.rows.start[row : row + 1]
        _stays, bits = look_at(terrain, pin.end_min - pin.start_min, pin.day, start)
        broken = int(bits[held.rows.ground[row], 0])
        faults = tuple(
            say_rule(terrain, ask, rule)
            for rule in RULES
            if broken & bit_of(rule) and rule.words is not None and rule.words.of_pin is not None
        )
        if faults:
            facts = Facts(names=(ask.squad_name,), spot=spot_of(problem, pin), rules=faults)
            found.append(Reason("pinned", is_proved=True, holders=(pin,), facts=facts))
    found += _pin_pairs(held)
    return tuple(found)


def _pin_pairs(held: Held) -> list[Reason]:
    pins, problem = held.placements, held.terrain.problem
    ground = ground_clashes(held.terrain, held.rows, held.rows)
    people = people_clashes(held.terrain, held.rows, held.rows, are_pinned=True)
    names = {ask.key: ask.squad_name for ask in problem.asks}
    found: list[Reason] = []
    for a in range(len(pins)):
        for b in range(a):
            if not (ground[a, b] or people[a, b]):
                continue
            both = pins[b], pins[a]
            named = tuple(Holder(names[pin.ask], spot_of(problem, pin)) for pin in both)
            facts = Facts(kind="ground" if ground[a, b] else "people", holders=named)
            found.append(Reason("pinned", is_proved=True, holders=both, facts=facts))
    return found


def _reasons(held: Held, number: int, *, is_proved: bool) -> tuple[Reason, ...]:
    """Say why an ask misses sessions: first what stands by itself, then all that is in the way."""
    terrain = held.terrain
    ask = terrain.problem.asks[number]
    rows = held.places_of(ask, number, keep_all=True)
    own_days = set(held.rows.day[held.rows.ask == number].tolist())
    barred = barred_days(terrain, ask, held.rows)
    taken = own_days.union(*barred.values())
    rows = rows.take(np.array([day not in taken for day in rows.day.tolist()], dtype=bool))
    reasons: list[Reason] = []
    left_free = None if is_proved else _left_free(held, number, rows)
    if len(rows):
        answer = left_free or first_answer(held, number)
        reasons += [] if answer is None else [answer]
        reasons += limits_and_holders(held, number, rows)
        days = barred_said(terrain, ask, barred)
        reasons += [Reason("rules", facts=Facts(kind="barred", rules=(one,))) for one in days]
        if own_days:
            facts = Facts(kind="own days", days=day_names(terrain.problem, own_days))
            reasons.append(Reason("rules", facts=facts))
    else:
        reasons += rule_reasons(terrain, ask, own_days, held.rows)
        if reasons[0].is_proved:
            return tuple(reasons)
    if left_free is None:
        reasons.append(Reason("proof", is_proved=True) if is_proved else Reason("open"))
    return tuple(reasons)


def _left_free(held: Held, number: int, rows: Candidates) -> Reason | None:
    """Name the place an ask likes best of those left free for it as it stands; None for none."""
    terrain, free = held.terrain, free_of(held, rows)
    if not len(free):
        return None
    row = int(np.argmax(free.score))
    place = placement_of(terrain, free, row, held.next_session(number))
    return Reason("open", facts=Facts(kind=LEFT_FREE, spot=spot_of(terrain.problem, place)))
