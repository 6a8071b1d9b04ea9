"""Stopping a share-out: the best plan so far is kept, and nothing is called proved for it."""

from __future__ import annotations

import threading
import time

import pytest

from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.outcome import Kind
from clubplanner.sharing.values.problem import Effort


def test_a_brake_pulled_before_the_start_still_gives_a_sound_plan() -> None:
    """Whoever stops at once gets the plan made one session at a time."""
    problem = example(12, 2, 1, 1.3)
    brake = Brake()
    brake.pull()
    outcome = solve(problem, Effort(seconds=60), brake=brake)
    assert outcome.placements
    assert check(problem, outcome.placements) == ()
    assert outcome.kind is not Kind.PROVED_BEST
    assert not outcome.is_repeatable


class _SlowToBegin:
    """A solver that hears nothing before it has begun, as real ones do."""

    def __init__(self) -> None:
        self.has_begun = False
        self.is_stopped = threading.Event()

    def stop_search(self) -> None:
        if self.has_begun:
            self.is_stopped.set()


@pytest.mark.parametrize("is_early", [True, False])
def test_a_search_that_had_not_quite_begun_is_stopped_as_well(is_early: bool) -> None:
    """A pull in the moment before a search begins, or just before it is held, is not lost."""
    brake, solver = Brake(), _SlowToBegin()
    if is_early:
        brake.pull()
    with brake.holding(solver):
        brake.pull()
        solver.has_begun = True
        assert solver.is_stopped.wait(120)


def test_a_brake_pulled_in_the_middle_ends_the_search_soon() -> None:
    """A search that would take minutes ends within seconds, with its best plan."""
    problem = example(60, 4, 1, 1.5)
    brake = Brake()
    timer = threading.Timer(1.5, brake.pull)
    timer.start()
    started = time.perf_counter()
    outcome = solve(problem, Effort(seconds=600), brake=brake)
    timer.join()
    assert time.perf_counter() - started < 60
    assert outcome.placed > 0
    assert check(problem, outcome.placements) == ()
