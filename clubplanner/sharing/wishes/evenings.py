"""Evenings of venues: how evenly a plan fills them, how many it opens, and both as terms.

Trainings are counted and not ground: an evening is full of people, cars and coaches; how much
ground they may have, rules say. How much a training counts, `domain.club.spread` says.
"""

from __future__ import annotations

import heapq
from collections import Counter, defaultdict
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.domain.club.spread import evening_weight, fullness
from clubplanner.sharing.ground.terrain import once

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.sharing.ground.candidates import Candidates
    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain

Evening = tuple[int, int]
"""Number of a venue, and index of a day."""


def even_points(terrain: Terrain, slots: Slots, plan: Iterable[int]) -> int:
    """Add up how full chosen slots make the evenings of each venue; the least is the most even."""
    weights, counts = _weights(terrain), _counts(terrain, slots, plan)
    return sum(fullness(count, weights[venue]) for (venue, _), count in counts.items())


def open_evenings(terrain: Terrain, slots: Slots, plan: Iterable[int]) -> int:
    """Count the evenings on which a venue is used by chosen slots."""
    return len(_counts(terrain, slots, plan))


def asks_on_full_evenings(terrain: Terrain, slots: Slots, plan: Sequence[int]) -> list[int]:
    """Return asks with a session on an evening fuller than the emptiest of its venue, each once."""
    counts = _counts(terrain, slots, plan)
    least: dict[int, int] = {}
    for evening in _evenings(terrain, slots):
        count = counts[evening]
        least[evening[0]] = min(count, least.get(evening[0], count))
    found = {
        int(slots.ask[slot])
        for slot in plan
        for venue, day in (_evening(terrain, slots, slot),)
        if counts[venue, day] > least[venue] + 1
    }
    return sorted(found)


def least_even(terrain: Terrain, slots: Slots, sessions: int) -> int:
    """Return what no plan with so many sessions can be under, wherever they are."""
    weights = _weights(terrain)
    free = [(weights[venue], weights[venue]) for venue, _ in _evenings(terrain, slots)]
    heapq.heapify(free)
    total = 0
    for _unused in range(sessions if free else 0):
        points, weight = heapq.heappop(free)
        total += points
        heapq.heappush(free, (points + 2 * weight, weight))
    return total


def add_even(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
    fixed: Candidates | None,
) -> cp_model.LinearExprT:
    """Add `even_points` of chosen slots and fixed places to a model, to be made small.

    An evening's points grow by lines between whole numbers, so the relaxation has them exactly.
    """
    weights, before = _weights(terrain), _fixed_counts(terrain, fixed)
    members = _evenings(terrain, slots)
    terms: list[cp_model.LinearExprT] = [
        fullness(count, weights[evening[0]])
        for evening, count in before.items()
        if evening not in members
    ]
    for evening, own in members.items():
        base, weight = before[evening], weights[evening[0]]
        most = base + len({int(slots.ask[slot]) for slot in own})
        count = model.new_int_var(base, most, "")
        model.add(count == cp_model.LinearExpr.sum([base, *(chosen[slot] for slot in own)]))
        points = model.new_int_var(fullness(base, weight), fullness(most, weight), "")
        for step in range(base, most):
            line = weight * (2 * step + 1)
            model.add(points >= line * count - weight * step * (step + 1))
        terms.append(points)
    return cp_model.LinearExpr.sum(terms)


def add_few(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
    fixed: Candidates | None,
) -> cp_model.LinearExprT:
    """Add `open_evenings` of chosen slots and fixed places to a model, to be made small."""
    before = _fixed_counts(terrain, fixed)
    terms: list[cp_model.LinearExprT] = [len(before)]
    for evening, own in _evenings(terrain, slots).items():
        if evening in before:
            continue
        is_open = model.new_bool_var("")
        by_ask: dict[int, list[cp_model.IntVar]] = defaultdict(list)
        for slot in own:
            by_ask[int(slots.ask[slot])].append(chosen[slot])
        for row in by_ask.values():
            model.add(cp_model.LinearExpr.sum(row) <= is_open)
        terms.append(is_open)
    return cp_model.LinearExpr.sum(terms)


def _evening(terrain: Terrain, slots: Slots, slot: int) -> Evening:
    return int(terrain.venue[slots.grounds[slot][0]]), int(slots.day[slot])


def _evenings(terrain: Terrain, slots: Slots) -> dict[Evening, list[int]]:
    """Gather slots by venue and day."""
    found: dict[Evening, list[int]] = {}
    for slot in range(len(slots)):
        found.setdefault(_evening(terrain, slots, slot), []).append(slot)
    return found


def _counts(terrain: Terrain, slots: Slots, plan: Iterable[int]) -> Counter[Evening]:
    return Counter(_evening(terrain, slots, slot) for slot in plan)


def _fixed_counts(terrain: Terrain, fixed: Candidates | None) -> Counter[Evening]:
    if fixed is None:
        return Counter()
    venues = terrain.venue[fixed.ground].tolist()
    return Counter(zip(venues, fixed.day.tolist(), strict=True))


@once
def _weights(terrain: Terrain) -> list[int]:
    """Return by venue what the first session on an evening counts."""
    pitches: dict[int, set[str]] = defaultdict(set)
    for venue, ground in zip(terrain.venue.tolist(), terrain.problem.grounds, strict=True):
        pitches[venue].add(ground.pitch)
    return [evening_weight(len(pitches[venue])) for venue in range(len(terrain.venues))]
