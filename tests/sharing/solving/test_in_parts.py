"""A share-out in parts: sound, honest about what is proved, within its memory, never silent."""

from __future__ import annotations

import os
import signal
import threading
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.spread import Evenings
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.parts.cutting import Cutter
from clubplanner.sharing.parts.looking import look
from clubplanner.sharing.solving import crew, in_parts, process, sizes
from clubplanner.sharing.solving.crew import Crew
from clubplanner.sharing.solving.process import solve_here, solve_in_child
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.outcome import CutShort, Kind, Progress
from clubplanner.sharing.values.problem import Effort, Problem
from clubplanner.sharing.values.wants import Window
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem
from tests.sharing.killing import killing_after_a_plan

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from clubplanner.sharing.checks.checking import Fault
    from clubplanner.sharing.values.outcome import Outcome

LONG_S = 120.0
TOLD_ENOUGH = 20
"""Parts that were worked on before a search may be ended: more than it is cut in at first."""


@pytest.fixture
def parts_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let whatever has more than a hundred places be shared out in parts."""
    monkeypatch.setattr(sizes, "MOST_PLACES", 100)


def two_venues(asks_each: int = 3) -> Problem:
    """Return two venues whose squads have nothing in common, with too little ground for all."""
    grounds = (
        *make_pitch("p", venue="park", cuts=("whole", "halves")),
        *make_pitch("q", venue="quay", cuts=("whole", "thirds")),
    )
    asks = [
        make_ask(f"{venue}-{n}", venues=frozenset({venue}), least_share=share, priority=1 + n % 2)
        for venue, share in (("park", 0.5), ("quay", 0.3))
        for n in range(asks_each)
    ]
    return make_problem(grounds, *asks)


def untrue(problem: Problem, outcome: Outcome) -> list[Fault]:
    """Return what is not true of a result."""
    return list(verify(problem, outcome))


def share_out(problem: Problem, seconds: float = 10.0, **effort: int) -> Outcome:
    """Share out without a start."""
    return solve_here(problem, Effort(seconds=seconds, **effort), None, Brake())


def test_what_falls_apart_is_proved_as_the_whole_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pieces with nothing in common have, put together, the values and bounds of one model."""
    problem = two_venues(7)
    monkeypatch.setattr(sizes, "MOST_PLACES", 10)
    outcome = share_out(problem, LONG_S)
    alone = solve(problem, Effort(seconds=LONG_S))
    assert untrue(problem, outcome) == []
    assert alone.levels[0].is_proved
    for found, true in zip(outcome.levels, alone.levels, strict=True):
        assert found.value == true.value
        assert found.bound == true.bound or not found.is_proved
    assert outcome.levels[0] == alone.levels[0]
    assert outcome.is_repeatable


