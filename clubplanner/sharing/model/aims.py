"""The first aims as expressions over the model's variables, with rows that sharpen their bounds."""

from __future__ import annotations

from fractions import Fraction
from functools import cached_property
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

import numpy as np
from ortools.sat.python import cp_model

from clubplanner.sharing.values.points import FIRST_POINTS, SESSION_POINTS, THRESHOLDS

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from numpy.typing import NDArray

    from clubplanner.sharing.ground.slots import Slots
    from clubplanner.sharing.ground.terrain import Terrain

FLOOR_STEPS = (34, 51, 60, 67, 70, 75, 80, 85, 90, 95)
"""Percent of satisfaction at which "every squad has at least so much" is a variable of its own.
Some lie just above a third, a half and two thirds: who lacks a session of two or three has less."""


class Aims:
    """What the search works on; variables and rows of an aim are added when it is first asked for.

    The weights say what counts; see `measures` for the same computed from a plan.
    """

    def __init__(
        self,
        model: cp_model.CpModel,
        terrain: Terrain,
        slots: Slots,
        chosen: Sequence[cp_model.IntVar],
        best: NDArray[np.int64],
        squads: Collection[str] | None = None,
    ) -> None:
        """Remember what the aims are about.

        Args:
            model: Gets the variables and rows.
            terrain: The problem's columns.
            slots: The merged candidates.
            chosen: A variable for each slot.
            best: What each ask could have alone, in wish points.
            squads: Those that count; None for all.
        """
        self._model = model
        self._squads = _Squads(terrain, slots, chosen, best, squads)

    @cached_property
    def points(self) -> cp_model.LinearExprT:
        """Weighted count of sessions placed; more is better."""
        return _points(self._model, self._squads)

    @cached_property
    def worst(self) -> cp_model.LinearExprT:
        """Percent of the worst-off squad, the past counted in; more is better."""
        return _worst(self._model, self._squads, self._losses)

    @cached_property
    def shortfall(self) -> cp_model.LinearExprT:
        """How far squads are from being served well; less is better."""
        return _shortfall(self._model, self._squads, self._losses)

    @cached_property
    def wishes(self) -> cp_model.LinearExprT:
        """Sum of wish points without those for pairs of squads; more is better."""
        squads = self._squads
        return cp_model.LinearExpr.weighted_sum(squads.chosen, squads.slots.score.tolist())

    @cached_property
    def _losses(self) -> NDArray[np.int64]:
        return self._squads.losses()


class _Squads:
    """The squads whose asks have slots, with what they look up."""

    def __init__(
        self,
        terrain: Terrain,
        slots: Slots,
        chosen: Sequence[cp_model.IntVar],
        best: NDArray[np.int64],
        squads: Collection[str] | None,
    ) -> None:
        self.terrain = terrain
        self.slots = slots
        self.chosen = chosen
        self.best = best
        self._slots: dict[str, list[int]] = {}
        self._alone: dict[str, int] = {}
        self._past: dict[str, int] = {}
        self.top: dict[str, int] = {}
        asks = terrain.problem.asks
        for number, ask in enumerate(asks):
            if squads is None or ask.squad in squads:
                self._slots.setdefault(ask.squad, [])
                self._past.setdefault(ask.squad, ask.past)
                self._alone[ask.squad] = self.alone(ask.squad) + int(best[number])
                self.top[ask.squad] = max(ask.priority, self.top.get(ask.squad, 0))
        for slot, number in enumerate(slots.ask.tolist()):
            self._slots[asks[number].squad].append(slot)

    @property
    def names(self) -> list[str]:
        return list(self._slots)

    def slots_of(self, squad: str) -> list[int]:
        return self._slots[squad]

    def alone(self, squad: str) -> int:
        return self._alone.get(squad, 0)

    def past(self, squad: str) -> int:
        return self._past[squad]

    def tops(self, squad: str) -> list[int]:
        """List the most wish points that a squad can have with no session, with one and so on.

        Each ask has its best days, however near.
        """
        slots, asks = self.slots, self.terrain.problem.asks
        days: dict[int, dict[int, int]] = {}
        for n in self._slots[squad]:
            ask, day, score = int(slots.ask[n]), int(slots.day[n]), int(slots.score[n])
            of_ask = days.setdefault(ask, {})
            of_ask[day] = max(score, of_ask.get(day, score))
        best = [
            score
            for ask, of_day in days.items()
            for score in sorted(of_day.values(), reverse=True)[: asks[ask].sessions]
        ]
        return [0, *accumulate(sorted(best, reverse=True))]

    def losses(self) -> NDArray[np.int64]:
        """Compute for each slot the wish points that its squad cannot have any more with it.

        The rest of the ask's sessions then take its best other days, however near.
        """
        problem, slots = self.terrain.problem, self.slots
        days = np.zeros((len(problem.asks), len(problem.days)), dtype=np.int64)
        np.maximum.at(days, (slots.ask, slots.day), slots.score)
        losses = np.zeros(len(slots), dtype=np.int64)
        for slot in range(len(slots)):
            ask, day = int(slots.ask[slot]), int(slots.day[slot])
            others = np.delete(days[ask], day)
            rest = np.sort(others)[::-1][: problem.asks[ask].sessions - 1]
            losses[slot] = max(0, self.best[ask] - slots.score[slot] - rest.sum())
        return losses


def _points(model: cp_model.CpModel, squads: _Squads) -> cp_model.LinearExprT:
    """Count sessions by priority, a squad's first above its others."""
    asks = squads.terrain.problem.asks
    weights = [SESSION_POINTS * asks[int(ask)].priority for ask in squads.slots.ask]
    total = cp_model.LinearExpr.weighted_sum(squads.chosen, weights)
    firsts: list[cp_model.IntVar] = []
    tops: list[int] = []
    for squad in squads.names:
        own = [squads.chosen[n] for n in squads.slots_of(squad)]
        if own:
            first = model.new_bool_var(f"{squad} has a session")
            model.add(first <= sum(own))
            firsts.append(first)
            tops.append(FIRST_POINTS * squads.top[squad])
    return cp_model.LinearExpr.sum([total, cp_model.LinearExpr.weighted_sum(firsts, tops)])


