"""Whether what a result says of how it ended is true: kinds, and pins that contradict.

Like `checking`, it shares nothing with the search but values. What cannot be derived again is in
`believed`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.by_place import ByPlace, pairs_with_one_of
from clubplanner.sharing.checks.checking import Fault, check
from clubplanner.sharing.checks.places_alone import PlacesAlone
from clubplanner.sharing.checks.rules_told import pin_rules
from clubplanner.sharing.checks.serving import BestAlone
from clubplanner.sharing.values.facts import NOTHING_SAID, Facts, Holder, spot_of
from clubplanner.sharing.values.outcome import GOOD_GAP, SHAPE, CutShort, Kind, Reason

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.values.outcome import Outcome
    from clubplanner.sharing.values.problem import Placement, Problem

RESHARE_AIMS = ("disturbing few squads", "moving sessions little")


def contradictions_told(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    """Check that pinned sessions that are said not to stand together do not, and no others."""
    if outcome.kind is not Kind.IMPOSSIBLE:
        yield Fault("contradiction", "Pins contradict, but it is not called impossible.", ())
    if outcome.placements or outcome.levels or outcome.refusals or outcome.certificate:
        yield Fault("contradiction", "Pins contradict, yet there is a plan.", outcome.placements)
    for reason in outcome.contradictions:
        has_words = bool(reason.text.strip()) or reason.facts != NOTHING_SAID
        if reason.code != "pinned" or not reason.is_proved or not has_words:
            yield Fault("contradiction", f"“{reason.code}” is no proof about pins.", ())
    past = {ask.squad: ask.past for ask in reversed(problem.asks)}
    for item in outcome.satisfactions:
        said = item.score, item.best_alone, item.percent, item.past
        if said != (0, 0, 0, past.get(item.squad)):
            yield Fault("contradiction", f"There is no plan that serves {item.squad_name}.", ())
    true = [*_not_alone(problem), *_not_together(problem)]
    known = [reason.holders for reason in true]
    for reason in [one for one in outcome.contradictions if one.holders not in known][:1]:
        yield Fault("contradiction", "These pins can all stand, or are none.", reason.holders)
    told = [
        replace(one, text="", facts=other.facts) if one.text else one
        for one, other in zip(outcome.contradictions, true, strict=False)
    ]
    if len(outcome.contradictions) != len(true) or told != true:
        message = "Not each contradiction of pins stands there as it is, once and in their order."
        yield Fault("contradiction", message, ())


def _not_alone(problem: Problem) -> Iterator[Reason]:
    """Tell of pins that cannot stand by themselves, and by which rules."""
    places = PlacesAlone(problem)
    grounds = {ground.key: ground for ground in problem.grounds}
    for ask in problem.asks:
        for pin in ask.pinned:
            rules = pin_rules(places, problem, ask, grounds[pin.ground], pin)
            if rules:
                facts = Facts(names=(ask.squad_name,), spot=spot_of(problem, pin), rules=rules)
                yield Reason("pinned", is_proved=True, holders=(pin,), facts=facts)


def _not_together(problem: Problem) -> Iterator[Reason]:
    """Tell of pairs of pins that cannot stand together."""
    pins = _pins(problem)
    asks, grounds = {ask.key: ask for ask in problem.asks}, {g.key: g for g in problem.grounds}
    near = pairs_with_one_of(
        pins,
        lambda pin: asks[pin.ask].squad,
        lambda pin: asks[pin.ask].coach,
        lambda pin: grounds[pin.ground].pitch,
    )
    number, by_place = {pin: n for n, pin in enumerate(pins)}, ByPlace(problem)
    for both in sorted(near, key=lambda two: (number[two[1]], number[two[0]])):
        found = check(by_place.about(both), both)
        codes = {fault.code for fault in found if set(fault.placements) == set(both)}
        if codes:
            facts = Facts(
                kind="ground" if "clash" in codes else "people",
                holders=tuple(
                    Holder(asks[pin.ask].squad_name, spot_of(problem, pin)) for pin in both
                ),
            )
            yield Reason("pinned", is_proved=True, holders=both, facts=facts)


def _pins(problem: Problem) -> list[Placement]:
    return [pin for ask in problem.asks for pin in ask.pinned]


def _has_a_place(problem: Problem) -> bool:
    best = BestAlone(problem)
    return any(best.of(ask) for ask in problem.asks)


def kind_told(problem: Problem, outcome: Outcome, names: Sequence[str]) -> Iterator[Fault]:
    """Check how it is said to have ended, from its aims and what each ask could have alone.

    Args:
        problem: The problem.
        outcome: A result whose pins do not contradict.
        names: The aims that a full search works on.
    """
    levels = outcome.levels
    if outcome.kind is Kind.BY_HAND:
        yield from _by_hand_told(problem, outcome)
        return
    if outcome.placements and not levels and not outcome.seconds:
        yield Fault("kind", "No search took no time, so this plan was made by hand.", ())
    if outcome.kind is Kind.IMPOSSIBLE:
        if _has_a_place(problem):
            yield Fault("impossible", "It is called impossible, but some asks have a place.", ())
        return
    if not levels and not problem.asks:
        true = Kind.PROVED_BEST
    elif not levels and not _has_a_place(problem):
        true = Kind.IMPOSSIBLE
    elif not levels or (not levels[0].is_proved and levels[0].gap > GOOD_GAP):
        true = Kind.OUT_OF_TIME
    elif all(level.is_proved for level in levels) and len(levels) >= len(names):
        true = Kind.PROVED_BEST
    else:
        true = Kind.GOOD
    if outcome.kind is not true:
        yield Fault("kind", f"By its aims it is “{true}”, not “{outcome.kind}”.", ())


def _by_hand_told(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    """Check that nothing is said of a search where a plan was made by hand, nor proved."""
    searched = outcome.seconds or outcome.is_repeatable or outcome.cut_short is not CutShort.NO
    if searched or outcome.levels or outcome.certificate or outcome.traded:
        yield Fault("by hand", "It was made by hand, yet it tells of a search or a proof.", ())
    if not any(ask.pinned for ask in problem.asks):
        yield Fault("by hand", "It was made by hand, yet no session was put anywhere.", ())
    if outcome.shape < SHAPE:
        yield Fault("by hand", "A result of an earlier release is never of a plan by hand.", ())
