"""Prices between evenings, from linear programs: of parts of sessions, and of known evenings."""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from ortools.linear_solver.python import model_builder

from clubplanner.sharing.ground.cliques import WHOLE, moments
from clubplanner.sharing.search.evening_links import PARTS, Prices

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain
    from clubplanner.sharing.search.evening_links import Links

MOST_SOLVER_STEPS = 5.0
"""Where the simplex would go on for longer (its deterministic time) prices are 0."""

Place = tuple[int, int]
"""Number of a pitch and index of a day."""


def first_prices(links: Links, slots: Slots, terrain: Terrain) -> Prices:
    """Price links by the relaxed problem in which parts of sessions fill the ground."""
    gap = terrain.problem.changeover_minutes
    program = _Program(links, [(slot,) for slot in range(len(slots))], most=1)
    for members in slots.by_pitch_and_day().values():
        times = [(n, int(slots.start[n]), int(slots.end[n]) + gap) for n in members]
        for minute in moments((start, end) for _, start, end in times):
            there = [n for n, start, end in times if start <= minute < end]
            program.hold(there, slots.weight[there].astype(float).tolist(), WHOLE)
    return program.prices()[0]


def prices_of(
    links: Links, found: Sequence[tuple[Place, tuple[int, ...]]], near: Near | None = None
) -> tuple[Prices, float | None]:
    """Price links by the evenings known, of which a plan may have parts.

    Args:
        links: What links evenings.
        found: Evenings, each with its chosen slots.
        near: Where the prices are to be; None for anywhere.

    Returns:
        The prices, and the points that these evenings can come to, at no other prices than such;
        None where that is not known.
    """
    prices, most, _ = parts_of(links, found, 0, near)
    return prices, most


def parts_of(
    links: Links,
    found: Sequence[tuple[Place, tuple[int, ...]]],
    held: int,
    near: Near | None = None,
) -> tuple[Prices, float | None, list[float]]:
    """Price links by the evenings known, the first of which are wholly in the plan.

    Args:
        links: What links evenings.
        found: Evenings, each with its chosen slots; those held before all others, and no other
            evening of their pitches and days.
        held: How many are held.
        near: As for `prices_of`.

    Returns:
        The prices, the points that these evenings can come to, and the part that each has then;
        None and no parts where that is not known.
    """
    program = _Program(
        links,
        [chosen for _, chosen in found],
        most=None if near is None else 1,
        held=held,
        near=near,
    )
    by_place: dict[Place, list[int]] = defaultdict(list)
    for number, (place, _) in enumerate(found):
        by_place[place].append(number)
    for members in by_place.values():
        program.hold(members, [1.0] * len(members), 1)
    prices, most = program.prices()
    return prices, most, [] if most is None else program.parts()


@dataclass(frozen=True, slots=True)
class Near:
    """Prices no further from others than some points, each.

    Attributes:
        prices: The others.
        points: How far.
    """

    prices: Prices
    points: float

    def between(self, price: int) -> tuple[float, float]:
        """Return the least and the greatest price near one, in points."""
        return max(0.0, price / PARTS - self.points), price / PARTS + self.points


class _Program:
    """A linear program over bundles of slots with the links as its rows."""

    def __init__(
        self,
        links: Links,
        bundles: Sequence[tuple[int, ...]],
        most: float | None,
        held: int = 0,
        near: Near | None = None,
    ) -> None:
        self._links = links
        self._model = model_builder.Model()  # type: ignore[no-untyped-call]
        self._solver = model_builder.Solver("GLOP")
        top = float("inf") if most is None else most
        self._parts = [
            self._model.new_num_var(int(number < held), top, "") for number in range(len(bundles))
        ]
        linked: dict[int, Counter[int]] = defaultdict(Counter)
        owned: dict[int, Counter[int]] = defaultdict(Counter)
        points = []
        for number, slots in enumerate(bundles):
            points.append(float(links.points[list(slots)].sum()))
            for slot in slots:
                owned[int(links.squad[slot])][number] += 1
                for link in links.of_slot[slot]:
                    linked[link][number] += 1
        if near is not None:  # links that no evening known is in have a price as well
            linked |= {link: linked[link] for link in range(len(links.most))}
            owned |= {squad: owned[squad] for squad in range(len(links.tops))}
        terms: list[model_builder.LinearExprT] = [
            model_builder.LinearExpr.weighted_sum(self._parts, points)
        ]
        self._rows = {}
        for link, row in linked.items():
            price = None if near is None else near.between(int(near.prices.links[link]))
            bends = self._bends(price, terms)
            held_to = model_builder.LinearExpr.sum([self._sum(row), *bends])
            self._rows[link] = self._model.add_linear_constraint(held_to, ub=links.most[link])
        self._firsts = {}
        for squad, row in owned.items():
            first = self._model.new_num_var(0, 1, "")
            price = None if near is None else near.between(int(near.prices.firsts[squad]))
            bends = self._bends(price, terms)
            more = model_builder.LinearExpr.sum([first, -1 * self._sum(row), *bends])
            self._firsts[squad] = self._model.add_linear_constraint(more, ub=0)
            terms.append(float(links.tops[squad]) * first)
        self._model.maximize(model_builder.LinearExpr.sum(terms))

    def _bends(
        self, between: tuple[float, float] | None, terms: list[model_builder.LinearExprT]
    ) -> list[model_builder.LinearExprT]:
        """Let a row give way at the greatest price it may have, and be tighter for the least."""
        if between is None:
            return []
        least, greatest = between
        more = self._model.new_num_var(0, float("inf"), "")
        less = self._model.new_num_var(0, float("inf"), "")
        terms.append(least * less - greatest * more)
        return [less, -1 * more]

    def hold(self, members: Sequence[int], weights: list[float], most: int) -> None:
        """Add a row over some bundles."""
        if sum(weights) > most:
            terms = [self._parts[n] for n in members]
            total = model_builder.LinearExpr.weighted_sum(terms, weights)
            self._model.add_linear_constraint(total, ub=most)

    def prices(self) -> tuple[Prices, float | None]:
        """Solve it; where that fails links cost nothing."""
        links = np.zeros(len(self._links.most), dtype=np.int64)
        firsts = np.zeros(len(self._links.tops), dtype=np.int64)
        solver = self._solver
        solver.set_solver_specific_parameters(f"max_deterministic_time: {MOST_SOLVER_STEPS}")
        if solver.solve(self._model) != model_builder.SolveStatus.OPTIMAL:
            return Prices(links, firsts), None
        for link, row in self._rows.items():
            links[link] = max(0, round(solver.dual_value(row) * PARTS))
        for squad, row in self._firsts.items():
            firsts[squad] = max(0, round(solver.dual_value(row) * PARTS))
        return Prices(links, firsts), float(solver.objective_value)

    def parts(self) -> list[float]:
        """Return what each bundle has in the solution found."""
        return [float(self._solver.value(part)) for part in self._parts]

    def _sum(self, row: Mapping[int, int]) -> model_builder.LinearExprT:
        total: model_builder.LinearExprT = model_builder.LinearExpr.weighted_sum(
            [self._parts[n] for n in row], list(row.values())
        )
        return total
