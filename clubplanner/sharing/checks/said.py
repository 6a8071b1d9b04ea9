"""Whether the values that a result's reasons and changes are told with fit its plan.

Words of earlier releases, which hold no values, are believed. By itself, like `checking`.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing.checks.checking import Fault
from clubplanner.sharing.checks.worth import best_alone, wish
from clubplanner.sharing.values.facts import NOTHING_SAID, day_name, spot_of

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.values.facts import Facts, Holder
    from clubplanner.sharing.values.outcome import Change, Outcome, Reason
    from clubplanner.sharing.values.problem import Ask, Placement, Problem

WITHOUT_VALUES = ("proof", "open")
"""Codes that say it all."""
KINDS = {
    "rules": (
        "barred",
        "own days",
        "no times",
        "one evening",
        "no day left",
        "too long",
        "no ground",
        "no place",
        "near miss",
    ),
    "crowded": ("", "fixed"),
    "left out": ("why", "help"),
    "exchange": (
        "",
        "fewer",
        "only",
        "priority",
        "lower",
        "past",
        "short",
        "less",
        "better",
        "even",
    ),
}
"""By code, the kinds that there are; codes that are not named here have none that count."""


def reason_said(problem: Problem, ask: Ask, reason: Reason, outcome: Outcome) -> Iterator[Fault]:
    """Check what a reason is told with: names, places and numbers of those it names."""
    start, facts = f"Ask {ask.key}, “{reason.code}”:", reason.facts
    if reason.text:
        if not reason.text.strip() or facts != NOTHING_SAID:
            yield Fault("reason", f"{start} it has words and values at once, or no words.", ())
        return
    if facts.kind not in KINDS.get(reason.code, (facts.kind,)):
        yield Fault("reason", f"{start} it says nothing that can be told.", ())
    if facts == NOTHING_SAID and reason.code not in WITHOUT_VALUES:
        yield Fault("reason", f"{start} it has neither words nor values.", ())
    if reason.code in ("held", "person") and not _names(problem, facts, reason.holders):
        yield Fault("reason", f"{start} it tells of others than it names.", reason.holders)
    if reason.code == "exchange":
        yield from _exchange_said(problem, ask, reason, outcome)


def change_said(problem: Problem, ask: Ask, change: Change) -> Iterator[Fault]:
    """Check what a change is told with: its place, who moves, and what it changes."""
    start, facts = f"Ask {ask.key}, “{change.code}”:", change.facts
    if change.text:
        if not change.text.strip() or facts != NOTHING_SAID:
            yield Fault("change", f"{start} it has words and values at once, or no words.", ())
        return
    grounds = {ground.key for ground in problem.grounds}
    places = [change.placement, *change.moves]
    if any(p.ground not in grounds or p.day >= len(problem.days) for p in places):
        return  # told with the place itself
    if facts.spot != spot_of(problem, change.placement):
        yield Fault("change", f"{start} it tells of another place.", (change.placement,))
    if [one.spot for one in facts.moves] != [spot_of(problem, item) for item in change.moves]:
        yield Fault("change", f"{start} it tells of others who move.", change.moves)
    numbers = {
        "shorter": (change.ask.minutes, ask.minutes),
        "later finish": (change.ask.latest_finish_min, ask.latest_finish_min),
        "earlier start": (change.ask.earliest_start_min, ask.earliest_start_min),
        "rest": (change.ask.rest_days, ask.rest_days),
    }
    told = (facts.number, facts.asked)
    if numbers.get(change.code, told) != told:
        yield Fault("change", f"{start} it tells of other numbers.", ())
    sizes = (change.ask.least_m2, ask.least_m2 or None, ask.least_share)
    if change.code == "smaller" and sizes != (facts.area_m2, facts.asked_m2, facts.asked_part):
        yield Fault("change", f"{start} it tells of other sizes.", ())


def _names(problem: Problem, facts: Facts, holders: Sequence[Placement]) -> bool:
    """Tell whether sessions that are told are among those named, and the rest is counted."""
    grounds, names = {g.key: g.name for g in problem.grounds}, _squads(problem)
    known = {
        (
            names.get(item.ask),
            day_name(problem.days[item.day]),
            item.start_min,
            item.end_min,
            grounds.get(item.ground),
        )
        for item in holders
        if item.day < len(problem.days)
    }
    told = [_told(one) for one in facts.holders]
    return len(told) + facts.more == len(holders) and known.issuperset(told)


def _told(one: Holder) -> tuple[object, ...]:
    spot = one.spot
    return one.squad_name, spot.day, spot.start_min, spot.end_min, spot.ground_name


def _squads(problem: Problem) -> dict[str, str]:
    return {ask.key: ask.squad_name for ask in problem.asks}


def _exchange_said(problem: Problem, ask: Ask, reason: Reason, outcome: Outcome) -> Iterator[Fault]:
    """Check who is said to lose how much, and what the squad itself has."""
    facts, start = reason.facts, f"Ask {ask.key}, “exchange”:"
    asks = {item.key: item for item in problem.asks}
    losers = [asks[item.ask] for item in reason.holders if item.ask in asks]
    if [one.squad_name for one in facts.losses] != [one.squad_name for one in losers]:
        yield Fault("reason", f"{start} others lose than it names.", reason.holders)
        return
    for loss, loser, item in zip(facts.losses, losers, reason.holders, strict=True):
        has = _served(problem, loser, outcome.placements)
        left = _served(problem, loser, [one for one in outcome.placements if one != item])
        if (loss.has, loss.before, loss.after) != (*has, left[1]):
            yield Fault("reason", f"{start} {loss.squad_name} would not lose that.", (item,))
    gain = facts.gain
    if gain is None or (gain.has, gain.before) != _served(problem, ask, outcome.placements):
        yield Fault("reason", f"{start} it tells wrongly what {ask.squad_name} have.", ())


def _served(problem: Problem, ask: Ask, plan: Sequence[Placement]) -> tuple[int, int]:
    """Count a squad's sessions, and measure it in percent of what it could have alone."""
    own = {one.key: one for one in problem.asks if one.squad == ask.squad}
    grounds = {ground.key: ground for ground in problem.grounds}
    placed = [item for item in plan if item.ask in own and item.ground in grounds]
    points = sum(
        wish(
            problem,
            own[item.ask],
            grounds[item.ground],
            problem.days[item.day],
            item.start_min,
            len(item.lost_dates),
        )
        for item in placed
        if item.day < len(problem.days)
    )
    best = sum(best_alone(problem, one) for one in own.values())
    return len(placed), 100 * points // best if best else 100 * (points > 0)
