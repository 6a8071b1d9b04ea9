"""What a plan costs and how much dead time it leaves, and both as terms of the model."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from ortools.sat.python import cp_model

from clubplanner.sharing.model.rates import Rates
from clubplanner.sharing.values.problem import merge_ranges

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain


Lamps = list[tuple[int, int, int]]
"""From which minute up to which floodlights cost something, and coins a minute."""


class Costs:
    """Prices by ground, venue and day, looked up once."""

    def __init__(self, terrain: Terrain, slots: Slots) -> None:
        problem = terrain.problem
        rates = Rates(problem)
        self._slots = slots
        self.hire: list[int] = []
        self.venue: list[int] = []
        self._openings: dict[tuple[int, int], int] = {}
        self._lamps: dict[tuple[int, int], Lamps] = {}
        for n, start in enumerate(slots.start.tolist()):
            number = slots.grounds[n][0]
            ground, day = problem.grounds[number], int(slots.day[n])
            venue, pitch = int(terrain.venue[number]), int(slots.pitch[n])
            self.hire.append(rates.hire(ground, day, int(start), int(slots.end[n])))
            self.venue.append(venue)
            if (venue, day) not in self._openings:
                self._openings[venue, day] = rates.opening(ground.venue, day)
            if rates.has_floodlights and (pitch, day) not in self._lamps:
                self._lamps[pitch, day] = rates.floodlights(ground, day)

    def of_plan(self, plan: Sequence[int]) -> int:
        """Add up hire, openings and floodlights of chosen slots."""
        opened = {(self.venue[slot], int(self._slots.day[slot])) for slot in plan}
        hire = sum(self.hire[slot] for slot in plan)
        return hire + sum(self._openings[place] for place in opened) + self._lamps_of(plan)

    def _lamps_of(self, plan: Sequence[int]) -> int:
        held: dict[tuple[int, int], list[tuple[int, int]]] = {}
        for slot in plan:
            place = int(self._slots.pitch[slot]), int(self._slots.day[slot])
            if self._lamps.get(place):
                held.setdefault(place, []).append(
                    (int(self._slots.start[slot]), int(self._slots.end[slot]))
                )
        return sum(
            coins * max(0, min(end, until) - max(start, since))
            for place, ranges in held.items()
            for start, end in merge_ranges(ranges)
            for since, until, coins in self._lamps[place]
        )

    def add(
        self, model: cp_model.CpModel, chosen: Sequence[cp_model.IntVar]
    ) -> cp_model.LinearExprT:
        """Add the cost to a model; an ask has one session a day, so its slots count together."""
        groups: dict[tuple[int, int, int], list[cp_model.IntVar]] = {}
        for slot, variable in enumerate(chosen):
            day, ask = int(self._slots.day[slot]), int(self._slots.ask[slot])
            if self._openings[self.venue[slot], day]:
                groups.setdefault((self.venue[slot], day, ask), []).append(variable)
        opened: dict[tuple[int, int], cp_model.IntVar] = {}
        for (venue, day, _), row in groups.items():
            if (venue, day) not in opened:
                opened[venue, day] = model.new_bool_var(f"venue {venue} opens on {day}")
            model.add(cp_model.LinearExpr.sum(row) <= opened[venue, day])
        fees = [self._openings[place] for place in opened]
        hire = cp_model.LinearExpr.weighted_sum(list(chosen), self.hire)
        opening = cp_model.LinearExpr.weighted_sum(list(opened.values()), fees)
        return cp_model.LinearExpr.sum([hire, opening, *self._add_lamps(model, chosen)])

    def _add_lamps(
        self, model: cp_model.CpModel, chosen: Sequence[cp_model.IntVar]
    ) -> list[cp_model.LinearExprT]:
        """Say of each piece of a pitch's day that its floodlights burn: somebody is there then."""
        terms: list[cp_model.LinearExprT] = []
        if not any(self._lamps.values()):
            return terms
        for (pitch, day), members in self._slots.by_pitch_and_day().items():
            runs = self._lamps.get((pitch, day), [])
            ends = [(int(self._slots.start[n]), int(self._slots.end[n])) for n in members]
            marks = {at for run in runs for at in run[:2]} | {at for two in ends for at in two}
            for first, last in pairwise(sorted(marks)):
                held = zip(members, ends, strict=True)
                there = [n for n, (start, end) in held if start <= first < end]
                coins = sum(rate for since, until, rate in runs if since <= first < until)
                if coins and there:
                    burn = model.new_bool_var(f"floodlights of pitch {pitch} on {day} at {first}")
                    _at_least(model, self._slots, chosen, burn, there)
                    terms.append(coins * (last - first) * burn)
        return terms


