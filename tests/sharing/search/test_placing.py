"""Placing with many evenings of pitches, against looking at every plan."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hypothesis import HealthCheck, assume, given, settings

from clubplanner.sharing import Effort, check
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.alone import best_alone
from clubplanner.sharing.places.listing import list_candidates
from clubplanner.sharing.places.merging import merge
from clubplanner.sharing.search import diving, placing
from clubplanner.sharing.search.placing import Placing
from clubplanner.sharing.search.search import Search
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from tests.sharing import brute
from tests.sharing.builders import make_club
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    import pytest

    from clubplanner.sharing import Problem


def _search(problem: Problem, effort: Effort) -> Search:
    terrain = survey(problem)
    rows = list_candidates(terrain)
    slots, best = merge(terrain, rows), best_alone(terrain, rows)
    return Search(terrain, rows, slots, best, Budget(effort), None)


@given(problem=tiny_problems())
@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
def test_without_the_model_of_the_whole_bounds_are_true_and_plans_sound(problem: Problem) -> None:
    """As where there are many evenings, several held at a time: no plan passes what is claimed."""
    assume(brute.most_plans(problem) <= 3_000 and len(list_candidates(survey(problem))))
    many, few = placing.MANY_EVENINGS, diving.FEW
    placing.MANY_EVENINGS, diving.FEW = -1, 1
    try:
        search = _search(problem, Effort(seconds=20))
        search.names = search.names[:1]
        search.run()
    finally:
        placing.MANY_EVENINGS, diving.FEW = many, few
    most = max(brute.points(problem, plan) for plan in brute.every_plan(problem))
    assert check(problem, search.placements()) == ()
    (level,) = search.levels
    assert brute.points(problem, search.placements()) == level.value <= most <= level.bound
    assert level.is_proved == (level.value == level.bound)


def test_many_evenings_leave_the_model_of_the_whole_out_of_placing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """It is searched for the later aims only, and evenings are worked on where there is time."""
    sought: list[str] = []
    bound_whole = Search._bound_whole

    def noted(self: Search, name: str, part: float) -> int | None:
        sought.append(name)
        return bound_whole(self, name, part)

    monkeypatch.setattr(Search, "_bound_whole", noted)
    monkeypatch.setattr(placing, "MANY_EVENINGS", 2)
    search = _search(make_club(8), Effort(seconds=6))
    search.run()
    assert PLACING not in sought
    assert len(search.levels) == len(search.names)
    sought.clear()
    monkeypatch.setattr(placing, "SLOTS_A_SECOND", 1e-3)
    search = _search(make_club(8), Effort(seconds=6))
    assert not Placing(search).is_wide
    search.run()
    assert sought[0] == PLACING
