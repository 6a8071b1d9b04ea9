"""What it costs to insist on a session: who pays, in the plan that changes least."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Placement, Window, check
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.again.what_if import broken_wants, insist, is_asked_time, stakes
from clubplanner.sharing.values.problem import Effort
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem, planned

EVENING = (Window(0, 1080, 1200),)
EARLY = (Window(0, 1080, 1140),)
PROBLEM = make_problem(
    make_pitch(),
    make_ask("a", possible=EARLY),
    make_ask("b", possible=EVENING),
    make_ask("late", possible=EVENING),
    make_ask("never", possible=EVENING),
)
PLAN = (
    Placement("a", 0, "top-whole-0", 0, 1080, 1140),
    Placement("b", 0, "top-whole-0", 0, 1140, 1200),
)


def test_who_loses_is_told_with_what_they_have_before_and_after() -> None:
    """The hour of b, who can be nowhere else: b pays, a is not touched, nobody else is let in."""
    pin = Placement("late", 0, "top-whole-0", 0, 1140, 1200)
    insisted = insist(PROBLEM, PLAN, pin)
    assert insisted.is_everybody
    done = reshare(insisted.problem, PLAN, insisted.alteration, Effort(seconds=2))
    assert all(level.is_proved for level in done.outcome.levels)
    found = stakes(PROBLEM, PLAN, done)
    assert [one.squad for one in found] == ["squad b", "squad late"]
    payer, winner = found
    assert (payer.lost, payer.moved) == ((PLAN[1],), ())
    assert (payer.before, payer.after) == (100, 0)
    assert (winner.before, winner.won) == (0, (pin,))
    assert check(PROBLEM, done.outcome.placements) == ()


def test_whoever_can_go_elsewhere_moves() -> None:
    """With b early, late can have the later hour of b if b goes to the free day."""
    days = make_days(2)
    problem = replace(
        make_problem(make_pitch(), make_ask("b", possible=(*EVENING, Window(1, 1080, 1140))),
                     make_ask("late", possible=EARLY), days=days)
    )  # fmt: skip
    plan = (Placement("b", 0, "top-whole-0", 0, 1080, 1140),)
    pin = Placement("late", 0, "top-whole-0", 0, 1080, 1140)
    insisted = insist(problem, plan, pin)
    done = reshare(insisted.problem, plan, insisted.alteration, Effort(seconds=2))
    (mover,) = [one for one in stakes(problem, plan, done) if one.squad == "squad b"]
    assert mover.lost == ()
    assert len(mover.moved) == 1


def test_in_a_large_club_those_farther_away_stay() -> None:
    """Only so many asks are free; the others are where they were, whatever comes."""
    problem, plan = planned(24, 2, 3, 1.3)
    other = next(item for item in plan if item.session == 0)
    ask = next(one for one in problem.asks if one.key != other.ask)
    pin = replace(other, ask=ask.key, session=0, end_min=other.start_min + ask.minutes)
    insisted = insist(problem, plan, pin, most=6)
    assert not insisted.is_everybody
    free = [one for one in insisted.problem.asks if one.possible]
    assert 1 <= len(free) <= 7
    done = reshare(insisted.problem, plan, insisted.alteration, Effort(seconds=2))
    squads = {one.squad for one in free}
    assert {one.squad for one in stakes(problem, plan, done)} <= squads


def test_what_the_squad_itself_asks_for_is_told_where_it_is_broken() -> None:
    """A pin may break what its squad asks for; the secretary is told of it."""
    ask = make_ask("a", possible=EARLY, least_share=1.0, latest_finish_min=1140)
    problem = make_problem(make_pitch(cuts=("whole", "halves")), ask)
    pin = Placement("a", 0, "top-halves-0", 0, 1170, 1230)
    assert [said.rule for said in broken_wants(problem, pin)] == ["latest finish", "size"]
    assert not is_asked_time(ask, pin)
    good = Placement("a", 0, "top-whole-0", 0, 1080, 1140)
    assert broken_wants(problem, good) == ()
    assert is_asked_time(ask, good)