@pytest.mark.parametrize("evenings", list(Evenings))
def test_pieces_that_share_evenings_prove_nothing_false(
    evenings: Evenings, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Grass and hall of one venue fall apart and yet fill the same evenings."""
    grounds = (
        *make_pitch("p", cuts=("whole", "halves")),
        *make_pitch("h", cuts=("whole",), surface="indoor", is_indoor=True),
    )
    days = (Window(0, 1080, 1200), Window(1, 1080, 1200), Window(2, 1080, 1200))
    asks = [
        make_ask(
            f"{surface}-{n}", surfaces=frozenset({surface}), sessions=2, possible=days, rest_days=0
        )
        for surface in ("grass", "indoor")
        for n in range(2)
    ]
    problem = make_problem(
        grounds, *asks, days=make_days(3), wants_apart=True, evenings=evenings, wants_compact=True
    )
    monkeypatch.setattr(sizes, "MOST_PLACES", 10)
    outcome = share_out(problem, LONG_S)
    alone = solve(problem, Effort(seconds=LONG_S))
    assert untrue(problem, outcome) == []
    assert [level.name for level in outcome.levels] == [level.name for level in alone.levels]
    assert outcome.levels[0] == alone.levels[0]
    for found, true in zip(outcome.levels, alone.levels, strict=True):
        if found.value != true.value:
            break  # later aims are of plans that keep other values
        assert found.bound == true.bound or not found.is_proved


@pytest.mark.usefixtures("parts_only")
def test_a_club_that_is_one_piece_is_split_and_proves_nothing_false(
    monkeypatch: pytest.MonkeyPatch, by_steps: Callable[[float], Effort]
) -> None:
    """Split by venue and bettered across, it is sound and no bound is below a plan that exists.

    It has the time that a busy machine takes, and ends once it has bettered a plan that is good.
    """
    monkeypatch.setattr(in_parts, "places_within", lambda _mb: 500)
    monkeypatch.setattr(in_parts, "quick_places_within", lambda _mb: 500)
    problem = example(20, 5, 4, 1.0)
    alone = solve(problem, by_steps(2))
    enough = 0.6 * alone.levels[0].value
    told: list[Progress] = []
    brake = Brake()

    def hear(progress: Progress) -> None:
        told.append(progress)
        is_good = any(one.level == 1 and (one.value or 0) >= enough for one in told)
        if is_good and len(told) >= TOLD_ENOUGH:
            brake.pull()

    outcome = solve_here(problem, Effort(seconds=600), hear, brake)
    assert untrue(problem, outcome) == []
    assert outcome.levels[0].bound >= alone.levels[0].value
    assert outcome.levels[0].value >= enough
    assert all(0 <= progress.fraction <= 1 for progress in told)


@pytest.mark.usefixtures("parts_only")
def test_it_goes_on_from_a_plan_and_is_no_worse() -> None:
    """What an earlier result reached in placing is kept."""
    problem = example(24, 5, 2, 1.1)
    first = solve(problem, Effort(seconds=2))
    later = solve_here(problem, Effort(seconds=4), None, Brake(), first.placements)
    assert later.levels[0].value >= first.levels[0].value
    assert untrue(problem, later) == []


@pytest.mark.usefixtures("parts_only")
def test_a_pulled_brake_ends_it_with_what_there_is() -> None:
    """Nobody waits for the whole time; a plan that it started from is kept."""
    problem = example(24, 5, 2, 1.1)
    first = solve(problem, Effort(seconds=2))
    brake = Brake()
    brake.pull()
    started = time.process_time()
    outcome = solve_here(problem, Effort(seconds=600), None, brake, first.placements)
    assert time.process_time() - started < LONG_S
    assert outcome.placed == first.placed
    assert untrue(problem, outcome) == []


@pytest.mark.usefixtures("parts_only")
def test_pins_that_contradict_are_told_in_parts_too() -> None:
    """It ends as it does for one model, without a plan."""
    whole = make_pitch()
    asks = [make_ask(f"{n}") for n in range(60)]
    problem = make_problem(whole, *asks)
    plan = solve(problem, Effort(seconds=1)).placements
    pin = plan[0]
    clash = replace(pin, ask="59" if pin.ask != "59" else "58")
    pinned = [
        replace(ask, pinned=(pin,) if ask.key == pin.ask else (clash,))
        if ask.key in (pin.ask, clash.ask)
        else ask
        for ask in asks
    ]
    outcome = share_out(replace(problem, asks=tuple(pinned)))
    assert outcome.kind is Kind.IMPOSSIBLE
    assert outcome.contradictions


def test_a_process_that_needs_more_memory_than_it_may_have_says_so() -> None:
    """The system refuses it, or the watch ends it; either way it is told, and nothing hangs."""
    problem = example(120, 12, 1, 1.0)
    terrain = survey(problem)
    known = look(terrain)
    keys = [ask.key for ask in problem.asks]
    part = Cutter(problem, known.best.tolist()).cut({}, terrain.pitches, keys, is_exact=True)
    hands = Crew(1, 150.0)  # a process without any work has 120 MB
    try:
        hands.give(7, part, Effort(seconds=LONG_S))
        (report,) = wait_for(hands)
        assert report.number == 7
        assert report.is_full or (report.done is None and report.fault)
        assert hands.is_idle
    finally:
        hands.close()


def test_a_process_that_is_killed_is_told_and_replaced() -> None:
    """Its part comes back as not done, and the next one is worked on."""
    problem = two_venues()
    terrain = survey(problem)
    known = look(terrain)
    keys = [ask.key for ask in problem.asks]
    part = Cutter(problem, known.best.tolist()).cut({}, terrain.pitches, keys)
    hands = Crew(1, 1_000.0)
    try:
        hands.give(1, part, Effort(seconds=LONG_S))
        os.kill(hands.pids[0], signal.SIGKILL)
        (report,) = wait_for(hands)
        assert (report.number, report.done, report.is_full) == (1, None, False)
        assert report.fault == "exit code -9"
        hands.give(2, part, Effort(seconds=5))
        (report,) = wait_for(hands)
        assert report.done is not None
        assert len(report.done.placements) > 0
    finally:
        hands.close()


def wait_for(hands: Crew) -> list[crew.Report]:
    """Wait until a process tells something."""
    until = time.monotonic() + LONG_S
    while time.monotonic() < until:
        found = hands.reports(1.0)
        if found:
            return found
    raise TimeoutError("Nothing was told.")


@pytest.mark.usefixtures("parts_only")
def test_parts_whose_processes_are_all_killed_leave_the_best_plan(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It ends with the plan that it had, and says why."""
    problem = example(24, 5, 2, 1.3)
    first = solve(problem, Effort(seconds=2))
    monkeypatch.setattr(crew, "run_hand", _die)
    outcome = solve_here(problem, Effort(seconds=60), None, Brake(), first.placements)
    assert outcome.cut_short is CutShort.PROCESS
    assert outcome.placements == first.placements or outcome.placed == first.placed
    assert "ended from outside" in outcome.sentence
    assert untrue(problem, outcome) == []


def _die(*_: object) -> None:
    raise SystemExit(3)


def test_a_child_that_is_killed_leaves_the_best_plan_it_told_of() -> None:
    """After its first plan the process is killed: the plan is kept, and it is said."""
    problem = example(60, 6, 3, 1.4)
    with killing_after_a_plan() as plans:
        outcome = solve_in_child(problem, Effort(seconds=LONG_S))
    assert outcome.cut_short is CutShort.PROCESS
    assert {(p.ask, p.day, p.start_min) for p in outcome.placements} == {
        (p.ask, p.day, p.start_min) for p in plans[-1]
    }
    assert "ended from outside" in outcome.sentence
    assert untrue(problem, outcome) == []


def test_a_brake_ends_a_child_early_and_keeps_its_plan() -> None:
    """Stopped from another thread, the child tells what it has."""
    problem = example(60, 6, 3, 1.4)
    brake = Brake()
    threading.Timer(0.1, brake.pull).start()
    outcome = solve_in_child(problem, Effort(seconds=3_000), brake=brake)
    assert outcome.seconds < 3_000
    assert outcome.placed > 0
    assert untrue(problem, outcome) == []
    assert outcome.cut_short is CutShort.NO


def test_a_search_in_place_that_passes_its_memory_ends_with_its_plan(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The process has more than it may from the start: a quick plan, and why it is no better."""
    problem = example(30, 4, 3, 1.2)
    monkeypatch.setattr(process, "too_large", lambda *_: None)
    outcome = solve_here(problem, Effort(seconds=LONG_S, memory_mb=1), None, Brake())
    assert outcome.cut_short is CutShort.MEMORY
    assert outcome.placed > 0
    assert "Allow more memory" in outcome.sentence
    assert untrue(problem, outcome) == []


def test_hands_share_what_memory_there_is() -> None:
    """Two processes unless memory is short; together with the caller they keep what is allowed."""
    for memory in (400, 600, 1_000, 2_000, 16_000):
        for workers in (1, 2, 6):
            effort = Effort(memory_mb=memory, workers=workers)
            count = sizes.hands(effort)
            assert 1 <= count <= max(2, workers)
            if memory > 400:
                assert sizes.HERE_MB + count * sizes.hand_mb(effort) <= memory
            assert sizes.places_within(sizes.hand_mb(effort)) <= sizes.MOST_PLACES_A_PART


@pytest.fixture(autouse=True)
def no_child_is_left() -> Iterator[None]:
    """Fail where a process is left behind."""
    import multiprocessing

    yield
    assert multiprocessing.active_children() == []
