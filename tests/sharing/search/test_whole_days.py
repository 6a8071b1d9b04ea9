"""Placing whole days anew: which days, and that a plan only gets better."""

from __future__ import annotations

from itertools import combinations
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing import Effort, Window
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.model import ShareModel
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.search.whole_days import (
    MOST_OPEN,
    Freed,
    Tried,
    WholeDays,
    with_others_held,
)
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing.ground.slots import Slots


def test_small_choices_of_days_come_before_large_ones_and_all_days_never() -> None:
    """Each choice comes once, and all of them again once the plan is better."""
    freed = Freed({0, 1, 2, 4}, seed=1)
    every = [freed.next() for _ in range(11)]
    assert every[10] is None
    assert set(every[:6]) == {frozenset(pair) for pair in combinations((0, 1, 2, 4), 2)}
    assert set(every[6:10]) == {frozenset(three) for three in combinations((0, 1, 2, 4), 3)}
    freed.better()
    assert len(freed.next() or ()) == 2


def _three_days(budget: Budget) -> tuple[ShareModel, Slots]:
    """One session fits a day: "a" can have Monday or Tuesday, "b" Monday only, "c" Wednesday."""
    windows = [Window(day, 1080, 1140) for day in range(3)]
    asks = (
        make_ask("a", possible=(windows[0], windows[1])),
        make_ask("b", possible=(windows[0],)),
        make_ask("c", possible=(windows[2],)),
    )
    terrain = survey(make_problem(make_pitch(), *asks, days=make_days(3)))
    rows = list_candidates(terrain)
    slots = merge(terrain, rows)
    share = ShareModel(terrain, slots, best_alone(terrain, rows), rows)
    share.model.maximize(share.aim(PLACING))
    budget.steps = 0.0
    return share, slots


@pytest.mark.parametrize("workers", [1, 2])
def test_who_is_in_the_way_moves_to_another_day(workers: int) -> None:
    """With "a" on Monday "b" goes without, until both days are freed together."""
    budget = Budget(Effort(seconds=60, workers=workers))
    share, slots = _three_days(budget)
    on = list(zip(slots.ask.tolist(), slots.day.tolist(), strict=True))
    plan = [on.index((0, 0)), on.index((2, 2))]

    def adopt(chosen: Sequence[int]) -> list[tuple[int, int]]:
        if len(chosen) > len(plan):
            plan[:] = chosen
        return []

    WholeDays(share, budget, lambda: plan, adopt).run(10.0, 0.0, lambda: 7 * len(plan), 21)
    assert sorted(on[slot] for slot in plan) == [(0, 1), (1, 0), (2, 2)]
    assert budget.steps > 0
    assert not budget.is_cut


def test_days_that_are_too_much_at_once_are_left_to_others(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the first choices are not searched to their end and find nothing, it ends."""
    budget = Budget(Effort(seconds=60))
    share, _slots = _three_days(budget)
    tried = []

    def give_up(_self: WholeDays, _plan: set[int], freed: frozenset[int]) -> Tried:
        tried.append(freed)
        return Tried([], 0.1, is_done=False)

    monkeypatch.setattr(WholeDays, "_solve_one", give_up)
    WholeDays(share, budget, list, lambda _chosen: []).run(10.0, 0.0, lambda: 0, 21)
    assert len(set(tried)) == MOST_OPEN
    assert budget.steps == pytest.approx(0.1 * MOST_OPEN)


def test_the_clock_ends_it() -> None:
    """Where no time is left nothing is tried, and the search counts as cut."""
    budget = Budget(Effort(seconds=60))
    share, _slots = _three_days(budget)
    WholeDays(share, budget, list, lambda _chosen: []).run(10.0, 1_000.0, lambda: 0, 21)
    assert budget.is_cut
    assert budget.steps == 0.0


def test_days_that_are_not_freed_stay_as_they_are() -> None:
    """Their slots are fixed, in the plan or out of it, and those of freed days are not."""
    share, slots = _three_days(Budget(Effort(seconds=60)))
    before = len(share.model.proto.constraints)
    model = with_others_held(share, {0}, frozenset({0, 1}))
    held = len(model.proto.constraints) - before
    assert held == int((slots.day == 2).sum())
    assert len(share.model.proto.constraints) == before
