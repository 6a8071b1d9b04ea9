"""Who would have to give up a session for a squad that has none, and is told first."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from clubplanner.sharing.checks.serving import serve
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.exchanges import EXCHANGE, cheapest_exchange
from clubplanner.sharing.reasons.held import hold
from clubplanner.sharing.reasons.reasons import explain_ask
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.problem import Ask, Effort, Placement, Problem
from clubplanner.sharing.values.wants import Window
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from clubplanner.sharing.values.outcome import Reason

HOUR = (Window(0, 1080, 1140),)
TWO_DAYS = (Window(0, 1080, 1140), Window(1, 1080, 1140))
WHOLE = "top-whole-0"


def place(ask: str, day: int = 0, ground: str = WHOLE, session: int = 0) -> Placement:
    """Return an hour from 18:00."""
    return Placement(ask, session, ground, day, 1080, 1140)


def told(problem: Problem, plan: tuple[Placement, ...], ask: str = "late") -> Reason | None:
    """Return the exchange that is told of an ask, which stands first if there is one."""
    refusal = explain_ask(problem, plan, ask, is_proved=False)
    assert refusal is not None
    codes = [reason.code for reason in refusal.reasons]
    assert EXCHANGE not in codes[1:]
    return refusal.reasons[0] if codes[0] == EXCHANGE else None


def club(*asks: Ask, days: int = 2) -> Problem:
    """Return a club of one pitch, whole or in halves."""
    pitch = make_pitch(cuts=("whole", "halves"))
    return make_problem(pitch, *asks, days=make_days(days))


def percent(problem: Problem, plan: tuple[Placement, ...], squad: str) -> int:
    """Measure a squad by the checker's own code."""
    return next(one.percent for one in serve(problem, plan) if one.squad == f"squad {squad}")


def test_of_two_the_one_that_keeps_more_is_named() -> None:
    """By hand: Twice has both evenings, Once only one hour on a third: Twice keeps half."""
    once = make_ask("once", possible=(Window(2, 1080, 1140),))
    twice = make_ask("twice", sessions=2, possible=TWO_DAYS)
    late = make_ask("late", possible=(*TWO_DAYS, Window(2, 1080, 1140)), least_share=1.0)
    problem = club(once, twice, late, days=3)
    plan = place("twice", 0), place("twice", 1, session=1), place("once", 2)
    reason = told(problem, plan)
    assert reason is not None
    assert reason.holders == (plan[0],)
    before, after = (percent(problem, had, "twice") for had in (plan, plan[1:]))
    assert before > after > 0
    assert tell_reason(reason) == (
        f"Monday 18:00–19:00, top whole 1, if Squad twice lose one of 2 sessions (they fall from "
        f"{before} to {after} %); nobody else who could make room would be left with more. By the "
        "aims of the share-out that would be no worse; more time may settle it."
    )


def test_what_was_had_in_earlier_stretches_counts() -> None:
    """By hand: alike now, but one of the two was better served before."""
    asks = [
        make_ask("poor", possible=(Window(0, 1080, 1140),), past=-20),
        make_ask("rich", possible=(Window(1, 1080, 1140),), past=20),
        make_ask("late", possible=TWO_DAYS, least_share=1.0),
    ]
    plan = place("poor", 0), place("rich", 1)
    reason = told(club(*asks), plan)
    assert reason is not None
    assert reason.holders == (plan[1],)
    assert "lose their only session" in tell_reason(reason)


def test_where_it_takes_two_both_are_named() -> None:
    """By hand: both halves are held, and the whole pitch is asked for."""
    asks = [make_ask(key, possible=HOUR, least_share=0.5) for key in "ab"]
    late = make_ask("late", possible=HOUR, least_share=1.0)
    plan = place("a", ground="top-halves-0"), place("b", ground="top-halves-1")
    reason = told(club(*asks, late), plan)
    assert reason is not None
    assert reason.holders == plan
    assert "each lose a session; one of them alone makes no room" in tell_reason(reason)
    assert tell_reason(reason).endswith("That would be one session fewer in all.")


def test_a_pinned_session_is_not_given_away() -> None:
    """What the secretary has put somewhere is not up for exchange."""
    pin = place("a")
    asks = make_ask("a", possible=HOUR, pinned=(pin,)), make_ask("late", possible=HOUR)
    assert told(club(*asks), (pin,)) is None


def test_a_squad_does_not_exchange_with_itself() -> None:
    """Two asks of one squad: the one does not make room for the other."""
    asks = [make_ask(key, squad="same", possible=HOUR, least_share=1.0) for key in ("a", "late")]
    assert told(club(*asks), (place("a"),)) is None


def test_nothing_is_said_of_an_ask_that_has_no_place_at_all() -> None:
    """No session's end would make ground that is large enough."""
    late = make_ask("late", possible=HOUR, least_m2=90_000.0)
    problem = club(make_ask("a", possible=HOUR), late)
    assert told(problem, (place("a"),)) is None
    held = hold(survey(problem), (place("a"),))
    assert cheapest_exchange(held, 1) is None


def test_an_exchange_that_makes_no_room_is_seen() -> None:
    """The checker lists the places once more with the named session gone."""
    asks = [
        make_ask("a", possible=HOUR, least_share=1.0),
        make_ask("b", possible=HOUR, least_share=1.0),
        make_ask("c", possible=(Window(1, 1080, 1140),)),
    ]
    problem = club(*asks)
    outcome = solve(problem, Effort(seconds=2))
    (refusal,) = outcome.refusals
    first = refusal.reasons[0]
    assert first.code == EXCHANGE
    assert verify(problem, outcome) == ()
    other = tuple(item for item in outcome.placements if item.ask == "c")
    for holders in (other, (), (*first.holders, *other, *other)):
        bent = replace(refusal, reasons=(replace(first, holders=holders), *refusal.reasons[1:]))
        assert verify(problem, replace(outcome, refusals=(bent,)))
