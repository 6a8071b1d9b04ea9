"""Whether what a result says beside its plan and numbers is true: kinds, reasons and changes.

Like `checking`, it shares nothing with the search but values. What cannot be derived again is in
`NOT_CHECKED`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.certified import PlacesAlone
from clubplanner.sharing.checks.checking import Fault, check, near_sessions
from clubplanner.sharing.checks.said import change_said, reason_said
from clubplanner.sharing.checks.worth import best_alone, lost_dates
from clubplanner.sharing.values.facts import NOTHING_SAID
from clubplanner.sharing.values.outcome import GOOD_GAP, LEFT_OUT, Kind

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.values.outcome import Change, Outcome, Reason, Refusal
    from clubplanner.sharing.values.problem import Ask, Problem

NOT_CHECKED = (
    "bounds, and with them the gaps: they hold what the search has proved, which is not done again",
    "that prices of a certificate are the best there are: what they prove is added up again",
    "words that earlier releases kept, and why an exchange was not made: texts without values",
    "values about rules and hours: codes, holders, places and numbers of squads are checked",
    "that reasons are all there are, and that sessions that hold ground hold every place",
    "seconds and whether the same again gives the same plan: they tell of the run",
    "values of the later aims of a re-share: they need the plan that stood before",
)
"""What a result says that is believed, each with its reason."""

RESHARE_AIMS = ("disturbing few squads", "moving sessions little")
REASON_CODES = (
    "exchange",
    "crowded",
    "rules",
    "held",
    "limit",
    "person",
    "proof",
    "open",
    LEFT_OUT,
)
_PROVED = ("rules", "proof")
_WITH_HOLDERS = ("exchange", "held", "person")
CHANGED = {
    "shorter": "minutes",
    "other time": "possible",
    "other day": "possible",
    "later finish": "latest_finish_min",
    "earlier start": "earliest_start_min",
    "rest": "rest_days",
    "free days": "no_day_before no_day_after",
    "other surface": "surfaces",
    "without goal": "needs_goal",
    "without light": "needs_light",
    "other venue": "venues",
    "other format": "least_format",
    "smaller": "least_m2 least_share",
    "others move": "",
}
"""By code of a change, the fields of the ask that it changes."""


def contradictions_told(problem: Problem, outcome: Outcome) -> Iterator[Fault]:
    """Check that pinned sessions that are said not to stand together do not."""
    if outcome.kind is not Kind.IMPOSSIBLE:
        yield Fault("contradiction", "Pins contradict, but it is not called impossible.", ())
    if outcome.placements or outcome.levels or outcome.refusals:
        yield Fault("contradiction", "Pins contradict, yet there is a plan.", outcome.placements)
    pins = [pin for ask in problem.asks for pin in ask.pinned]
    for reason in outcome.contradictions:
        has_words = bool(reason.text.strip()) or reason.facts != NOTHING_SAID
        if reason.code != "pinned" or not reason.is_proved or not has_words:
            yield Fault("contradiction", f"“{reason.code}” is no proof about pins.", ())
        if not reason.holders or any(item not in pins for item in reason.holders):
            yield Fault("contradiction", f"“{reason.code}” names no pins.", reason.holders)
            continue
        found = check(problem, reason.holders)
        if not any(set(fault.placements) <= set(reason.holders) for fault in found):
            yield Fault("contradiction", "These pins can all stand.", reason.holders)


def kind_told(problem: Problem, outcome: Outcome, names: Sequence[str]) -> Iterator[Fault]:
    """Check how it is said to have ended, from its aims and what each ask could have alone.

    Args:
        problem: The problem.
        outcome: A result whose pins do not contradict.
        names: The aims that a full search works on.
    """
    levels = outcome.levels
    if outcome.kind is Kind.IMPOSSIBLE:
        if any(best_alone(problem, ask) for ask in problem.asks):
            yield Fault("impossible", "It is called impossible, but some asks have a place.", ())
        return
    if not levels and not problem.asks:
        true = Kind.PROVED_BEST
    elif not levels or (not levels[0].is_proved and levels[0].gap > GOOD_GAP):
        true = Kind.OUT_OF_TIME
    elif all(level.is_proved for level in levels) and len(levels) >= len(names):
        true = Kind.PROVED_BEST
    else:
        true = Kind.GOOD
    if outcome.kind is not true:
        yield Fault("kind", f"By its aims it is “{true}”, not “{outcome.kind}”.", ())


def refusal_told(problem: Problem, refusal: Refusal, outcome: Outcome) -> Iterator[Fault]:
    """Check names, reasons and the sorts of changes of a refusal; places are checked elsewhere."""
    ask = next(item for item in problem.asks if item.key == refusal.ask)
    if refusal.squad_name != ask.squad_name:
        yield Fault("name", f"Ask {ask.key} is of {ask.squad_name}.", ())
    if not refusal.reasons:
        yield Fault("reason", f"Ask {ask.key} goes without and no reason is told.", ())
    for reason in refusal.reasons:
        yield from _reason(problem, ask, reason, outcome)
    for change in refusal.changes:
        yield from _sort_of_change(ask, change, outcome)
        yield from change_said(problem, ask, change)


def _reason(problem: Problem, ask: Ask, reason: Reason, outcome: Outcome) -> Iterator[Fault]:
    start = f"Ask {ask.key}, “{reason.code}”:"
    yield from reason_said(problem, ask, reason, outcome)
    if reason.code not in REASON_CODES:
        yield Fault("reason", f"{start} there is no such reason.", ())
        return
    if bool(reason.holders) != (reason.code in _WITH_HOLDERS):
        yield Fault("reason", f"{start} it names holders where there are none, or nobody.", ())
    if reason.is_proved and reason.code not in _PROVED:
        yield Fault("reason", f"{start} it proves nothing.", ())
    if reason.code == "proof" and not (
        reason.is_proved and outcome.levels and outcome.levels[0].is_proved
    ):
        yield Fault("reason", f"{start} it is not proved that no plan places more.", ())
    has_none = all(item.ask != ask.key for item in outcome.placements)
    if reason.code == "rules" and reason.is_proved and has_none and best_alone(problem, ask):
        yield Fault("reason", f"{start} there is a place that passes every rule.", ())
    yield from _holders_told(problem, ask, reason, outcome)


def _holders_told(problem: Problem, ask: Ask, reason: Reason, outcome: Outcome) -> Iterator[Fault]:
    """Check that those who are named could be what the reason says."""
    start = f"Ask {ask.key}, “{reason.code}”:"
    if reason.code == "exchange" and not _makes_room(problem, ask, reason, outcome):
        yield Fault("reason", f"{start} without them there is no room either.", reason.holders)
    asks = {item.key: item for item in problem.asks}
    for holder in reason.holders:
        other = asks.get(holder.ask)
        if other is None:
            continue  # told as a stranger
        days = {window.day for window in ask.possible}
        if reason.code == "held" and holder.day not in days:
            yield Fault("reason", f"{start} {holder} is on no day asked for.", (holder,))
        if reason.code == "person" and not _share_person(ask, other):
            yield Fault("reason", f"{start} {holder} needs nobody of them.", (holder,))


def _makes_room(problem: Problem, ask: Ask, reason: Reason, outcome: Outcome) -> bool:
    """Whether one session is named, or two, of other squads, whose end leaves the ask a place."""
    squads = {item.key: item.squad for item in problem.asks}
    named = [squads.get(holder.ask) for holder in reason.holders]
    if not 1 <= len(named) <= 2 or None in named or ask.squad in named:
        return False
    rest = [item for item in outcome.placements if item not in reason.holders]
    used = {item.session for item in rest if item.ask == ask.key}
    session = next(n for n in range(len(used) + 1) if n not in used)
    for place, ground in PlacesAlone(problem).of(ask):
        lost = lost_dates(problem, ground, problem.days[place.day], place.start_min, place.end_min)
        tried = replace(place, session=session, lost_dates=lost)
        found = check(problem, [*near_sessions(problem, [tried], rest), tried])
        if not any(tried in fault.placements for fault in found):
            return True
    return False


def _share_person(ask: Ask, other: Ask) -> bool:
    return ask.squad == other.squad or (ask.coach is not None and ask.coach == other.coach)


def _sort_of_change(ask: Ask, change: Change, outcome: Outcome) -> Iterator[Fault]:
    """Check that a change is of its sort: it changes only what its code says, and does so."""
    start = f"Ask {ask.key}, “{change.code}”:"
    if change.code not in CHANGED:
        yield Fault("change", f"{start} there is no such change.", ())
        return
    fields = CHANGED[change.code].split()
    as_before = replace(change.ask, **{name: getattr(ask, name) for name in fields})
    if as_before != ask:
        yield Fault("change", f"{start} it changes something else as well.", ())
    if fields and change.ask == ask:
        yield Fault("change", f"{start} it changes nothing.", ())
    if bool(change.moves) != (change.code == "others move"):
        yield Fault("change", f"{start} who moves does not fit.", change.moves)
    sessions = {(item.ask, item.session) for item in outcome.placements if item.ask != ask.key}
    moved = [(item.ask, item.session) for item in change.moves]
    if not sessions.issuperset(moved) or len(set(moved)) < len(moved):
        yield Fault("change", f"{start} sessions move that are not in the plan.", change.moves)
    if change.code == "shorter" and change.ask.minutes >= ask.minutes:
        yield Fault("change", f"{start} it is no shorter.", ())
