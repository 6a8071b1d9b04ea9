"""Whether what a result claims is true: its plan, its numbers, its refusals and its changes.

It proves no bound; it does see a claim of proof that does not fit its own numbers.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checking import Fault, check
from clubplanner.sharing.outcome import GOOD_GAP, Kind
from clubplanner.sharing.problem import digest
from clubplanner.sharing.worth import placing, serve, shortfall

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.outcome import Change, Level, Outcome, Refusal
    from clubplanner.sharing.problem import Placement, Problem
    from clubplanner.sharing.worth import Served

PLACING = "placing sessions"
FAIRNESS = "being fair"
WISHES = "granting wishes"


def verify(problem: Problem, outcome: Outcome) -> tuple[Fault, ...]:
    """Check a result against its problem.

    Args:
        problem: A problem without structural faults.
        outcome: What is said to be its result.

    Returns:
        Everything that is not true; empty for a true result.
    """
    if outcome.problem_digest != digest(problem):
        message = "The result belongs to another problem, or the problem was changed since."
        return (Fault("another problem", message, ()),)
    faults = list(check(problem, outcome.placements)) if not outcome.contradictions else []
    if any(fault.code in _UNKNOWN for fault in faults):
        return tuple(faults)
    faults += _counts(problem, outcome)
    faults += _kind(problem, outcome)
    if not outcome.contradictions:
        served = serve(problem, outcome.placements)
        worst = shortfall([replace(item, score=0, percent=0) for item in served])
        for level in outcome.levels:
            faults += _proof(level, worst if level.name == FAIRNESS else abs(level.value))
        faults += _satisfactions(served, outcome)
        faults += _values(problem, served, outcome)
        faults += _refusals(problem, outcome)
    return tuple(faults)


_UNKNOWN = ("not asked for", "unknown ground", "unknown day", "length")


def _counts(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    asked = sum(ask.sessions for ask in problem.asks)
    if outcome.asked != asked:
        yield Fault("asked", f"{asked} sessions are asked for, not {outcome.asked}.", ())


def _kind(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    proved = all(level.is_proved for level in outcome.levels)
    if outcome.kind is Kind.PROVED_BEST and not (proved and (outcome.levels or not problem.asks)):
        yield Fault("kind", "It is called proved best, but not every aim is.", ())
    if outcome.kind is Kind.IMPOSSIBLE and outcome.placements:
        yield Fault("kind", "It is called impossible, but there is a plan.", ())
    if outcome.kind is Kind.GOOD and not (outcome.levels and outcome.levels[0].gap <= GOOD_GAP):
        limit = f"{100 * GOOD_GAP:g} %"
        yield Fault("kind", f"It is called good, but is not proved to be within {limit}.", ())


def _proof(level: Level, scale: int) -> Iterator[Fault]:
    gap = abs(level.bound - level.value) / max(1, scale)
    if level.is_proved != (level.value == level.bound):
        message = f"{level.name}: value {level.value} and bound {level.bound} belie the proof."
        yield Fault("proof", message, ())
    if abs(level.gap - gap) > 1e-9:
        yield Fault("gap", f"{level.name}: the gap is {gap:.4f}, not {level.gap:.4f}.", ())


def _values(problem: Problem, served: Sequence[Served], outcome: Outcome) -> Iterator[Fault]:
    true = {
        PLACING: placing(problem, outcome.placements),
        FAIRNESS: shortfall(served),
        WISHES: sum(item.score for item in served),
    }
    for level in outcome.levels:
        value = true.get(level.name)
        if value is not None and level.value != value:
            yield Fault("value", f"{level.name}: the plan has {value}, not {level.value}.", ())
        is_beyond = level.bound > level.value if level.name == FAIRNESS else False
        is_below = level.bound < level.value if level.name in (PLACING, WISHES) else False
        if is_beyond or is_below:
            message = f"{level.name}: the plan's {level.value} passes the bound {level.bound}."
            yield Fault("bound", message, ())


def _satisfactions(served: Sequence[Served], outcome: Outcome) -> Iterator[Fault]:
    claimed = {item.squad: item for item in outcome.satisfactions}
    if list(claimed) != [item.squad for item in served]:
        yield Fault("satisfaction", "The squads are not those of the problem.", ())
        return
    for item in served:
        own = claimed[item.squad]
        said = (own.score, own.best_alone, own.percent)
        if said != (item.score, item.best_alone, item.percent):
            message = (
                f"{own.squad_name} has {item.score} of {item.best_alone} points "
                f"({item.percent} %), not {own.score} of {own.best_alone} ({own.percent} %)."
            )
            yield Fault("satisfaction", message, ())


def _refusals(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    placed: dict[str, int] = {}
    for item in outcome.placements:
        placed[item.ask] = placed.get(item.ask, 0) + 1
    missing = {
        ask.key: ask.sessions - placed.get(ask.key, 0)
        for ask in problem.asks
        if placed.get(ask.key, 0) < ask.sessions
    }
    claimed = {refusal.ask: refusal.missing for refusal in outcome.refusals}
    for key in sorted(missing.keys() | claimed.keys()):
        if missing.get(key, 0) != claimed.get(key, 0):
            message = f"Ask {key} misses {missing.get(key, 0)}, not {claimed.get(key, 0)}."
            yield Fault("refusal", message, ())
            return
    for refusal in outcome.refusals:
        yield from _holders(refusal, outcome)
        for change in refusal.changes:
            yield from _change(problem, refusal, change, outcome.placements)


def _holders(refusal: Refusal, outcome: Outcome) -> Iterator[Fault]:
    for reason in refusal.reasons:
        strangers = tuple(item for item in reason.holders if item not in outcome.placements)
        if strangers:
            yield Fault("reason", f"Ask {refusal.ask} is held up by no session.", strangers)


def _change(
    problem: Problem, refusal: Refusal, change: Change, plan: Sequence[Placement]
) -> Iterator[Fault]:
    """Check that a change gives the session its place with everyone else where they are."""
    if change.ask.key != refusal.ask or change.placement.ask != refusal.ask:
        yield Fault("change", f"Ask {refusal.ask}: the change is to another ask.", ())
        return
    own = [item for item in plan if item.ask == refusal.ask]
    place = change.placement
    if place.day in {item.day for item in own} or place.session in {item.session for item in own}:
        yield Fault("change", f"Ask {refusal.ask} has that day or session already.", (place,))
        return
    fresh = [place, *change.moves]
    moved = {(item.ask, item.session) for item in fresh}
    days = {item.day for item in fresh}
    near = [
        item
        for item in plan
        if item.ask != refusal.ask and item.day in days and (item.ask, item.session) not in moved
    ]
    asks = tuple(change.ask if ask.key == refusal.ask else ask for ask in problem.asks)
    found = check(replace(problem, asks=asks), [*near, *fresh])
    concerned = [
        fault
        for fault in found
        if fault.code != "pin" and any(item in fresh for item in fault.placements)
    ]
    for fault in concerned[:1]:
        message = f"Ask {refusal.ask}, “{change.code}”: {fault.message}."
        yield Fault("change", message, fault.placements)
