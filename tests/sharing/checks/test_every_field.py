"""Every field of several results is bent in every way: it is seen, or the check says it is not.

Nothing here knows what a result holds: what is added to it is bent too, and has to be derived again
by the check or be named in `NOT_CHECKED`.
"""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.spread import Evenings
from clubplanner.sharing import Effort, Kind, Outcome, Placement, Problem, Window
from clubplanner.sharing.again.alteration import Alteration, Closure
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.checks.believed import NOT_CHECKED
from clubplanner.sharing.checks.verifying import untruths, verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.files.files import read_outcome, write_value
from clubplanner.sharing.solving.kept import outcome_by_hand, outcome_of_plan
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.outcome import EARLIER_SHAPE, LEFT_FREE, CutShort, Reason
from clubplanner.sharing.values.wants import LoadLimit
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.checks.bending import bend, swap_members, values_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from tests.sharing.checks.bending import Bent

ENTRIES = 2
"""So many entries of each list are bent: the first and the last."""


def _over_asked() -> tuple[Problem, Outcome]:
    problem = example(4, 1, 2, 1.8)
    return problem, solve(problem, Effort(seconds=10))


def _wanting() -> tuple[Problem, Outcome]:
    """Rest days, latest finishes, load limits, wishes, pairs of squads, prices and evenings."""
    wants = with_wants(example(4, 1, 2, 1.8), 3)
    problem = replace(wants, wants_apart=True, evenings=Evenings.EVEN)
    return problem, solve(problem, Effort(seconds=10))


def _busy_coach() -> tuple[Problem, Outcome]:
    """Return one with ground for all, of which one coach cannot take three squads."""
    grounds = (*make_pitch("top"), *make_pitch("back"), *make_pitch("low"))
    asks = [
        make_ask(key, coach=coach, minutes=90)
        for key, coach in zip("abcd", ("Ada", "Ada", "Ada", "Bo"), strict=True)
    ]
    problem = make_problem(grounds, *asks, days=make_days(2))
    return problem, solve(problem, Effort(seconds=10))


def _at_its_limit() -> tuple[Problem, Outcome]:
    """Return one with free ground that may not be used more, and a whole pitch that three hold."""
    grounds = (
        *make_pitch("top", cuts=("halves",)),
        *make_pitch("side", venue="side", cuts=("halves",)),
        *make_pitch("back", venue="quay", cuts=("whole", "thirds")),
    )
    late = (Window(0, 1080, 1140),)
    quay = {"venues": frozenset({"quay"}), "possible": late}
    asks = [
        *(make_ask(key, venues=frozenset({"park"}), least_share=0.5) for key in "ab"),
        *(make_ask(key, venues=frozenset({"side"}), priority=3, minutes=120) for key in "gh"),
        make_ask("i", venues=frozenset({"park", "side"})),
        *(make_ask(key, least_share=0.3, priority=3, **quay) for key in "cde"),
        make_ask("f", least_share=1.0, **quay),
    ]
    problem = make_problem(grounds, *asks, loads=(LoadLimit("top", most_sessions=1),))
    return problem, solve(problem, Effort(seconds=5))


