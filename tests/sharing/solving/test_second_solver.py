"""The same values from HiGHS, a second solver, on a model written another way.

Its model is the straightforward one: a variable for each ask, ground and start, and every rule
cell by cell and minute by minute, with nothing merged and nothing left out.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import ortools.linear_solver.pywraplp as pywraplp
import pytest

from clubplanner.sharing import Problem, check
from clubplanner.sharing.example.example import example
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.levels import PLACING

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing import Effort
    from clubplanner.sharing.ground.candidates import Candidates

SESSION, FIRST = 5, 2
"""Points of a session and of a squad's first, times the priority."""


def most_points(problem: Problem) -> int:
    """Place sessions with HiGHS and return the most points that any plan has."""
    terrain = survey(problem)
    rows = list_candidates(terrain, keep_all=True)
    solver = pywraplp.Solver.CreateSolver("HIGHS")
    chosen = [solver.BoolVar("") for _ in range(len(rows))]
    at_most: dict[tuple[object, ...], list[pywraplp.Variable]] = {}
    by_ask: dict[int, list[pywraplp.Variable]] = {}
    by_squad: dict[str, list[pywraplp.Variable]] = {}
    for row, variable in enumerate(chosen):
        number, day = int(rows.ask[row]), int(rows.day[row])
        ask, ground = problem.asks[number], problem.grounds[int(rows.ground[row])]
        by_ask.setdefault(number, []).append(variable)
        by_squad.setdefault(ask.squad, []).append(variable)
        at_most.setdefault(("day", number, day), []).append(variable)
        span = range(int(rows.start[row]), int(rows.end[row]), 15)
        for minute in span:
            at_most.setdefault(("coach", ask.coach, day, minute), []).append(variable)
            for cell in range(24):
                if ground.cells >> cell & 1:
                    key = ("cell", ground.pitch, cell, day, minute)
                    at_most.setdefault(key, []).append(variable)
    for group in at_most.values():
        row = solver.RowConstraint(-solver.infinity(), 1, "")  # quicker than a sum of variables
        for variable in group:
            row.SetCoefficient(variable, 1)
    _add_travel(problem, rows, chosen, solver)
    points = []
    for number, own in by_ask.items():
        solver.Add(sum(own) <= problem.asks[number].sessions)
        points += [SESSION * problem.asks[number].priority * variable for variable in own]
    for squad, own in by_squad.items():
        first = solver.BoolVar("")
        solver.Add(first <= sum(own))
        points.append(FIRST * max(a.priority for a in problem.asks if a.squad == squad) * first)
    solver.Maximize(sum(points))
    assert solver.Solve() == pywraplp.Solver.OPTIMAL
    return round(float(solver.Objective().Value()))


def _add_travel(
    problem: Problem, rows: Candidates, chosen: list[pywraplp.Variable], solver: pywraplp.Solver
) -> None:
    """Keep a coach's sessions at two venues apart, pair by pair."""
    columns = survey(problem)
    people = [ask.coach for ask in problem.asks]
    shared = [n for n, name in enumerate(people) if name is not None and people.count(name) > 1]
    coach = np.array([people.index(people[int(n)]) for n in rows.ask])
    members = np.flatnonzero(np.isin(rows.ask, shared))
    for a in members.tolist():
        near = (
            (coach[members] == coach[a])
            & (rows.day[members] == rows.day[a])
            & (columns.venue[rows.ground[members]] != columns.venue[rows.ground[a]])
            & (rows.start[members] < rows.end[a] + problem.travel_minutes)
            & (rows.end[members] + problem.travel_minutes > rows.start[a])
            & (members > a)
        )
        for b in members[near].tolist():
            solver.Add(chosen[a] + chosen[b] <= 1)


@pytest.mark.parametrize(("squads", "pitches", "pressure", "seed"), [
    (12, 2, 0.8, 1), (12, 2, 1.3, 2), (16, 2, 1.5, 3), (10, 1, 2.0, 4), (24, 3, 0.9, 5),
])  # fmt: skip
def test_a_second_solver_places_exactly_as_much(
    squads: int,
    pitches: int,
    pressure: float,
    seed: int,
    by_steps: Callable[[float], Effort],
) -> None:
    """What is proved best here is the optimum there."""
    problem = example(squads, pitches, seed, pressure)
    outcome = solve(problem, by_steps(2))
    assert check(problem, outcome.placements) == ()
    (level,) = (level for level in outcome.levels if level.name == PLACING)
    assert level.is_proved
    assert level.value == most_points(problem)