def _worst(
    model: cp_model.CpModel, squads: _Squads, losses: NDArray[np.int64]
) -> cp_model.LinearExprT:
    """Hold a variable under every squad's percent, as `measures.worst_percent` does."""
    names = [squad for squad in squads.names if squads.alone(squad)]
    least = min([0, *(squads.past(squad) for squad in names)])
    floor = model.new_int_var(least, 100, "floor")
    steps = _floor_steps(model, floor)
    for squad in names:
        alone, past = squads.alone(squad), squads.past(squad)
        own = squads.slots_of(squad)
        scores = [100 * int(squads.slots.score[n]) for n in own]
        score = cp_model.LinearExpr.weighted_sum([squads.chosen[n] for n in own], scores)
        model.add(alone * floor <= score + alone * past)
        count = cp_model.LinearExpr.sum([squads.chosen[n] for n in own])
        tops = squads.tops(squad)
        for percent, step in steps.items():
            enough = (percent - past) * alone
            fewest = next((n for n, top in enumerate(tops) if 100 * top >= enough), None)
            model.add(step == 0 if fewest is None else count >= fewest * step)
        for group in _by_ask_and_day(squads.slots, own):
            for percent, step in steps.items():
                enough = (percent - past) * alone
                low = [n for n in group if 100 * (alone - losses[n]) < enough]
                if low:
                    model.add_at_most_one([squads.chosen[n] for n in low] + [step])
    return floor


def _shortfall(
    model: cp_model.CpModel, squads: _Squads, losses: NDArray[np.int64]
) -> cp_model.LinearExprT:
    """Measure unfairness as `measures.shortfall_points` does."""
    terms: list[cp_model.LinearExprT] = []
    for squad in squads.names:
        alone, past = squads.alone(squad), squads.past(squad)
        if alone == 0:
            continue
        own = squads.slots_of(squad)
        scores = [100 * int(squads.slots.score[n]) for n in own]
        score = cp_model.LinearExpr.weighted_sum([squads.chosen[n] for n in own], scores)
        count, tops = cp_model.LinearExpr.sum([squads.chosen[n] for n in own]), squads.tops(squad)
        groups = _by_ask_and_day(squads.slots, own)
        for threshold, weight in THRESHOLDS:
            percent = threshold - past
            if percent <= 0:
                continue
            short = model.new_int_var(0, percent, f"{squad} under {threshold} %")
            model.add(alone * short + score >= alone * percent)
            terms.append(weight * short)
            lacks = [max(0, -(-(percent * alone - 100 * top) // alone)) for top in tops]
            for run, rise, base in least_by_count(lacks):
                model.add(run * short + rise * count >= base)
            for group in groups:
                _add_least_short(model, squads, short, group, percent, alone, losses)
    return cp_model.LinearExpr.sum(terms)


def least_by_count(lacks: Sequence[int]) -> list[tuple[int, int, int]]:
    """List the lines under what a squad lacks at least, by its number of sessions.

    They follow from the others in whole numbers, but the bound needs them: shared out in pieces,
    every squad has nearly all of its sessions and nobody lacks anything.

    Args:
        lacks: What it lacks at least with no session, with one and so on; falling.

    Returns:
        For each line run, rise and base, none negative: with `n` sessions a squad lacks at least
        `(base - rise * n) / run`.
    """
    lines, at = [], len(lacks) - 1
    while at > 0:
        start = min(range(at), key=lambda n: (Fraction(lacks[n] - lacks[at], at - n), n))
        run, rise = at - start, lacks[start] - lacks[at]
        lines.append((run, rise, run * lacks[at] + rise * at))
        at = start
    return lines


def _floor_steps(model: cp_model.CpModel, floor: cp_model.IntVar) -> dict[int, cp_model.IntVar]:
    """Add the variables "every squad has at least so much", which hold the floor down."""
    steps = {percent: model.new_bool_var(f"floor {percent} %") for percent in FLOOR_STEPS}
    ordered = list(steps.items())
    tops = [*(percent for percent, _ in ordered[1:]), 101]
    rises = [top - percent for top, (percent, _) in zip(tops, ordered, strict=True)]
    total = cp_model.LinearExpr.weighted_sum([step for _, step in ordered], rises)
    model.add(floor <= FLOOR_STEPS[0] - 1 + total)
    for (_, lower), (_, upper) in pairwise(ordered):
        model.add_implication(upper, lower)
    return steps


def _add_least_short(
    model: cp_model.CpModel,
    squads: _Squads,
    short: cp_model.IntVar,
    group: Sequence[int],
    percent: int,
    alone: int,
    losses: NDArray[np.int64],
) -> None:
    """Say what each choice of an ask's day costs at least; it follows, but the bound needs it."""
    terms, weights = [], []
    for slot in group:
        lacking = percent * alone - 100 * (alone - int(losses[slot]))
        if lacking > 0:
            terms.append(squads.chosen[slot])
            weights.append(-(-lacking // alone))
    if terms:
        model.add(cp_model.LinearExpr.weighted_sum(terms, weights) <= short)


def _by_ask_and_day(slots: Slots, members: Sequence[int]) -> list[list[int]]:
    groups: dict[tuple[int, int], list[int]] = {}
    for slot in members:
        groups.setdefault((int(slots.ask[slot]), int(slots.day[slot])), []).append(slot)
    return list(groups.values())
