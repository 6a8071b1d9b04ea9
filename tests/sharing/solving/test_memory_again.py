"""Sharing out again keeps its memory too: its best plan stays, and it is said what ended it."""

from __future__ import annotations

import signal
import threading
from typing import TYPE_CHECKING

import pytest

from clubplanner.language import speaking
from clubplanner.sharing import Effort, Placement, Window
from clubplanner.sharing.again.alteration import Alteration, Closure
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving import process
from clubplanner.sharing.solving.kept import reshared_of_plan
from clubplanner.sharing.solving.process import (
    OutOfMemoryError,
    reshare_here,
    reshare_in_child,
)
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.outcome import CutShort
from tests.sharing.builders import make_ask, make_pitch, make_problem
from tests.sharing.killing import killing_after_a_plan

if TYPE_CHECKING:
    from clubplanner.sharing import Problem

LONG_S = 120.0
CLOSED = Alteration(closures=(Closure("pitch-1/whole", 0, (), 900, 1320, "Mowing"),))


@pytest.fixture(scope="module")
def standing() -> tuple[Problem, tuple[Placement, ...]]:
    """Give a club with a plan that stands."""
    problem = example(20, 3, 3, 1.3)
    return problem, solve(problem, Effort(seconds=4)).placements


def test_in_place_it_ends_with_its_plan(standing: tuple[Problem, tuple[Placement, ...]]) -> None:
    """The process has more than it may from the start: a quick plan, and why it is no better."""
    problem, plan = standing
    effort = Effort(seconds=LONG_S, memory_mb=1)
    done = reshare_here(problem, plan, CLOSED, effort, None, Brake())
    assert done.outcome.cut_short is CutShort.MEMORY
    assert done.outcome.placed > 0
    assert "Allow more memory" in done.sentence
    assert verify(done.problem, done.outcome) == ()
    with speaking("de"):
        assert "Speicher" in done.sentence


def test_a_child_that_is_killed_leaves_the_plan_it_told_of(
    standing: tuple[Problem, tuple[Placement, ...]],
) -> None:
    """Who had to go and who moves besides is told of that plan, and nothing is called proved."""
    problem, plan = standing
    with killing_after_a_plan() as plans:
        done = reshare_in_child(problem, plan, CLOSED, Effort(seconds=LONG_S))
    assert done.outcome.cut_short is CutShort.PROCESS
    assert {(p.ask, p.day, p.start_min) for p in done.outcome.placements} == {
        (p.ask, p.day, p.start_min) for p in plans[-1]
    }
    assert "ended from outside" in done.sentence
    assert "not proved" in done.sentence
    assert verify(done.problem, done.outcome) == ()


def test_a_child_without_memory_is_told_of(
    standing: tuple[Problem, tuple[Placement, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The system gave it no more: its last plan is kept, and without one it is said why."""
    problem, plan = standing
    told: list[tuple[Placement, ...] | None] = [plan, None]

    def die(*_: object) -> None:
        raise process._died(told.pop(0), -signal.SIGABRT, is_full=True)

    monkeypatch.setattr(process, "_in_child", die)
    effort = Effort(seconds=LONG_S)
    done = reshare_in_child(problem, plan, CLOSED, effort)
    assert done.outcome.cut_short is CutShort.MEMORY
    assert 0 < done.outcome.placed < len(plan) + 1
    assert verify(done.problem, done.outcome) == ()
    with pytest.raises(OutOfMemoryError, match="more memory than it may have"):
        reshare_in_child(problem, plan, CLOSED, effort)


def test_a_brake_ends_a_child_early(standing: tuple[Problem, tuple[Placement, ...]]) -> None:
    """Stopped from another thread, it tells what it has, and memory had no part in it."""
    problem, plan = standing
    brake = Brake()
    threading.Timer(0.1, brake.pull).start()
    done = reshare_in_child(problem, plan, CLOSED, Effort(seconds=3_000), brake=brake)
    assert done.outcome.cut_short is CutShort.NO
    assert done.outcome.placed > 0


def test_hit_is_who_cannot_stay_and_disturbed_who_moves_besides() -> None:
    """Of a plan alone: a squad on closed ground is hit, one that made room for it is disturbed."""
    window = (Window(0, 1080, 1140),)
    asks = [make_ask(key, possible=window) for key in "abc"]
    problem = make_problem((*make_pitch("top"), *make_pitch("back"), *make_pitch("low")), *asks)
    where = {"a": "top", "b": "back", "c": "low"}
    plan = [Placement(key, 0, f"{at}-whole-0", 0, 1080, 1140) for key, at in where.items()]
    closed = Alteration(closures=(Closure("top-whole-0", 0, (), 1080, 1140, "Mowing"),))
    fresh = [Placement("a", 0, "back-whole-0", 0, 1080, 1140), plan[2]]
    done = reshared_of_plan(problem, plan, closed, fresh, Effort(seconds=1), CutShort.MEMORY)
    assert done.hit == ("squad a",)
    assert done.disturbed == ("squad b",)
    assert not done.is_fewest
    assert [(move.ask, move.new is None) for move in done.moves] == [("a", False), ("b", True)]