def dead_minutes(slots: Slots, plan: Iterable[int], gap: int) -> int:
    """Add up the minutes between a pitch's first and last session of a day with nobody on it.

    Args:
        slots: The merged candidates.
        plan: Chosen slots.
        gap: Changeover minutes after each session, which are not dead.
    """
    days: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for slot in plan:
        place = int(slots.pitch[slot]), int(slots.day[slot])
        times = int(slots.start[slot]), int(slots.end[slot]) + gap
        days.setdefault(place, []).append(times)
    total = 0
    for ranges in days.values():
        until = min(start for start, _ in ranges)
        for start, end in sorted(ranges):
            total += max(0, start - until)
            until = max(until, end)
    return total


def add_dead_minutes(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
) -> cp_model.LinearExprT:
    """Add `dead_minutes` to a model, to be made small."""
    terms: list[cp_model.LinearExprT] = []
    for members in slots.by_pitch_and_day().values():
        terms += _dead_of_day(model, terrain, slots, chosen, members)
    return cp_model.LinearExpr.sum(terms)


def _dead_of_day(
    model: cp_model.CpModel,
    terrain: Terrain,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
    members: Sequence[int],
) -> list[cp_model.LinearExprT]:
    """Say for each piece of a day that it is dead: used before and after, but not then."""
    gap = terrain.problem.changeover_minutes
    ends = {slot: int(slots.end[slot]) + gap for slot in members}
    starts = {slot: int(slots.start[slot]) for slot in members}
    marks = sorted({*ends.values(), *starts.values()})
    begun: cp_model.IntVar | None = None
    pieces: list[tuple[int, int, cp_model.IntVar, cp_model.IntVar]] = []
    coming: cp_model.IntVar | None = None
    for first, last in pairwise(marks):
        now, later = model.new_bool_var(""), model.new_bool_var("")
        if begun is not None and coming is not None:
            model.add_implication(begun, now)
            model.add_implication(later, coming)
        _at_least(model, slots, chosen, now, [n for n in members if starts[n] == first])
        _at_least(model, slots, chosen, later, [n for n in members if starts[n] == last])
        begun, coming = now, later
        pieces.append((first, last, now, later))
    terms: list[cp_model.LinearExprT] = []
    for first, last, now, later in pieces:
        busy = [chosen[n] for n in members if starts[n] <= first < ends[n]]
        dead = model.new_bool_var("")
        model.add(dead >= now + later - 1 - cp_model.LinearExpr.sum(busy))
        terms.append((last - first) * dead)
    return terms


def _at_least(
    model: cp_model.CpModel,
    slots: Slots,
    chosen: Sequence[cp_model.IntVar],
    mark: cp_model.IntVar,
    members: Sequence[int],
) -> None:
    """Set a mark where one of some slots is chosen; an ask has at most one of them."""
    by_ask: dict[int, list[cp_model.IntVar]] = {}
    for slot in members:
        by_ask.setdefault(int(slots.ask[slot]), []).append(chosen[slot])
    for row in by_ask.values():
        model.add(cp_model.LinearExpr.sum(row) <= mark)
