"""Whether what a result claims is true: its plan, its numbers, its refusals and its changes.

Of bounds it proves the one that a certificate carries; of others it sees a claim of proof that does
not fit its own numbers.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.by_place import Sessions
from clubplanner.sharing.checks.certified import certificate_told
from clubplanner.sharing.checks.checking import UNKNOWN, Fault, check
from clubplanner.sharing.checks.claims import RESHARE_AIMS, contradictions_told, kind_told
from clubplanner.sharing.checks.helping import changes_told
from clubplanner.sharing.checks.places_alone import PlacesAlone
from clubplanner.sharing.checks.serving import serve
from clubplanner.sharing.checks.whys import Whys
from clubplanner.sharing.checks.worth import placing, shortfall, worst_off
from clubplanner.sharing.checks.worth_late import apart, cost, dead, even, few, pairs
from clubplanner.sharing.values.outcome import GOOD_GAP, Kind
from clubplanner.sharing.values.problem import digest

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.checks.worth import Served
    from clubplanner.sharing.values.outcome import Level, Outcome
    from clubplanner.sharing.values.problem import Problem

AIMS = {
    "placing sessions": True,
    "serving the worst-off squad": True,
    "being fair": False,
    "granting wishes": True,
    "keeping each squad's sessions apart": False,
    "filling evenings evenly": False,
    "opening few evenings": False,
    "keeping cost low": False,
    "keeping evenings compact": False,
}
"""The aims, and whether more is better."""
WEEK_AIMS = (
    "keeping each squad's sessions apart",
    "filling evenings evenly",
    "opening few evenings",
)
"""Aims that a re-share has as well, after its own."""


def verify(problem: Problem, outcome: Outcome) -> tuple[Fault, ...]:
    """Check a result against its problem.

    Args:
        problem: A problem without structural faults.
        outcome: What is said to be its result.

    Returns:
        Everything that is not true; empty for a true result.
    """
    return tuple(untruths(problem, outcome))


def untruths(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    """Check a result as `verify` does, what is quickly seen first."""
    if outcome.problem_digest != digest(problem):
        message = "The result belongs to another problem, or the problem was changed since."
        yield Fault("another problem", message, ())
        return
    yield from _counts(problem, outcome)
    yield from _names(problem, outcome)
    if outcome.contradictions:
        yield from contradictions_told(problem, outcome)
        return
    found = check(problem, outcome.placements)
    yield from found
    if any(fault.code in UNKNOWN for fault in found):
        return
    yield from _order(problem, outcome)
    yield from _kind(problem, outcome)
    served = serve(problem, outcome.placements)
    worst = shortfall([replace(item, score=0, percent=0) for item in served])
    for level in outcome.levels:
        scales = {"being fair": worst, "serving the worst-off squad": 100}
        yield from _proof(level, scales.get(level.name, abs(level.value)))
    yield from _satisfactions(served, outcome)
    yield from _values(problem, served, outcome)
    yield from certificate_told(problem, outcome)
    yield from _refusals(problem, outcome)


def _counts(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    asked = sum(ask.sessions for ask in problem.asks)
    if outcome.asked != asked:
        yield Fault("asked", f"{asked} sessions are asked for, not {outcome.asked}.", ())


def _order(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    grounds = {ground.key: n for n, ground in enumerate(problem.grounds)}
    at = [(item.day, item.start_min, grounds[item.ground]) for item in outcome.placements]
    if at != sorted(at):
        yield Fault("order", "The plan is not in order of day, time and ground.", ())


def _kind(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    proved = all(level.is_proved for level in outcome.levels)
    names = [level.name for level in outcome.levels]
    wanted = _wanted(problem)
    least_moved = [*wanted[:1], *RESHARE_AIMS, *(name for name in wanted if name in WEEK_AIMS)]
    again = len(names) > len(RESHARE_AIMS) and names == least_moved[: len(names)]
    yield from kind_told(problem, outcome, least_moved if again else wanted)
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


def _wanted(problem: Problem) -> list[str]:
    """Name the aims of a problem in order; cheap evenings come after cost, others before."""
    how = problem.evenings
    is_aim = {
        "keeping each squad's sessions apart": problem.wants_apart,
        "filling evenings evenly": how in ("even", "cheap"),
        "opening few evenings": how == "few",
        "keeping cost low": bool(problem.prices),
        "keeping evenings compact": problem.wants_compact,
    }
    names = [name for name in AIMS if is_aim.get(name, True)]
    if how == "cheap" and problem.prices:
        at = names.index("keeping cost low")
        names[at - 1], names[at] = names[at], names[at - 1]
    return names


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
        "keeping each squad's sessions apart": apart(problem, plan),
        "filling evenings evenly": even(problem, plan),
        "opening few evenings": few(problem, plan),
        "keeping cost low": cost(problem, plan),
        "keeping evenings compact": dead(problem, plan),
    }
    for told in outcome.traded:
        if true.get(told.name) != told.now:
            yield Fault("traded", f"{told.name}: the plan has not {told.now}.", ())
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
    asks = {ask.key: ask for ask in problem.asks}
    places, sessions = PlacesAlone(problem), Sessions(problem, outcome.placements)
    whys = Whys(problem, outcome, sessions, places)
    for refusal in outcome.refusals:
        ask = asks[refusal.ask]
        if refusal.squad_name != ask.squad_name:
            yield Fault("name", f"Ask {ask.key} is of {ask.squad_name}.", ())
        yield from whys.told(ask, refusal)
        yield from changes_told(problem, places.by_place, ask, refusal, sessions)
