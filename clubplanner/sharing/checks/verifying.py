"""Whether what a result claims is true: its plan, its numbers, its refusals and its changes.

Of bounds it proves the one that a certificate carries; of others it sees a claim of proof that does
not fit its own numbers.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.certified import certificate_told
from clubplanner.sharing.checks.checking import Fault, check, near_sessions
from clubplanner.sharing.checks.claims import (
    RESHARE_AIMS,
    contradictions_told,
    kind_told,
    refusal_told,
)
from clubplanner.sharing.checks.worth import placing, serve, shortfall, worst_off
from clubplanner.sharing.checks.worth_late import cost, dead, pairs
from clubplanner.sharing.values.outcome import GOOD_GAP, Kind
from clubplanner.sharing.values.problem import digest

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.checks.worth import Served
    from clubplanner.sharing.values.outcome import Change, Level, Outcome, Refusal
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

AIMS = {
    "placing sessions": True,
    "serving the worst-off squad": True,
    "being fair": False,
    "granting wishes": True,
    "keeping cost low": False,
    "keeping evenings compact": False,
}
"""The aims in order, and whether more is better."""


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
    if outcome.contradictions:
        return (
            *_counts(problem, outcome),
            *contradictions_told(problem, outcome),
            *_names(problem, outcome),
        )
    faults = list(check(problem, outcome.placements))
    if any(fault.code in _UNKNOWN for fault in faults):
        return tuple(faults)
    faults += _counts(problem, outcome)
    faults += _kind(problem, outcome)
    served = serve(problem, outcome.placements)
    worst = shortfall([replace(item, score=0, percent=0) for item in served])
    for level in outcome.levels:
        scales = {"being fair": worst, "serving the worst-off squad": 100}
        faults += _proof(level, scales.get(level.name, abs(level.value)))
    faults += _satisfactions(served, outcome)
    faults += _names(problem, outcome)
    faults += _values(problem, served, outcome)
    faults += _refusals(problem, outcome)
    faults += certificate_told(problem, outcome)
    return tuple(faults)


_UNKNOWN = ("not asked for", "unknown ground", "unknown day", "length")


def _counts(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    asked = sum(ask.sessions for ask in problem.asks)
    if outcome.asked != asked:
        yield Fault("asked", f"{asked} sessions are asked for, not {outcome.asked}.", ())


def _kind(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    proved = all(level.is_proved for level in outcome.levels)
    names = [level.name for level in outcome.levels]
    wanted = [name for name in AIMS if _is_aim(problem, name)]
    again = tuple(names[1:]) == RESHARE_AIMS and names[:1] == wanted[:1]
    yield from kind_told(problem, outcome, names if again else wanted)
    if not again and names != wanted[: len(names)]:
        yield Fault("aims", f"The aims are {', '.join(wanted)}, in this order.", ())
    if outcome.kind is Kind.PROVED_BEST and names and not again and names != wanted:
        yield Fault("kind", "It is called proved best, but not every aim was worked on.", ())
    if outcome.kind is Kind.PROVED_BEST and not (proved and (outcome.levels or not problem.asks)):
        yield Fault("kind", "It is called proved best, but not every aim is.", ())
    if outcome.kind is Kind.IMPOSSIBLE and outcome.placements:
        yield Fault("kind", "It is called impossible, but there is a plan.", ())
    if outcome.kind is Kind.GOOD and not (outcome.levels and outcome.levels[0].gap <= GOOD_GAP):
        limit = f"{100 * GOOD_GAP:g} %"
        yield Fault("kind", f"It is called good, but is not proved to be within {limit}.", ())


def _is_aim(problem: Problem, name: str) -> bool:
    if name == "keeping cost low":
        return bool(problem.prices)
    return problem.wants_compact or name != "keeping evenings compact"


def _proof(level: Level, scale: int) -> Iterator[Fault]:
    gap = abs(level.bound - level.value) / max(1, scale)
    if level.is_proved != (level.value == level.bound):
        message = f"{level.name}: value {level.value} and bound {level.bound} belie the proof."
        yield Fault("proof", message, ())
    if abs(level.gap - gap) > 1e-9:
        yield Fault("gap", f"{level.name}: the gap is {gap:.4f}, not {level.gap:.4f}.", ())


def _values(problem: Problem, served: Sequence[Served], outcome: Outcome) -> Iterator[Fault]:
    plan = outcome.placements
    true = {
        "placing sessions": placing(problem, plan),
        "serving the worst-off squad": worst_off(served),
        "being fair": shortfall(served),
        "granting wishes": sum(item.score for item in served) + pairs(problem, plan),
        "keeping cost low": cost(problem, plan),
        "keeping evenings compact": dead(problem, plan),
    }
    for level in outcome.levels:
        value = true.get(level.name)
        if value is not None and level.value != value:
            yield Fault("value", f"{level.name}: the plan has {value}, not {level.value}.", ())
        is_more = AIMS.get(level.name)
        if is_more is not None and (level.bound - level.value) * (1 if is_more else -1) < 0:
            message = f"{level.name}: the plan's {level.value} passes the bound {level.bound}."
            yield Fault("bound", message, ())


def _names(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    """Check that squads are called as in the problem, each once and in its order."""
    names = {ask.squad: ask.squad_name for ask in reversed(problem.asks)}
    told = [(item.squad, item.squad_name) for item in outcome.satisfactions]
    if told != [(key, names[key]) for key in dict.fromkeys(ask.squad for ask in problem.asks)]:
        yield Fault("name", "The squads are not called as in the problem.", ())
    if outcome.seconds < 0:
        yield Fault("seconds", "It took less than no time.", ())


def _satisfactions(served: Sequence[Served], outcome: Outcome) -> Iterator[Fault]:
    claimed = {item.squad: item for item in outcome.satisfactions}
    if list(claimed) != [item.squad for item in served]:
        yield Fault("satisfaction", "The squads are not those of the problem.", ())
        return
    for item in served:
        own = claimed[item.squad]
        said = (own.score, own.best_alone, own.percent, own.past)
        if said != (item.score, item.best_alone, item.percent, item.past):
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
    order = [ask.key for ask in problem.asks if ask.key in missing]
    if [refusal.ask for refusal in outcome.refusals] != order:
        yield Fault("refusal", "Refused asks stand twice, or not in order.", ())
    for refusal in outcome.refusals:
        yield from _holders(refusal, outcome)
        yield from refusal_told(problem, refusal, outcome)
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
    if not {(item.ask, item.session) for item in change.moves} <= {
        (p.ask, p.session) for p in plan
    }:
        return  # told with the sort of the change
    own = [item for item in plan if item.ask == refusal.ask]
    place = change.placement
    if place.day in {item.day for item in own} or place.session in {item.session for item in own}:
        yield Fault("change", f"Ask {refusal.ask} has that day or session already.", (place,))
        return
    fresh = [place, *change.moves]
    moved = {(item.ask, item.session) for item in fresh}
    near = [
        item
        for item in near_sessions(problem, fresh, plan)
        if (item.ask, item.session) not in moved
    ]
    found = check(*_as_changed(problem, change, [*near, *fresh], place))
    concerned = [
        fault
        for fault in found
        if fault.code != "pin" and any(item in fresh for item in fault.placements)
    ]
    for fault in concerned[:1]:
        message = f"Ask {refusal.ask}, “{change.code}”: {fault.message}."
        yield Fault("change", message, fault.placements)


def _as_changed(
    problem: Problem, change: Change, plan: Sequence[Placement], place: Placement
) -> tuple[Problem, list[Placement]]:
    """Give the changed ask its new session, and those it has already to an ask as it was."""
    before = f"{change.ask.key} as it was"
    asks: list[Ask] = []
    for ask in problem.asks:
        if ask.key == change.ask.key:
            pins = tuple(replace(pin, ask=before) for pin in ask.pinned)
            rest = change.ask.rest_days if change.code == "rest" else ask.rest_days
            asks += [change.ask, replace(ask, key=before, pinned=pins, rest_days=rest)]
        else:
            asks.append(ask)
    items = [
        replace(item, ask=before) if item.ask == change.ask.key and item != place else item
        for item in plan
    ]
    return replace(problem, asks=tuple(asks)), items
