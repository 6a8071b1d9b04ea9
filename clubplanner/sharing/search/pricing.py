"""Prices of moments that prove how much can be placed, from a linear program.

Any prices that are not negative prove something; those of the relaxed problem prove most. So the
solver need not be believed, and what is rounded is only worth a little less: `certified` adds up
what the prices come to.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, TypeVar

from ortools.linear_solver.python import model_builder

from clubplanner.sharing.checks.certified import most_at_prices
from clubplanner.sharing.ground.cliques import moments
from clubplanner.sharing.values.certificate import Certificate, GroundPrice, PersonPrice
from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.values.problem import Problem

_Named = TypeVar("_Named", GroundPrice, PersonPrice)

PARTS = 1_000
"""Into how many parts a point is divided."""
ROWS_A_SECOND = 4_000
"""So many candidates are priced and checked in a second, on a slow machine."""
MOST_SOLVER_STEPS = 20.0
"""Where the simplex would go on for longer (its deterministic time), there is no certificate."""


@dataclass(frozen=True, slots=True)
class _Place:
    """A place that an ask could have: where, and which cells it takes."""

    ask: int
    day: int
    start: int
    end: int
    pitch: str
    cells: int


def certify(terrain: Terrain, candidates: Candidates, seconds: float) -> Certificate | None:
    """Find prices that prove how many points in placing sessions no plan passes.

    Args:
        terrain: The problem's columns.
        candidates: Every candidate of the problem.
        seconds: About how much time there is.

    Returns:
        The prices; None where there is no time to find and check them.
    """
    if len(candidates) > ROWS_A_SECOND * seconds:
        return None
    problem = terrain.problem
    places = _places(terrain, candidates)
    program = _Program(problem, places)
    ground = program.price_ground()
    people = program.price_people()
    if not program.solve():
        return None
    found = Certificate(
        parts=PARTS,
        ground_prices=tuple(replace(at, price=price) for at, price in program.prices(ground)),
        person_prices=tuple(replace(of, price=price) for of, price in program.prices(people)),
        most=0,
    )
    return replace(found, most=most_at_prices(problem, found))


def _places(terrain: Terrain, candidates: Candidates) -> list[_Place]:
    """List candidates by their cells; where one lies within another, the larger gains nothing."""
    masks: dict[tuple[int, int, int, str], dict[int, int]] = defaultdict(dict)
    grounds = terrain.problem.grounds
    for row in range(len(candidates)):
        ground = grounds[int(candidates.ground[row])]
        key = int(candidates.ask[row]), int(candidates.day[row]), int(candidates.start[row])
        masks[*key, ground.pitch][ground.cells] = int(candidates.end[row])
    return [
        _Place(ask, day, start, end, pitch, cells)
        for (ask, day, start, pitch), found in masks.items()
        for cells, end in found.items()
        if not any(cells != other and cells & other == other for other in found)
    ]


class _Program:
    """The relaxed problem: parts of sessions are allowed, rules between sessions are its rows."""

    def __init__(self, problem: Problem, places: Sequence[_Place]) -> None:
        self._problem = problem
        self._places = places
        self._model = model_builder.Model()  # type: ignore[no-untyped-call]
        self._parts = [self._model.new_num_var(0, 1, "") for _ in places]
        self._solver = model_builder.Solver("GLOP")
        self._add_asks()

    def _add_asks(self) -> None:
        asks = self._problem.asks
        by_day: dict[tuple[int, int], list[int]] = defaultdict(list)
        by_ask: dict[int, list[int]] = defaultdict(list)
        by_squad: dict[str, list[int]] = defaultdict(list)
        for n, place in enumerate(self._places):
            by_day[place.ask, place.day].append(n)
            by_ask[place.ask].append(n)
            by_squad[asks[place.ask].squad].append(n)
        for members in by_day.values():
            self._add(members, 1)
        for ask, members in by_ask.items():
            self._add(members, asks[ask].sessions)
        weights = [SESSION_POINTS * asks[place.ask].priority for place in self._places]
        terms = [weight * part for weight, part in zip(weights, self._parts, strict=True)]
        for squad, members in by_squad.items():
            first = self._model.new_num_var(0, 1, "")
            self._model.add(first <= self._sum(members))
            top = max(ask.priority for ask in asks if ask.squad == squad)
            terms.append(FIRST_POINTS * top * first)
        self._model.maximize(model_builder.LinearExpr.sum(terms))

    def price_ground(self) -> list[tuple[GroundPrice, model_builder.LinearConstraint]]:
        """Write a row for each cell and moment that several asks want."""
        by_cell: dict[tuple[str, int, int], list[int]] = defaultdict(list)
        for n, place in enumerate(self._places):
            for cell in _cells(place.cells):
                by_cell[place.pitch, cell, place.day].append(n)
        gap = self._problem.changeover_minutes
        written: set[tuple[int, ...]] = set()
        rows = []
        for (pitch, cell, day), members in by_cell.items():
            for minute, there in self._at_once(members, gap):
                if tuple(there) not in written:  # cells that go together have one row
                    written.add(tuple(there))
                    rows.append((GroundPrice(pitch, cell, day, minute, 0), self._add(there, 1)))
        return rows

    def price_people(self) -> list[tuple[PersonPrice, model_builder.LinearConstraint]]:
        """Write a row for each moment at which several asks want a squad or a coach."""
        by_person: dict[tuple[str | None, str | None, int], list[int]] = defaultdict(list)
        for n, place in enumerate(self._places):
            ask = self._problem.asks[place.ask]
            by_person[ask.squad, None, place.day].append(n)
            if ask.coach is not None:
                by_person[None, ask.coach, place.day].append(n)
        return [
            (PersonPrice(squad, coach, day, minute, 0), self._add(there, 1))
            for (squad, coach, day), members in by_person.items()
            for minute, there in self._at_once(members, 0)
        ]

    def solve(self) -> bool:
        """Solve the program; tell whether there are prices."""
        limit = f"max_deterministic_time: {MOST_SOLVER_STEPS}"
        self._solver.set_solver_specific_parameters(limit)
        return self._solver.solve(self._model) == model_builder.SolveStatus.OPTIMAL

    def prices(
        self, rows: Iterable[tuple[_Named, model_builder.LinearConstraint]]
    ) -> Iterator[tuple[_Named, int]]:
        """Return what rows are worth, in parts of a point; only those that are worth something."""
        for named, row in rows:
            price = round(self._solver.dual_value(row) * PARTS)
            if price > 0:
                yield named, price

    def _at_once(self, members: Sequence[int], gap: int) -> Iterator[tuple[int, list[int]]]:
        """List the moments that matter, with who is there; not where all are of one ask."""
        places = self._places
        for minute in moments((places[n].start, places[n].end + gap) for n in members):
            there = [n for n in members if places[n].start <= minute < places[n].end + gap]
            if len({places[n].ask for n in there}) > 1:
                yield minute, there

    def _add(self, members: Sequence[int], most: int) -> model_builder.LinearConstraint:
        return self._model.add_linear_constraint(self._sum(members), ub=most)

    def _sum(self, members: Sequence[int]) -> model_builder.LinearExprT:
        total: model_builder.LinearExprT = model_builder.LinearExpr.sum(
            [self._parts[n] for n in members]
        )
        return total


def _cells(mask: int) -> Iterator[int]:
    while mask:
        cell = mask & -mask
        mask ^= cell
        yield cell
