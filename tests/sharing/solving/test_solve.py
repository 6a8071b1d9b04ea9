"""How a share-out ends, what a refused session is told, and the checker that trusts nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.sharing import (
    Effort,
    Kind,
    Placement,
    Progress,
    Window,
    check,
)
from clubplanner.sharing.reasons.telling.telling import tell_reason
from clubplanner.sharing.solving.process import ShareOutError, solve_in_child
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values import budget
from tests.sharing.builders import (
    MONDAY,
    make_ask,
    make_club,
    make_days,
    make_pitch,
    make_problem,
)

EFFORT = Effort(seconds=10)
HALVES = make_pitch(cuts=("halves", "thirds"))


def places(*asks: object, **changes: object) -> tuple[Placement, ...]:
    """Solve a problem of halves and thirds and return its plan, checked."""
    problem = make_problem(HALVES, *asks, **changes)  # type: ignore[arg-type]
    outcome = solve(problem, EFFORT)
    assert check(problem, outcome.placements) == ()
    return outcome.placements


def test_a_small_club_is_proved_best() -> None:
    """When every aim is settled the outcome says so, and each level's bound is its value."""
    outcome = solve(make_problem(HALVES, make_ask("a"), make_ask("b")), EFFORT)
    assert outcome.kind is Kind.PROVED_BEST
    assert outcome.placed == outcome.asked == 2
    assert all(level.is_proved and level.value == level.bound for level in outcome.levels)
    assert "All 2 sessions asked for have a place." in outcome.sentence


def test_nothing_that_can_be_placed_is_impossible_with_reasons() -> None:
    """When no session has any place the outcome is impossible, and says why for each ask."""
    outcome = solve(make_problem(HALVES, make_ask("a", surfaces=frozenset({"ice"}))), EFFORT)
    assert outcome.kind is Kind.IMPOSSIBLE
    (refusal,) = outcome.refusals
    assert "ice" in tell_reason(refusal.reasons[0])
    assert refusal.reasons[0].is_proved


def test_pins_that_contradict_are_impossible() -> None:
    """Two sessions pinned on the same ground at the same time cannot both stand."""
    pin = Placement("a", 0, "top-halves-0", 0, 1080, 1140)
    outcome = solve(
        make_problem(
            HALVES,
            make_ask("a", pinned=(pin,)),
            make_ask("b", pinned=(replace(pin, ask="b", ground="top-thirds-0"),)),
        ),
        EFFORT,
    )
    assert outcome.kind is Kind.IMPOSSIBLE
    assert outcome.contradictions


def test_a_pin_is_kept() -> None:
    """What the secretary has put somewhere stays there."""
    pin = Placement("a", 0, "top-thirds-1", 0, 1110, 1170)
    (place,) = places(make_ask("a", pinned=(pin,)))
    assert (place.ground, place.start_min) == ("top-thirds-1", 1110)


@pytest.mark.parametrize("seconds", [0.05, 1.0])
def test_too_little_time_is_never_called_proved(seconds: float) -> None:
    """A large club in a moment: the best found is kept, its gap told or said to be unknown."""
    problem = make_club(60, pitches=3)
    outcome = solve(problem, Effort(seconds=seconds))
    assert outcome.kind in (Kind.OUT_OF_TIME, Kind.GOOD)
    assert check(problem, outcome.placements) == ()
    assert not all(level.is_proved for level in outcome.levels) or len(outcome.levels) < 3


def test_one_worker_repeats_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    """The same problem, seed and effort give the same plan, where steps alone end its parts."""
    monkeypatch.setattr(budget, "SEARCH_PART", 1_000.0)  # however busy the machine is
    problem = make_club(8, pitches=2)
    first, second = (solve(problem, Effort(seconds=8, seed=7)) for _ in range(2))
    assert first.is_repeatable
    assert first.placements == second.placements
    assert first.problem_digest == second.problem_digest


SOUND = make_problem(
    HALVES,
    make_ask("a", needs_goal=True),
    make_ask("b", coach="Kim"),
    make_ask("c", coach="Kim"),
    make_ask("d", sessions=2, possible=(Window(0, 1080, 1200), Window(1, 1080, 1200))),
    days=make_days(2),
)
PLACE = Placement("a", 0, "top-halves-0", 0, 1080, 1140)


@pytest.mark.parametrize(
    "plan",
    [
        (replace(PLACE, ground="top-thirds-1"),),
        (replace(PLACE, start_min=1000, end_min=1060),),
        (replace(PLACE, end_min=1130),),
        (replace(PLACE, day=1),),
        (replace(PLACE, ask="nobody"),),
        (replace(PLACE, ground="nowhere"),),
        (replace(PLACE, session=1),),
        (PLACE, replace(PLACE, ground="top-halves-1")),
        (PLACE, replace(PLACE, ask="b", ground="top-thirds-0")),
        (replace(PLACE, ask="b"), replace(PLACE, ask="c", ground="top-halves-1")),
        (replace(PLACE, ask="d"), replace(PLACE, ask="d", session=1, start_min=1140, end_min=1200)),
        (replace(PLACE, lost_dates=(MONDAY,)),),
    ],
    ids=[
        "no goal",
        "not possible",
        "too short",
        "other day",
        "no such ask",
        "no such ground",
        "session not asked",
        "twice",
        "same ground",
        "same coach",
        "same day",
        "false loss",
    ],
)
def test_the_checker_rejects_each_kind_of_wrong_plan(plan: tuple[Placement, ...]) -> None:
    """Every rule broken by hand is found; the sound plan passes."""
    assert check(SOUND, (PLACE,)) == ()
    assert check(SOUND, plan) != ()


def test_a_refused_session_is_told_who_holds_the_ground_and_what_helps() -> None:
    """Reasons name the holders, and each change offered is free with the others where they are."""
    whole = make_pitch()
    problem = make_problem(
        whole,
        make_ask("a", least_share=1.0),
        make_ask("b", least_share=1.0),
        make_ask("c", least_share=1.0),
    )
    outcome = solve(problem, EFFORT)
    (refusal,) = outcome.refusals
    holders = {place.ask for reason in refusal.reasons for place in reason.holders}
    assert holders == {place.ask for place in outcome.placements}
    for change in refusal.changes:
        changed = replace(
            problem, asks=tuple(change.ask if a.key == change.ask.key else a for a in problem.asks)
        )
        moved = {(m.ask, m.session) for m in change.moves}
        others = [p for p in outcome.placements if (p.ask, p.session) not in moved]
        assert check(changed, [*others, *change.moves, change.placement]) == ()


def test_a_child_process_gives_the_same_plan_and_tells_how_far_it_is() -> None:
    """Solving in a process of its own changes nothing; progress arrives on the way."""
    problem = make_problem(HALVES, make_ask("a"), make_ask("b"))
    seen: list[Progress] = []
    outcome = solve_in_child(problem, EFFORT, seen.append)
    assert outcome.placements == solve(problem, EFFORT).placements
    assert all(0.0 <= p.fraction <= 1.0 for p in seen)


def test_a_child_that_dies_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """When the process ends without an answer an error says so."""
    monkeypatch.setattr("clubplanner.sharing.solving.process.run_child", _die)
    with pytest.raises(ShareOutError):
        solve_in_child(make_problem(HALVES, make_ask("a")), EFFORT)


def _die(*_: object) -> None:
    raise SystemExit(3)