def _strict() -> tuple[Problem, Outcome]:
    """Return one in which rest, a latest finish, an earliest start and a free day are in the way.

    A coach has squads at two venues and a way between them; one session is pinned.
    """
    pitches = [make_pitch(key, venue=key) for key in ("rest", "late", "free", "far")]
    first, both = (Window(0, 1080, 1140),), (Window(0, 1080, 1200), Window(1, 1080, 1200))
    at = {key: {"venues": frozenset({key})} for key in ("rest", "late", "free", "far")}
    pin = Placement("h", 0, "free-whole-0", 1, 1080, 1140)
    asks = [
        make_ask("a", sessions=2, rest_days=1, possible=both, **at["rest"]),
        make_ask("b", priority=3, possible=first, coach="Ada", **at["late"]),
        make_ask("c", latest_finish_min=1140, **at["late"]),
        make_ask("d", no_day_before=frozenset({1}), **at["free"]),
        make_ask("e", coach="Ada", possible=(Window(0, 1080, 1170),), **at["far"]),
        make_ask("g", earliest_start_min=1260, possible=(Window(0, 1170, 1290),), **at["free"]),
        make_ask("h", possible=(), pinned=(pin,)),
        make_ask("i", squad="squad h", squad_name="Squad h", possible=both[1:], **at["free"]),
        make_ask("j", needs_goal=True, least_m2=9e4, possible=(), **at["far"]),
    ]
    grounds = tuple(ground for pitch in pitches for ground in pitch)
    problem = make_problem(grounds, *asks, days=make_days(3), travel_minutes=60)
    return problem, solve(problem, Effort(seconds=5))


def _cut_short() -> tuple[Problem, Outcome]:
    """Return one that left a place free for each of two asks, one of which misses two sessions."""
    window = (Window(0, 1080, 1200), Window(1, 1080, 1140))
    asks = [
        make_ask("a", minutes=60, possible=window[:1]),
        make_ask("b", minutes=60, possible=window[:1]),
        make_ask("c", minutes=60, sessions=2, possible=window),
    ]
    problem = make_problem(make_pitch(cuts=("halves",)), *asks, days=make_days(2))
    plan = [Placement("a", 0, "top-halves-0", 0, 1080, 1140)]
    return problem, outcome_of_plan(problem, Effort(seconds=5), plan, CutShort.MEMORY)


def _of_an_earlier_release() -> tuple[Problem, Outcome]:
    """Return the same as such releases told it: a place left free is not named."""
    problem, outcome = _cut_short()
    refusals = tuple(
        replace(
            refusal,
            reasons=(
                *(one for one in refusal.reasons if one.facts.kind != LEFT_FREE),
                Reason("open"),
            ),
        )
        for refusal in outcome.refusals
    )
    return problem, replace(outcome, refusals=refusals, shape=EARLIER_SHAPE)


def _by_hand() -> tuple[Problem, Outcome]:
    """Return a plan that somebody has made: one session put elsewhere, two asks without a place."""
    problem, before = _at_its_limit()
    first = before.placements[0]
    moved = replace(first, start_min=first.start_min + 30, end_min=first.end_min + 30)
    asks = tuple(
        replace(ask, pinned=(moved,)) if ask.key == first.ask else ask for ask in problem.asks
    )
    plan = [moved, *(one for one in before.placements[1:] if one.ground != first.ground)]
    problem = replace(problem, asks=asks)
    return problem, outcome_by_hand(problem, plan)


def _nowhere() -> tuple[Problem, Outcome]:
    """Return one that is impossible: nothing is large enough."""
    problem = make_problem(make_pitch(), *(make_ask(key, least_m2=9e4) for key in "ab"))
    return problem, solve(problem, Effort(seconds=2))


def _pins() -> tuple[Problem, Outcome]:
    """Return one whose pins contradict: three on one ground, one of them before it opens."""
    pins = [Placement(key, 0, "top-whole-0", 0, 1080, 1140) for key in "abc"]
    pins.append(Placement("d", 0, "top-whole-0", 0, 300, 360))
    problem = make_problem(make_pitch(), *(make_ask(pin.ask, pinned=(pin,)) for pin in pins))
    return problem, solve(problem, Effort(seconds=2))


def _shared_again() -> tuple[Problem, Outcome]:
    """Return a re-share: a pitch is closed for an hour, and somebody goes without."""
    window = (Window(0, 1080, 1200),)
    pitches = (*make_pitch("top"), *make_pitch("back"))
    asks = [make_ask(key, possible=window) for key in "abcd"]
    problem = make_problem(pitches, *asks)
    before = solve(problem, Effort(seconds=5))
    closed = Alteration(closures=(Closure("top-whole-0", 0, (), 1080, 1140, "Mowing"),))
    found = reshare(problem, before.placements, closed, Effort(seconds=5))
    return found.problem, found.outcome


