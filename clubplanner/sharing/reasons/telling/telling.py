"""Reasons in words, in the language of whoever reads them.

What is kept are codes and values (`sharing.values.facts`). Results of earlier releases hold words
instead: they are told as they are. So a word can be bettered, or a language added, and what was
kept before is told in it. Codes and kinds are never given another meaning.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.sharing.reasons.telling.exchange import crowded_told, exchange_told
from clubplanner.sharing.reasons.telling.places import (
    day_told,
    days_told,
    holders_told,
    place_told,
)
from clubplanner.sharing.reasons.telling.rules import (
    limit_told,
    pins_told,
    rules_told,
    why_not_told,
)
from clubplanner.sharing.values.outcome import LEFT_FREE
from clubplanner.sharing.values.words import clock, listed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from clubplanner.sharing.values.facts import Facts, Holder
    from clubplanner.sharing.values.outcome import Outcome, Reason


def tell_reason(reason: Reason) -> str:
    """Say why a session has no place, or not a better one.

    What this release cannot say is told as such, never by an error.
    """
    return told(reason.code, reason.facts, reason.text)


def told(code: str, facts: Facts, text: str = "") -> str:
    """Say what a reason of a code says; words that were kept come as they are."""
    if text:
        return text
    tell = _BY_CODE.get(code)
    words = "" if tell is None else tell(facts)
    return words or _("What was kept of this reason cannot be told by this release.")


def tell_outcome(outcome: Outcome) -> str:
    """Say how a share-out ended, contradictions of pinned sessions included."""
    return " ".join([outcome.sentence, *map(tell_reason, outcome.contradictions)])


def _held(facts: Facts) -> str:
    if not facts.hours or not facts.hours[0].spans or not facts.holders:
        return ""
    span = facts.hours[0].spans[0]
    words = {
        "day": day_told(facts.hours[0].day),
        "start": clock(span.start_min),
        "end": clock(span.end_min),
        "holders": holders_told(facts.holders, facts.more),
    }
    if not facts.is_whole:
        return _(
            "Other places that would do on %(day)s between %(start)s and %(end)s are held by "
            "%(holders)s.",
            **words,
        )
    if facts.kind == "sized":
        return _(
            "The places large enough on %(day)s between %(start)s and %(end)s are held by "
            "%(holders)s.",
            **words,
        )
    return _(
        "The places that would do on %(day)s between %(start)s and %(end)s are held by "
        "%(holders)s.",
        **words,
    )


def _person(facts: Facts) -> str:
    day, parts = days_told(facts.days), []
    for why, tell in _BUSY.items():
        own = [holder for holder in facts.holders if holder.why == why]
        if own:
            parts.append(tell(day, facts.person or _("the squad"), own))
    if facts.more:
        parts.append(_("There are %(more)s more such sessions.", more=facts.more))
    return " ".join(parts)


def _with_squads(day: str, who: str, holders: Iterable[Holder]) -> str:
    at = holders_told(tuple(holders))
    return _("On %(day)s %(who)s is busy then: %(holders)s.", day=day, who=who, holders=at)


def _on_the_way_from(day: str, who: str, holders: Iterable[Holder]) -> str:
    at = holders_told(tuple(holders))
    return _(
        "On %(day)s %(who)s would still be on the way from %(holders)s.",
        day=day,
        who=who,
        holders=at,
    )


def _on_the_way_to(day: str, who: str, holders: Iterable[Holder]) -> str:
    at = holders_told(tuple(holders))
    return _(
        "On %(day)s %(who)s has to be on the way to %(holders)s by then.",
        day=day,
        who=who,
        holders=at,
    )


def _trains_itself(day: str, _who: str, holders: Iterable[Holder]) -> str:
    at = holders_told(tuple(holders))
    return _("On %(day)s the squad itself trains then: %(holders)s.", day=day, holders=at)


def _rests(day: str, _who: str, holders: Iterable[Holder]) -> str:
    at = listed([place_told(one.spot) for one in holders])
    return _(
        "On %(day)s the squad would not have the rest it asks for, beside %(sessions)s.",
        day=day,
        sessions=at,
    )


_BUSY: dict[str, Callable[[str, str, Iterable[Holder]], str]] = {
    "coach": _with_squads,
    "from": _on_the_way_from,
    "to": _on_the_way_to,
    "squad": _trains_itself,
    "rest": _rests,
}
"""By what keeps a person: how it is told."""


def _pinned(facts: Facts) -> str:
    if facts.spot is not None:
        return _(
            "%(names)s is pinned to %(place_and_time)s, but %(what)s.",
            names=listed(facts.names),
            place_and_time=place_told(facts.spot),
            what=pins_told(facts.rules),
        )
    if len(facts.holders) < 2:
        return ""
    first, second = (f"{one.squad_name} ({place_told(one.spot)})" for one in facts.holders[:2])
    what = (
        _("the same ground")
        if facts.kind == "ground"
        else _("one person in two places, or one day twice")
    )
    return _(
        "%(first)s and %(second)s are both pinned and need %(what)s.",
        first=first,
        second=second,
        what=what,
    )


def _proof(_facts: Facts) -> str:
    return _(
        "It is proved that no plan places this session as well as all those that now "
        "have a place: another session would have to go without."
    )


def _open(facts: Facts) -> str:
    if facts.kind == LEFT_FREE:
        if facts.spot is None:
            return ""
        return _(
            "%(place)s is free for this ask in this plan; the search ended, or the plan was "
            "changed, before it was taken.",
            place=place_told(facts.spot),
        )
    return _("Whether others could move to make room was not settled in the time given.")


def _left_out(facts: Facts) -> str:
    if facts.kind == "help":
        return _(
            "What would help was not looked into in the time given; it can be asked for by itself."
        )
    return _("Why was not looked into in the time given; it can be asked for by itself.")


def _wish(facts: Facts) -> str:
    if facts.spot is None or facts.other is None:
        return ""
    words = {
        "session": facts.number,
        "now": place_told(facts.spot),
        "better": place_told(facts.other),
    }
    if facts.holders:
        return _(
            "Session %(session)s (%(now)s) would be better on %(better)s; places as good are held "
            "by %(holders)s.",
            holders=holders_told(facts.holders, facts.more),
            **words,
        )
    why = listed([why_not_told(said) for said in facts.rules]) or _("it is free")
    return _(
        "Session %(session)s (%(now)s) would be better on %(better)s; %(why)s.", why=why, **words
    )


_BY_CODE: dict[str, Callable[[Facts], str]] = {
    "exchange": exchange_told,
    "crowded": crowded_told,
    "rules": rules_told,
    "limit": limit_told,
    "held": _held,
    "person": _person,
    "pinned": _pinned,
    "proof": _proof,
    "open": _open,
    "left out": _left_out,
    "wish": _wish,
}
"""By the code of a reason: how its facts are told."""
