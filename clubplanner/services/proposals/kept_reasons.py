"""Who goes without, as it is kept with a proposal, and in words when somebody reads it.

Kept are codes and values; proposals of earlier releases hold words, which are told as they are.
Squads that go without for the same reasons are told together.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from clubplanner.services.proposals.said import sentence_kept
from clubplanner.sharing.files.file_shapes import record_of
from clubplanner.sharing.files.json_shapes import Faults
from clubplanner.sharing.reasons.exchanges import EXCHANGE
from clubplanner.sharing.reasons.telling.changes import told_change
from clubplanner.sharing.reasons.telling.places import place_told
from clubplanner.sharing.reasons.telling.telling import told
from clubplanner.sharing.values.facts import NOTHING_SAID, Facts
from clubplanner.sharing.values.outcome import (
    LEFT_FREE,
    LEFT_OUT,
    CutShort,
    Kind,
    Level,
    ended_in_words,
)
from clubplanner.sharing.values.words import listed

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.sharing.values.outcome import Change, Reason, Refusal


@dataclass(frozen=True, slots=True)
class LossShown:
    """What a squad would lose.

    Attributes:
        squad_name: Whose.
        has: How many sessions it has now.
        before: Percent of the best it could have that it has now.
        after: The same without one of them.
    """

    squad_name: str
    has: int
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class ExchangeShown:
    """The cheapest exchange that would admit a squad.

    Attributes:
        place: Day, times and ground that would be free.
        losses: Who would lose a session for it.
    """

    place: str
    losses: tuple[LossShown, ...]


@dataclass(frozen=True, slots=True)
class RefusalShown:
    """An ask that goes without, and why.

    Attributes:
        ask: Its key.
        squad_name: Whose it is.
        missing: How many sessions have no place.
        answer: What can be said to the squad in a sentence or two.
        reasons: The same, and all that is in the way.
        changes: What would help, the change itself first.
        is_left_out: Whether something was not looked into for lack of time.
        exchange: What `answer` is told of, where it is an exchange.
        twins: Names of other squads of which the same is told.
        has_free_place: Whether `answer` names a place that is free as the plan stands.
    """

    ask: str
    squad_name: str
    missing: int
    answer: str
    reasons: tuple[str, ...]
    changes: tuple[str, ...]
    is_left_out: bool = False
    exchange: ExchangeShown | None = None
    twins: tuple[str, ...] = ()
    has_free_place: bool = False


@dataclass(frozen=True, slots=True)
class RefusalsTold:
    """Squads that go without for the same reasons.

    Attributes:
        asks: Each with its ask, in order.
        answers: What can be said, each with the names of whom it is said.
        told: What is in the way and what would help, the same for all.
    """

    asks: tuple[RefusalShown, ...]
    answers: tuple[tuple[str, str], ...]
    told: RefusalShown

    @property
    def names(self) -> str:
        """Whom it is about."""
        return listed([one.squad_name for one in self.asks])

    @property
    def missing(self) -> int:
        """How many sessions have no place, of all of them."""
        return sum(one.missing for one in self.asks)


def refusals_as_json(refusals: Iterable[Refusal]) -> list[dict[str, Any]]:
    """Write who goes without, why, and what would help."""
    return [
        {
            "ask": refusal.ask,
            "squad_name": refusal.squad_name,
            "missing": refusal.missing,
            "reasons": [_kept(reason) for reason in refusal.reasons],
            "changes": [_kept(change) for change in refusal.changes],
        }
        for refusal in refusals
    ]


def refusals_shown(kept: Sequence[Mapping[str, Any]]) -> tuple[RefusalShown, ...]:
    """Put into words who goes without, in the language spoken now and in the order kept.

    Squads of which the same is told name each other.
    """
    alike: dict[str, list[Mapping[str, Any]]] = {}
    for refusal in kept:
        alike.setdefault(_likeness(refusal), []).append(refusal)
    words = {
        key: _shown(same[0], listed([one["squad_name"] for one in same]))
        for key, same in alike.items()
    }
    found = [
        replace(
            words[_likeness(refusal)],
            ask=refusal["ask"],
            squad_name=refusal["squad_name"],
            missing=refusal["missing"],
        )
        for refusal in kept
    ]
    names: dict[tuple[object, ...], list[str]] = {}
    for one in found:
        names.setdefault(_told_of(one), []).append(one.squad_name)
    return tuple(replace(one, twins=_others(names[_told_of(one)], one)) for one in found)


def _told_of(one: RefusalShown) -> tuple[object, ...]:
    """Return what is told of all who are told together: what is in the way, and what would help."""
    further = one.reasons[1:] or one.reasons
    return further, one.changes


def _others(names: Sequence[str], one: RefusalShown) -> tuple[str, ...]:
    at = names.index(one.squad_name)
    return (*names[:at], *names[at + 1 :])


def refusal_shown(refusal: Mapping[str, Any]) -> RefusalShown:
    """Put one into words."""
    return refusals_shown([refusal])[0]


def told_together(refusals: Iterable[RefusalShown]) -> tuple[RefusalsTold, ...]:
    """Put squads together of which the same is told, in the order of the first of each."""
    groups: dict[tuple[object, ...], list[RefusalShown]] = {}
    for one in refusals:
        groups.setdefault(_told_of(one), []).append(one)
    found: list[RefusalsTold] = []
    for asks in groups.values():
        answers: dict[str, list[str]] = {}
        for one in asks:
            answers.setdefault(one.answer, []).append(one.squad_name)
        said = tuple((listed(names), answer) for answer, names in answers.items())
        found.append(RefusalsTold(tuple(asks), said, asks[0]))
    return tuple(found)


def _kept(said: Reason | Change) -> dict[str, Any]:
    if said.text:
        return {"code": said.code, "text": said.text}
    return {"code": said.code, "facts": record_of(Facts).write(said.facts)}


def _facts(kept: Mapping[str, Any]) -> Facts:
    if "facts" not in kept:
        return NOTHING_SAID
    facts: Facts = record_of(Facts).read(kept["facts"], "facts", Faults())
    return facts


def _shown(refusal: Mapping[str, Any], names: str) -> RefusalShown:
    """Put a refusal into words that are told of all who are named."""
    said = [(one["code"], _facts(one), one.get("text", "")) for one in refusal["reasons"]]
    said = [(code, _of(facts, names), text) for code, facts, text in said]
    reasons = tuple(told(*one) for one in said)
    changes = tuple(
        told_change(one["code"], _facts(one), one.get("text", "")) for one in refusal["changes"]
    )
    first = said[0] if said else ("", NOTHING_SAID, "")
    return RefusalShown(
        ask=refusal["ask"],
        squad_name=refusal["squad_name"],
        missing=refusal["missing"],
        answer=reasons[0] if reasons else "",
        reasons=reasons,
        changes=changes,
        is_left_out=any(code == LEFT_OUT for code, _facts_, _text in said),
        exchange=_exchange(first[1]) if first[0] == EXCHANGE else None,
        has_free_place=first[1].kind == LEFT_FREE,
    )


def _of(facts: Facts, names: str) -> Facts:
    """Let values that name the squad itself name all of whom they are told."""
    if facts.gain is None:
        return facts
    return replace(facts, gain=replace(facts.gain, squad_name=names))


def _exchange(facts: Facts) -> ExchangeShown | None:
    if facts.spot is None:
        return None
    losses = tuple(
        LossShown(one.squad_name, one.has, one.before, one.after) for one in facts.losses
    )
    return ExchangeShown(place_told(facts.spot), losses)


def _likeness(refusal: Mapping[str, Any]) -> str:
    """Return what is the same for all of whom the same is told, whoever they are."""
    reasons = [
        {**one, "facts": {**one["facts"], "gain": _nameless(one["facts"].get("gain"))}}
        if "facts" in one
        else one
        for one in refusal["reasons"]
    ]
    same = refusal["missing"], reasons, refusal["changes"]
    return json.dumps(same, sort_keys=True)


def _nameless(gain: Mapping[str, Any] | None) -> dict[str, Any] | None:
    return None if gain is None else {**gain, "squad_name": ""}


def outcome_told(saved: Mapping[str, Any], kind: str, placed: int) -> str:
    """Say how a proposal ended in the language spoken now; what was kept in words as it is.

    Earlier releases kept a sentence, and of a share-out of a stretch what it can be told from.

    Args:
        saved: What is kept of the proposal.
        kind: How its search ended.
        placed: How many sessions it gives a place.
    """
    if "said" in saved:
        return sentence_kept(saved["said"], None)
    if kind not in set(Kind) or "asked" not in saved or "moves" in saved or not saved["levels"]:
        return str(saved["sentence"])
    levels = tuple(Level(**level) for level in saved["levels"])
    cut_short = CutShort(saved.get("cut_short", CutShort.NO))
    return ended_in_words(Kind(kind), levels, placed, saved["asked"], cut_short)