RESULTS: dict[str, Callable[[], tuple[Problem, Outcome]]] = {
    "over-asked": _over_asked,
    "wanting": _wanting,
    "busy coach": _busy_coach,
    "at its limit": _at_its_limit,
    "strict": _strict,
    "cut short": _cut_short,
    "of an earlier release": _of_an_earlier_release,
    "by hand": _by_hand,
    "nowhere": _nowhere,
    "pins": _pins,
    "shared again": _shared_again,
}


@cache
def _result(name: str) -> tuple[Problem, Outcome]:
    return RESULTS[name]()


def _body(name: str) -> object:
    return json.loads(write_value(_result(name)[1]))


def _bends(name: str) -> list[Bent]:
    """Bend a result, with values that others have as well."""
    others = values_of(_body(other) for other in RESULTS)
    others.setdefault("$.kind", []).extend(map(str, Kind))
    return [*bend(_body(name), others, ENTRIES), *swap_members(_body(name), ENTRIES)]


def _is_believed(field: str) -> bool:
    named = [one for what in NOT_CHECKED for one in what.fields]
    return any(field == one or field.startswith((f"{one}.", f"{one}[")) for one in named)


def _is_shorter(found: Outcome, outcome: Outcome) -> bool:
    """Tell whether later aims are missing of a search that did not prove everything, and no more.

    `NOT_CHECKED` says with the bounds that this is believed.
    """
    is_open = outcome.kind not in (Kind.PROVED_BEST, Kind.IMPOSSIBLE)
    return is_open and found == replace(outcome, levels=outcome.levels[: len(found.levels)])


@pytest.mark.parametrize("name", RESULTS)
def test_what_is_bent_is_seen_or_said_not_to_be(name: str) -> None:
    """A bent file is refused, told to be untrue, or bent where the check says that it believes."""
    problem, outcome = _result(name)
    assert verify(problem, outcome) == ()
    passed = []
    bends = _bends(name)
    for bent in bends:
        found, faults = read_outcome(bent.text.encode())
        if faults or found is None or found == outcome:
            continue
        if _is_shorter(found, outcome) or _is_believed(bent.field):
            continue
        if next(untruths(problem, found), None) is None:
            passed.append(f"{bent.place} {bent.how}")
    assert len(bends) > 150
    assert passed == []


def test_every_field_that_is_believed_is_one() -> None:
    """What is named as not checked stands in some result, so that no name is left over."""
    fields = values_of(_body(name) for name in RESULTS).keys()
    named = {one for what in NOT_CHECKED for one in what.fields}
    assert named <= fields
    assert all(what.why.strip() for what in NOT_CHECKED)


def test_these_results_have_all_that_a_result_may_have() -> None:
    """Every member of a result's file is filled somewhere, and every sort of end but one."""
    bodies = [_result(name)[1] for name in RESULTS]
    assert {item.kind for item in bodies} >= {Kind.PROVED_BEST, Kind.IMPOSSIBLE, Kind.BY_HAND}
    codes = {reason.code for item in bodies for r in item.refusals for reason in r.reasons}
    assert codes >= {"exchange", "crowded", "limit", "rules", "held", "person", "proof", "open"}
    reasons = [reason for item in bodies for r in item.refusals for reason in r.reasons]
    assert any(reason.code == "open" and reason.facts.spot for reason in reasons)
    changes = {change.code for item in bodies for r in item.refusals for change in r.changes}
    assert changes >= {"shorter", "later finish", "earlier start", "rest", "free days"}
    assert any(item.traded for item in bodies)
    assert any(item.certificate for item in bodies)
    assert any(item.certificate.person_prices for item in bodies if item.certificate)
