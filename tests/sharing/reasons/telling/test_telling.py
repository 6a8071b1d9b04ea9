"""Reasons and changes in words: in the reader's language; those of earlier releases as they are."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.language import speaking
from clubplanner.sharing import Change, Placement, Reason
from clubplanner.sharing.reasons.telling.changes import tell_change
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.values.facts import (
    NOTHING_SAID,
    DayName,
    Facts,
    Holder,
    Hours,
    Loss,
    RuleSaid,
    Span,
    Spot,
    day_name,
)
from tests.sharing.builders import make_ask, make_days

if TYPE_CHECKING:
    from clubplanner.sharing import Day

MONDAY = DayName(weekday=0)
SPOT = Spot(MONDAY, 1080, 1140, "North third")
HOLDER = Holder("U13 Kites", SPOT)
EXCHANGE = Facts(
    kind="lower",
    spot=SPOT,
    losses=(Loss("U13 Kites", 2, 70, 50),),
    gain=Loss("U12 Owls", 1, 60, 90),
)


def test_an_exchange_is_one_sentence_and_why_it_was_not_made() -> None:
    """Where and when, who loses how much, and why the plan has it the other way round."""
    reason = Reason("exchange", facts=EXCHANGE)
    assert tell_reason(reason) == (
        "Monday 18:00–19:00, North third, if U13 Kites lose one of 2 sessions (they fall from 70 "
        "to 50 %); nobody else who could make room would be left with more. U13 Kites would then "
        "have less (50 %) than U12 Owls have now (60 %)."
    )
    with speaking("de"):
        words = tell_reason(reason)
    assert words.startswith("Montag 18:00–19:00, North third, wenn U13 Kites eine von 2 Einheiten")
    assert words.endswith("U13 Kites hätten dann weniger (50 %), als U12 Owls jetzt haben (60 %).")


FULL = Facts(
    spot=SPOT,
    other=SPOT,
    days=(MONDAY,),
    hours=(Hours(MONDAY, (Span(1080, 1140),)),),
    holders=(replace(HOLDER, why="coach"), replace(HOLDER, why="from")),
    more=2,
    moves=(HOLDER,),
    losses=(Loss("U13 Kites", 1, 70, 0),),
    gain=Loss("U12 Owls", 1, 60, 90),
    rules=(RuleSaid("load", days=(MONDAY,), spot_names=("North third",)),),
    names=("grass",),
    person="Sam Reed",
    number=3,
    asked=2,
)
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
"""By code, the kinds that there are."""
CASES = [(code, kind) for code, kinds in KINDS.items() for kind in kinds]
CASES += [(code, "") for code in ("held", "limit", "person", "pinned", "proof", "wish")]


@pytest.mark.parametrize(("code", "kind"), CASES)
def test_whatever_can_be_said_is_said_in_both_languages(code: str, kind: str) -> None:
    """No kind is without words, and none is told in English to a German reader."""
    reason = Reason(code, facts=replace(FULL, kind=kind))
    english = tell_reason(reason)
    with speaking("de"):
        german = tell_reason(reason)
    assert english != german
    assert "by this release" not in english
    assert not re.search(r"\b(the|would|is|are|On)\b", german), german


@pytest.mark.parametrize("code", ["exchange", "held", "wish", "crowded", "rules", "no such code"])
def test_what_cannot_be_told_is_no_error(code: str) -> None:
    """A result of a later release, or one that somebody bent, is told as such."""
    assert tell_reason(Reason(code, facts=Facts(kind="of another time")))
    assert tell_reason(Reason(code, facts=NOTHING_SAID))


def test_words_of_earlier_releases_are_told_as_they_are() -> None:
    """They are in the language in which they were said."""
    with speaking("en"):
        assert tell_reason(Reason("held", "Von U13 Kites belegt.")) == "Von U13 Kites belegt."
        change = Change("shorter", make_ask(), Placement("a", 0, "x", 0, 0, 60), text="Kürzer.")
        assert tell_change(change) == "Kürzer."


def test_a_change_is_told_by_itself_first() -> None:
    """A quarter instead of a third, then where."""
    place = Placement("a", 0, "x", 0, 1080, 1140)
    facts = Facts(spot=SPOT, part=0.25, asked_part=1 / 3, area_m2=1500.0)
    change = Change("smaller", make_ask(), place, facts=facts)
    assert tell_change(change) == (
        "A quarter instead of a third: there is room on Monday 18:00–19:00, North third, with "
        "everyone else where they are."
    )
    sized = Change("smaller", make_ask(), place, facts=replace(facts, part=0.3, asked_part=0.3))
    assert tell_change(sized).startswith("On less ground: ")
    rest = Change("rest", make_ask(), place, facts=Facts(spot=SPOT, number=1, asked=2))
    assert tell_change(rest).startswith("A day of rest between sessions instead of 2 days of rest:")


@pytest.mark.parametrize(
    ("day", "known"),
    [
        (make_days(1, 2)[0], DayName(weekday=0)),
        (replace(make_days(1, 2)[0], name="Montag"), DayName(weekday=0)),
        (replace(make_days(1)[0], name="Cup eve"), DayName("Cup eve")),
    ],
)
def test_a_day_is_told_by_weekday_unless_it_has_a_name_of_its_own(day: Day, known: DayName) -> None:
    """Whoever made the problem spoke one language, whoever reads it another."""
    assert day_name(day) == known
