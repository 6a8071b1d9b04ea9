"""What rules keep out, in the language of whoever reads it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.sharing.reasons.telling.places import and_more, days_told, hours_told
from clubplanner.sharing.rules.book import rule_of
from clubplanner.sharing.rules.people.rest import rest_in_words
from clubplanner.sharing.values.words import listed

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from clubplanner.sharing.values.facts import Facts, RuleSaid


def pins_told(rules: Iterable[RuleSaid]) -> str:
    """Say what is wrong with a pinned session, to follow "but"."""
    found = []
    for said in rules:
        rule = rule_of(said.rule)
        if rule is not None and rule.words is not None and rule.words.of_pin is not None:
            found.append(rule.words.of_pin(said))
    return listed(found)


def why_not_told(said: RuleSaid) -> str:
    """Say why a session cannot be added, to follow a day and time; blank where it cannot."""
    rule = rule_of(said.rule)
    return "" if rule is None or rule.why_not is None else rule.why_not(said)


def barred_told(rules: Iterable[RuleSaid]) -> str:
    """Say which days the squad's other sessions take, a sentence a rule."""
    return " ".join(
        _("On %(days)s %(why)s.", days=days_told(said.days, "or"), why=why_not_told(said))
        for said in rules
        if said.days
    )


def limit_told(facts: Facts) -> str:
    """Say which ground nobody holds, and which rule still keeps it."""
    return " ".join(
        _(
            "On %(days)s nobody is in the way on %(grounds)s, but %(why)s.",
            days=days_told(said.days, "or"),
            grounds=and_more(said.spot_names, said.more),
            why=why_not_told(said),
        )
        for said in facts.rules
    )


def rules_told(facts: Facts) -> str:
    """Say why rules leave no place, or none on some days."""
    tell = _KINDS.get(facts.kind)
    return "" if tell is None else tell(facts)


def _barred(facts: Facts) -> str:
    return barred_told(facts.rules)


def _own_days(facts: Facts) -> str:
    return _(
        "On %(days)s they train already; each session needs its own day.",
        days=days_told(facts.days),
    )


def _no_times(_facts: Facts) -> str:
    return _("No possible days and times are given.")


def _one_evening(facts: Facts) -> str:
    return _(
        "A squad has one session of an ask an evening; only %(evening)s is shared out.",
        evening=days_told(facts.days),
    )


def _no_day_left(facts: Facts) -> str:
    names = days_told(facts.days)
    if facts.number:
        text = _(
            "With %(rest)s between sessions, no possible day is left beside %(names)s.",
            rest=rest_in_words(facts.number),
            names=names,
        )
    elif facts.rules:
        text = _("No possible day is left beside %(names)s.", names=names)
    else:
        text = _(
            "Each session needs its own day, and %(names)s is all that is possible.", names=names
        )
    return f"{text} {barred_told(facts.rules)}".strip()


def _too_long(facts: Facts) -> str:
    return _(
        "No possible time is as long as the session (%(minutes)s minutes): %(when)s.",
        minutes=facts.number,
        when=hours_told(facts.hours),
    )


def _no_ground(_facts: Facts) -> str:
    return _("There is no ground to share out.")


def _no_place(facts: Facts) -> str:
    wanted = []
    for said in facts.rules:
        rule = rule_of(said.rule)
        if not said.days and rule is not None and rule.words is not None:
            wanted.append(rule.words.wanted(said))
    text = _(
        "There is no place that %(wanted)s on %(when)s.",
        wanted=listed(wanted),
        when=hours_told(facts.hours),
    )
    if facts.days:
        text += " " + _("Each session needs its own day.")
    if facts.number:
        text += " " + _("There must be %(rest)s between.", rest=rest_in_words(facts.number))
    return f"{text} {barred_told(facts.rules)}".strip()


def _near_miss(facts: Facts) -> str:
    said = facts.rules[0] if facts.rules else None
    rule = None if said is None else rule_of(said.rule)
    if said is None or rule is None or rule.words is None:
        return ""
    return _(
        "But for %(what)s, there would be %(names)s.",
        what=rule.words.but_for(said),
        names=and_more(said.spot_names, said.more),
    )


_KINDS: dict[str, Callable[[Facts], str]] = {
    "barred": _barred,
    "own days": _own_days,
    "no times": _no_times,
    "one evening": _one_evening,
    "no day left": _no_day_left,
    "too long": _too_long,
    "no ground": _no_ground,
    "no place": _no_place,
    "near miss": _near_miss,
}
"""What a reason of the code "rules" can say."""
