"""What a rule means, twice: by the book of the optimiser, and by the plain checker."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing import Placement, check
from clubplanner.sharing.checks.places_alone import lost_dates
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.rules.book import bit_of, broken_by_ask, broken_on_ground, look_at
from clubplanner.sharing.rules.times.asked_times import possible_starts
from tests.sharing.builders import make_pitch

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.sharing import Ground, Problem
    from clubplanner.sharing.rules.rule import Rule

Place = tuple[str, int, int]
"""Ground, day and start."""
Plan = frozenset[tuple[str, str, int, int]]
"""For each session its ask, ground, day and start."""

SITE: tuple[Ground, ...] = (
    *make_pitch("lit", venue="park", cuts=("whole", "halves", "thirds"), goals=True),
    *make_pitch("dim", venue="park", cuts=("whole", "quarters"), is_lit=False, goals=False),
    *make_pitch("turf", venue="lane", cuts=("whole", "thirds"), area_m2=3000.0,
                surface="artificial"),
    *make_pitch("barn", venue="lane", area_m2=900.0, surface="indoor", is_lit=False,
                is_indoor=True, goals=False),
)  # fmt: skip
"""Ground of every sort: lit, unlit and indoor, large and small, with and without goals."""


def broken_places(problem: Problem, *rules: Rule) -> set[Place]:
    """List the places at which a problem's one ask breaks rules, by the book."""
    (ask,) = problem.asks
    terrain = survey(problem)
    barred = broken_on_ground(terrain, ask)
    bits = sum(bit_of(rule) for rule in rules)
    found = set()
    for day in problem.days:
        starts = possible_starts(problem, ask, day.index)
        stays, broken = look_at(terrain, ask.minutes, day.index, starts)
        broken = broken | broken_by_ask(terrain, ask, stays) | barred[:, None]
        found |= {
            (ground.key, day.index, int(start))
            for n, ground in enumerate(problem.grounds)
            for m, start in enumerate(starts)
            if broken[n, m] & bits
        }
    return found


def faulty_places(problem: Problem, *codes: str) -> set[Place]:
    """List the places at which the checker finds a fault with one of some codes."""
    return {
        (place.ground, place.day, place.start_min)
        for place in _every_place(problem)
        if {fault.code for fault in check(problem, [place])} & set(codes)
    }


def _every_place(problem: Problem) -> Iterator[Placement]:
    (ask,) = problem.asks
    for day in problem.days:
        for start in range(0, 24 * 60, problem.step_minutes):
            end = start + ask.minutes
            if not any(
                w.day == day.index and w.start_min <= start and end <= w.end_min
                for w in ask.possible
            ):
                continue
            for ground in problem.grounds:
                lost = lost_dates(problem, ground, day, start, end)
                yield Placement(ask.key, 0, ground.key, day.index, start, end, lost)


def plans_of_model(problem: Problem) -> set[Plan]:
    """List every plan that the model of a tiny problem lets pass."""
    terrain = survey(problem)
    rows = list_candidates(terrain, keep_all=True)
    slots = merge(terrain, rows)
    assert len(slots) == len(rows), "equal parts would leave the ground open"
    share = ShareModel(terrain, slots, best_alone(terrain, rows), rows)
    for place in sorted(slots.by_pitch_and_day()):
        share.add_detail(*place)
    collector = _Collector(share.chosen)
    solver = cp_model.CpSolver()
    solver.parameters.enumerate_all_solutions = True
    solver.solve(share.model, collector)
    keys = [
        (p.ask, p.ground, p.day, p.start_min)
        for p in (placement_of(terrain, rows, slots.rows[n][0], 0) for n in range(len(slots)))
    ]
    return {frozenset(keys[n] for n in plan) for plan in collector.plans}


class _Collector(cp_model.CpSolverSolutionCallback):
    def __init__(self, chosen: list[cp_model.IntVar]) -> None:
        super().__init__()
        self._chosen = chosen
        self.plans: set[tuple[int, ...]] = set()

    def on_solution_callback(self) -> None:
        self.plans.add(tuple(n for n, item in enumerate(self._chosen) if self.boolean_value(item)))


def sound_plans(problem: Problem) -> set[Plan]:
    """List every plan of a tiny problem, out of places sound by themselves, that is sound."""
    terrain = survey(problem)
    rows = list_candidates(terrain, keep_all=True)
    pins = [pin for ask in problem.asks for pin in ask.pinned]
    free = [placement_of(terrain, rows, n, 0) for n in range(len(rows)) if rows.session[n] < 0]
    most = sum(ask.sessions for ask in problem.asks) - len(pins)
    found = set()
    for count in range(most + 1):
        for chosen in combinations(free, count):
            plan = _numbered(problem, pins, chosen)
            if plan is not None and not check(problem, plan):
                found.add(frozenset((p.ask, p.ground, p.day, p.start_min) for p in plan))
    return found


def _numbered(
    problem: Problem, pins: list[Placement], chosen: tuple[Placement, ...]
) -> list[Placement] | None:
    plan = list(pins)
    for ask in problem.asks:
        own = [item for item in chosen if item.ask == ask.key]
        taken = {pin.session for pin in ask.pinned}
        numbers = [n for n in range(ask.sessions) if n not in taken]
        if len(own) > len(numbers):
            return None
        plan += [replace(p, session=n) for p, n in zip(own, numbers, strict=False)]
    return plan
