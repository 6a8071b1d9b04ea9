"""Invented problems: sound, repeatable, of any size, and as hard as wished."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.sharing import Effort, digest, validate
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.files.files import read_problem, write_value
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.solving.solve import solve

if TYPE_CHECKING:
    from clubplanner.sharing import Problem


def wanted(problem: Problem) -> float:
    """Add up the ground and hours that are asked for, square metres times minutes."""
    return sum(ask.least_m2 * ask.minutes * ask.sessions for ask in problem.asks)


@given(
    squads=st.integers(1, 60),
    pitches=st.integers(1, 30),
    seed=st.integers(0, 2**32),
    pressure=st.floats(0.1, 10),
)
@settings(max_examples=40, deadline=None)
def test_any_example_is_sound(squads: int, pitches: int, seed: int, pressure: float) -> None:
    """Whatever the numbers, the problem has no faults, not even as a file, and is repeatable."""
    problem = example(squads, pitches, seed, pressure)
    assert validate(problem) == ()
    again, faults = read_problem(write_value(problem).encode())
    assert faults == ()
    assert again == problem == example(squads, pitches, seed, pressure)
    assert len({ask.squad_name for ask in problem.asks}) == squads
    assert len({ground.pitch for ground in problem.grounds}) == pitches


def test_the_largest_example_has_the_variety_of_a_city() -> None:
    """A thousand squads: own names, venues of one to four pitches, halls, lights, all cuts."""
    problem = example(1000, 80, 1)
    assert validate(problem) == ()
    assert len({ask.squad_name for ask in problem.asks}) == 1000
    at_venue: dict[str, set[str]] = {}
    for ground in problem.grounds:
        at_venue.setdefault(ground.venue, set()).add(ground.pitch)
    assert {len(pitches) for pitches in at_venue.values()} == {1, 2, 3, 4}
    assert {ground.cut for ground in problem.grounds} == {
        "whole",
        "halves",
        "thirds",
        "strips",
        "quarters",
    }
    assert {ground.surface for ground in problem.grounds} == {"grass", "artificial", "indoor"}
    assert {ground.is_lit for ground in problem.grounds} == {True, False}
    assert any(rule.from_min < 21 * 60 for rule in problem.lights_out)
    coaches = [ask.coach for ask in problem.asks]
    assert max(coaches.count(coach) for coach in coaches) == 2
    assert problem.standing


def test_parts_of_a_cut_share_no_cell_and_cover_the_pitch() -> None:
    """Each cut divides the pitch, and thirds cross halves."""
    problem = example(4, 12, 3)
    by_cut: dict[tuple[str, str], list[int]] = {}
    for ground in problem.grounds:
        by_cut.setdefault((ground.pitch, ground.cut), []).append(ground.cells)
    for (pitch, _), cells in by_cut.items():
        whole = by_cut[pitch, "whole"][0]
        assert sum(cells) == whole
        assert sum(cell.bit_count() for cell in cells) == whole.bit_count()
    crossing = [
        (third, half)
        for (pitch, cut), thirds in by_cut.items()
        if cut == "thirds"
        for third in thirds
        for half in by_cut.get((pitch, "halves"), [])
        if third & half not in (0, third)
    ]
    assert crossing


def test_more_pressure_means_more_wanted() -> None:
    """The same club wants the more the higher the pressure, and every ask still has a place."""
    problems = [example(40, 4, 1, pressure) for pressure in (0.5, 0.8, 1.0, 1.2, 1.5)]
    amounts = [wanted(problem) for problem in problems]
    assert amounts == sorted(amounts)
    assert amounts[-1] > 1.5 * amounts[0]
    for problem in problems:
        assert set(list_candidates(survey(problem)).ask.tolist()) == set(range(40))


def test_another_process_invents_the_same() -> None:
    """The problem depends on its numbers alone, not on how Python hashes."""
    program = (
        "from clubplanner.sharing import digest;"
        "from clubplanner.sharing.example.example import example;"
        "print(digest(example(25, 6, 7, 1.3)))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program],
        env={"PYTHONHASHSEED": "4711"},
        capture_output=True,
        text=True,
        check=True,
    )
    assert ran.stdout.strip() == digest(example(25, 6, 7, 1.3))


@pytest.mark.parametrize(
    ("squads", "pitches", "pressure"), [(0, 1, 1), (1001, 1, 1), (1, 0, 1), (1, 1, 0), (1, 1, 99)]
)
def test_numbers_out_of_range_are_refused(squads: int, pitches: int, pressure: float) -> None:
    """The message names the number and its range."""
    with pytest.raises(ValueError, match="must be from"):
        example(squads, pitches, 1, pressure)


@pytest.mark.parametrize(("squads", "pitches"), [(1, 1), (9, 2), (60, 6)])
def test_an_example_with_wants_is_sound_and_of_every_sort(squads: int, pitches: int) -> None:
    """Rest, times, limits, wishes, pairs and prices are invented, the same for the same seed."""
    plain = example(squads, pitches, 3)
    problem = with_wants(plain, 3)
    assert problem == with_wants(plain, 3)
    assert validate(problem) == ()
    assert problem.prices
    assert problem.wants_compact
    if squads > 50:
        assert problem.pairs
        assert problem.loads
        assert {ask.rest_days for ask in problem.asks} == {0, 1}
        assert any(ask.wishes for ask in problem.asks)
        assert any(ask.latest_finish_min for ask in problem.asks)
        assert any(ask.earliest_start_min for ask in problem.asks)
        assert any(ask.most_in_a_row for ask in problem.asks)


def test_an_example_with_wants_is_shared_out_truly() -> None:
    """Every rule holds and every value is what the separate code finds."""
    problem = with_wants(example(8, 2, 5), 5)
    outcome = solve(problem, Effort(seconds=6))
    assert outcome.placements
    assert verify(problem, outcome) == ()
