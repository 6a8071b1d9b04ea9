"""Every field of a result is bent in turn: the checker sees it, or lists it as not checked."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.sharing import (
    Change,
    Effort,
    Kind,
    Level,
    Outcome,
    Placement,
    Reason,
    Refusal,
)
from clubplanner.sharing.checks.believed import NOT_CHECKED
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.certificate import Certificate, GroundPrice, PersonPrice
from clubplanner.sharing.values.facts import NOTHING_SAID, Facts
from clubplanner.sharing.values.outcome import EARLIER_SHAPE, CutShort, Satisfaction, Traded
from tests.sharing.builders import make_ask, make_pitch, make_problem

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing import Problem

    Bend = Callable[[Outcome], Outcome]


@pytest.fixture(scope="module")
def club() -> Problem:
    """Return a club that wants more than there is room for."""
    return example(12, 1, 2, 1.5)


@pytest.fixture(scope="module")
def result(club: Problem) -> Outcome:
    """Return its true result."""
    return solve(club, Effort(seconds=8))


def _one(group: str, /, **bent: Any) -> Bend:
    """Bend fields of the first entry of a list of the result."""

    def bend(outcome: Outcome) -> Outcome:
        first, *rest = getattr(outcome, group)
        fresh: dict[str, Any] = {group: (replace(first, **_made(first, bent)), *rest)}
        return replace(outcome, **fresh)

    return bend


def _made(value: Any, bent: dict[str, Any]) -> dict[str, Any]:
    return {
        key: item(getattr(value, key)) if callable(item) else item for key, item in bent.items()
    }


def _all(**bent: Any) -> Bend:
    """Bend fields of the result itself."""
    return lambda outcome: replace(outcome, **_made(outcome, bent))


def _refused(**bent: Any) -> Bend:
    """Bend fields of the first refusal that a change helps."""

    def bend(outcome: Outcome) -> Outcome:
        item = next(r for r in outcome.refusals if any(not c.moves for c in r.changes))
        fresh = replace(item, **_made(item, bent))
        return replace(outcome, refusals=tuple(fresh if r is item else r for r in outcome.refusals))

    return bend


def _reason(known_code: str, /, **bent: Any) -> Bend:
    """Bend fields of the first reason of a code."""

    def bend(outcome: Outcome) -> Outcome:
        item = next(r for r in outcome.refusals if any(x.code == known_code for x in r.reasons))
        told = next(x for x in item.reasons if x.code == known_code)
        fresh = replace(told, **_made(told, bent))
        reasons = tuple(fresh if x is told else x for x in item.reasons)
        return replace(
            outcome,
            refusals=tuple(
                replace(r, reasons=reasons) if r is item else r for r in outcome.refusals
            ),
        )

    return bend


def _first_holder(**bent: Any) -> Callable[[Facts], Facts]:
    return lambda facts: replace(
        facts, holders=(replace(facts.holders[0], **bent), *facts.holders[1:])
    )


def _first_loss(**bent: Any) -> Callable[[Facts], Facts]:
    return lambda facts: replace(
        facts, losses=(replace(facts.losses[0], **bent), *facts.losses[1:])
    )


def _change(**bent: Any) -> Bend:
    """Bend fields of a change for which nobody moves."""

    def changes(known: tuple[Change, ...]) -> tuple[Change, ...]:
        item = next(c for c in known if not c.moves)
        fresh = replace(item, **_made(item, bent))
        return tuple(fresh if c is item else c for c in known)

    return _refused(changes=changes)


def _with_ask(**bent: Any) -> Bend:
    return _change(ask=lambda ask: replace(ask, **_made(ask, bent)))


def _moved(**bent: Any) -> Bend:
    return _change(placement=lambda place: replace(place, **_made(place, bent)))


def _certified(**bent: Any) -> Bend:
    """Bend the certificate that comes with the result."""

    def bend(outcome: Outcome) -> Outcome:
        known = outcome.certificate
        assert known is not None
        return replace(outcome, certificate=replace(known, **_made(known, bent)))

    return bend


def _priced(**bent: Any) -> Bend:
    """Bend all prices of ground."""
    return _certified(
        ground_prices=lambda known: tuple(replace(at, **_made(at, bent)) for at in known)
    )


def _reasoned(*reasons: Reason) -> Bend:
    return _refused(reasons=lambda known: (*known, *reasons))


PIN = Reason("pinned", "Two are pinned to the same ground.", is_proved=True)
NOWHERE = Placement("nobody", 0, "nowhere", 0, 1080, 1140)
LATER = Level("being merry", 1, 1, is_proved=True, gap=0.0)
STRANGER = Satisfaction("strangers", "Strangers", 0, 0, 0)


def _impossible(outcome: Outcome) -> Outcome:
    return replace(outcome, kind=Kind.IMPOSSIBLE, placements=(), levels=(), refusals=())


def _other_kind(kind: Kind) -> Kind:
    return next(other for other in Kind if other not in (kind, Kind.IMPOSSIBLE))


BENT: dict[str, Bend] = {
    "traded": _all(traded=(Traded("granting wishes", 1, 2),)),
    "kind impossible": _all(kind=Kind.IMPOSSIBLE),
    "kind another": _all(kind=_other_kind),
    "kind out of time": _all(kind=Kind.OUT_OF_TIME),
    "asked": _all(asked=lambda n: n - 1),
    "seconds below nothing": _all(seconds=-1.0),
    "digest": _all(problem_digest="0" * 16),
    "contradictions beside a plan": _all(contradictions=(PIN,)),
    "contradictions and impossible": lambda o: replace(_impossible(o), contradictions=(PIN,)),
    "contradictions of a session": lambda o: replace(
        _impossible(o), contradictions=(replace(PIN, holders=o.placements[:1]),)
    ),
    "impossible without a plan": _impossible,
    "placements fewer": _all(placements=lambda known: known[1:]),
    "placements twice": _all(placements=lambda known: (*known, known[0])),
    "placement ask": _one("placements", ask="nobody"),
    "placement session": _one("placements", session=99),
    "placement ground": _one("placements", ground="nowhere"),
    "placement day": _one("placements", day=999),
    "placement start": _one("placements", start_min=lambda n: n + 1),
    "placement end": _one("placements", end_min=lambda n: n + 1),
    "placement lost dates": _one("placements", lost_dates=(date(1, 1, 1),)),
    "level name": _one("levels", name="being merry"),
    "level value": _one("levels", value=lambda n: n - 1),
    "level proof": _one("levels", is_proved=lambda is_proved: not is_proved),
    "level gap": _one("levels", gap=lambda gap: gap + 0.1),
    "level bound passed": _one("levels", bound=0),
    "levels turned round": _all(levels=lambda known: known[::-1]),
    "levels none": _all(levels=()),
    "levels made up": _all(levels=lambda known: (*known, LATER)),
    "levels made up after the first": _all(levels=lambda known: (known[0], LATER)),
    "refusals fewer": _all(refusals=lambda known: known[1:]),
    "refusals twice": _all(refusals=lambda known: (*known, known[0])),
    "refusals turned round": _all(refusals=lambda known: known[::-1]),
    "refusal ask": _refused(ask="nobody"),
    "refusal squad name": _refused(squad_name="Strangers"),
    "refusal missing": _refused(missing=lambda n: n + 1),
    "refusal without reasons": _refused(reasons=()),
    "reason code": _reason("held", code="weather"),
    "reason text": _reason("held", text=" "),
    "reason proved": _reason("held", is_proved=True),
    "reason names nobody": _reason("held", holders=()),
    "reason names no session": _reason("held", holders=(NOWHERE,)),
    "reason moves a session": _reason(
        "held", holders=lambda known: (replace(known[0], start_min=1), *known[1:])
    ),
    "reason dropped": _refused(reasons=lambda known: known[:1]),
    "reason twice": _refused(reasons=lambda known: (*known, known[-1])),
    "reason of another": _reason("held", code="person"),
    "reason is a wish": _reasoned(Reason("wish", "It rains.", is_proved=False)),
    "reason is a pin": _reasoned(PIN),
    "reason is a proof": _reasoned(Reason("proof", "It is proved.", is_proved=False)),
    "reason is a rule that keeps all out": lambda o: _without_sessions(o),
    "reason is a rule that keeps all out, in words": lambda o: _without_sessions(o, "So it is."),
    "reason is a rule with holders": lambda o: _reasoned(
        Reason("rules", "So it is.", is_proved=False, holders=o.placements[:1])
    )(o),
    "change code": _change(code="miracle"),
    "change of another sort": _change(code="without light"),
    "change that moves others": _change(code="others move"),
    "reason says nothing": _reason("held", facts=NOTHING_SAID),
    "reason tells of another": _reason("held", facts=_first_holder(squad_name="Strangers")),
    "reason counts more": _reason("held", facts=lambda facts: replace(facts, more=facts.more + 1)),
    "exchange falls further": _reason("exchange", facts=_first_loss(after=-1)),
    "exchange has more": _reason("exchange", facts=_first_loss(has=99)),
    "exchange of others": _reason("exchange", facts=_first_loss(squad_name="Strangers")),
    "exchange for another": _reason("exchange", facts=lambda facts: replace(facts, gain=None)),
    "exchange of no kind": _reason("exchange", facts=lambda facts: replace(facts, kind="odd")),
    "exchange for another why": _reason(
        "exchange",
        facts=lambda facts: replace(facts, kind="even" if facts.kind != "even" else "better"),
    ),
    "exchange elsewhere": _reason(
        "exchange", facts=lambda facts: replace(facts, spot=replace(facts.spot, start_min=1))
    ),
    "change says nothing": _change(facts=NOTHING_SAID),
    "change tells of another place": _change(
        facts=lambda facts: replace(facts, spot=replace(facts.spot, start_min=1))
    ),
    "change text": _change(text=" "),
    "change moves": lambda o: _change(moves=o.placements[:1])(o),
    "change moves strangers": _change(moves=(NOWHERE,)),
    "change ask key": _with_ask(key="nobody"),
    "change ask squad": _with_ask(squad="strangers"),
    "change ask sessions": _with_ask(sessions=lambda n: n + 1),
    "change ask priority": _with_ask(priority=lambda n: n + 1),
    "change ask coach": _with_ask(coach="somebody else"),
    "change ask as it was": lambda o: _change(
        ask=lambda ask: next(a for a in example(12, 1, 2, 1.5).asks if a.key == ask.key)
    )(o),
    "change placement ask": _moved(ask="nobody"),
    "change placement ground": _moved(ground="nowhere"),
    "change placement day": _moved(day=999),
    "change placement start": _moved(start_min=0),
    "change placement end": _moved(end_min=lambda n: n + 7),
    "change placement lost dates": _moved(lost_dates=(date(1, 1, 1),)),
    "certificate most": _certified(most=lambda n: n - 1),
    "certificate most more": _certified(most=lambda n: n + 1),
    "certificate of many cells at one price": _priced(cells=(1 << 12) - 1),
    "certificate of two at one price": _certified(
        person_prices=lambda known: (*known, PersonPrice("squad", "coach", 0, 0, 0))
    ),
    "certificate parts": _certified(parts=lambda n: 2 * n),
    "certificate of no parts": _certified(parts=0),
    "certificate without prices": _certified(ground_prices=(), person_prices=()),
    "certificate below nothing": _certified(
        person_prices=lambda known: (*known, PersonPrice("strangers", None, 0, 0, -1))
    ),
    "certificate price": _priced(price=lambda n: n // 2),
    "certificate pitch": _priced(pitch="nowhere"),
    "certificate cells": _priced(cells=1 << 62),
    "certificate day": _priced(day=999),
    "certificate minute": _priced(minute=0),
    "certificate of another plan": lambda o: replace(
        o, certificate=Certificate(1, (), (), 0), placements=o.placements
    ),
    "satisfactions fewer": _all(satisfactions=lambda known: known[1:]),
    "satisfactions more": _all(satisfactions=lambda known: (*known, STRANGER)),
    "satisfactions twice": _all(satisfactions=lambda known: (*known, known[0])),
    "satisfaction squad": _one("satisfactions", squad="strangers"),
    "satisfaction name": _one("satisfactions", squad_name="Strangers"),
    "satisfaction score": _one("satisfactions", score=lambda n: n + 1),
    "satisfaction best alone": _one("satisfactions", best_alone=lambda n: n + 1),
    "satisfaction percent": _one("satisfactions", percent=lambda n: n + 1),
    "satisfaction past": _one("satisfactions", past=lambda n: n + 1),
}
"""Ways to bend a result, each of which must be seen."""

BELIEVED: dict[str, tuple[Bend, str]] = {
    "seconds": (_all(seconds=1234.0), "seconds"),
    "repeatable": (_all(is_repeatable=lambda is_so: not is_so), "seconds"),
    "reason text": (
        _reason("held", text="The sun stands too high.", facts=NOTHING_SAID),
        "texts",
    ),
    "change text": (_change(text="Paint the goals.", facts=NOTHING_SAID), "texts"),
    "cut short": (_all(cut_short=CutShort.MEMORY), "ended the search early"),
    "shape": (_all(shape=EARLIER_SHAPE), "which release told it"),
    "exchange dropped": (_refused(reasons=lambda known: known[1:]), "no exchange"),
}
"""Ways to bend it that are not seen, and the word by which the list of those says so."""


def _without_sessions(outcome: Outcome, text: str = "") -> Outcome:
    """Say of an ask that has no session but could have one that rules leave it no place."""
    placed = {item.ask for item in outcome.placements}
    item = next(
        r
        for r in outcome.refusals
        if r.ask not in placed and any(x.code == "held" for x in r.reasons)
    )
    reasons = (Reason("rules", is_proved=True, facts=Facts(kind="no ground")),)
    if text:
        reasons = (Reason("rules", text, is_proved=True),)
    return replace(
        outcome,
        refusals=tuple(replace(r, reasons=reasons) if r is item else r for r in outcome.refusals),
    )


def test_the_result_is_true_before_it_is_bent(club: Problem, result: Outcome) -> None:
    """What is bent below is a true result, with refusals that a change helps."""
    assert verify(club, result) == ()
    assert len(BENT) >= 55


@pytest.mark.parametrize("name", BENT)
def test_a_bent_result_is_seen(club: Problem, result: Outcome, name: str) -> None:
    """A result that is bent in one place is no longer true."""
    bent = BENT[name](result)
    assert bent != result
    assert verify(club, bent)


@pytest.mark.parametrize("name", BELIEVED)
def test_what_is_believed_is_listed(club: Problem, result: Outcome, name: str) -> None:
    """What the checker cannot derive again is told as not checked."""
    bend, word = BELIEVED[name]
    bent = bend(result)
    assert bent != result
    assert verify(club, bent) == ()
    assert any(word in what.why for what in NOT_CHECKED)


def _differing(one: Any, other: Any) -> set[tuple[type[Any], str]]:
    """List the fields in which two values, or parts of them, differ."""
    found: set[tuple[type[Any], str]] = set()
    if isinstance(one, tuple) and isinstance(other, tuple):
        for part, twin in zip(one, other, strict=False):
            found |= _differing(part, twin)
    elif is_dataclass(one) and type(one) is type(other):
        for field in fields(one):
            mine, theirs = getattr(one, field.name), getattr(other, field.name)
            if mine != theirs:
                found |= {(type(one), field.name)} | _differing(mine, theirs)
    return found


def test_no_field_is_forgotten(result: Outcome) -> None:
    """Every field of a result and of its parts is bent by some line above."""
    bends = [*BENT.values(), *(bend for bend, _word in BELIEVED.values())]
    bent = set().union(*(_differing(result, bend(result)) for bend in bends))
    told = (Outcome, Placement, Level, Refusal, Reason, Change, Satisfaction)
    kinds: tuple[type[Any], ...] = (*told, Certificate, GroundPrice)
    assert {(kind, field.name) for kind in kinds for field in fields(kind)} <= bent


def test_pins_that_contradict_are_derived_again() -> None:
    """Two pins on one ground are a contradiction; one that is not there is none."""
    pitch = make_pitch()
    pins = tuple(Placement(key, 0, "top-whole-0", 0, 1080, 1140) for key in "ab")
    asks = [make_ask(pin.ask, pinned=(pin,)) for pin in pins]
    problem = make_problem(pitch, *asks)
    outcome = solve(problem, Effort(seconds=1))
    assert outcome.contradictions
    assert verify(problem, outcome) == ()
    alone = replace(outcome.contradictions[0], holders=pins[:1])
    assert verify(problem, replace(outcome, contradictions=(alone,)))
