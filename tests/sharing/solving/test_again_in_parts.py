"""Sharing out again what is too large for one model: sound, near the change, true in its claims."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing import Effort, Kind, Placement, check
from clubplanner.sharing.again.alteration import Alteration, Closure, alter
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving import again_in_parts, sizes
from clubplanner.sharing.solving.process import reshare_here
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.brake import Brake
from tests.sharing import brute
from tests.sharing.again import test_reshare_crowded, test_reshare_reach
from tests.sharing.again.test_reshare import measures

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing import Problem
    from clubplanner.sharing.again.reshare import Reshared
    from clubplanner.sharing.values.outcome import Progress

SEEDS = range(1, 21)
NOTHING = Alteration()
CLOSED = Alteration(closures=(Closure("pitch-1/whole", 1),))


@pytest.fixture
def parts_only(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let whatever has more than one place be shared out again in parts."""
    monkeypatch.setattr(sizes, "MOST_PLACES", 1)


@pytest.fixture(scope="module")
def standing() -> tuple[Problem, tuple[Placement, ...]]:
    """Give a club with a plan that stands."""
    problem = example(20, 4, 3, 0.8)
    return problem, solve(problem, Effort(seconds=6)).placements


def again(
    problem: Problem, plan: tuple[Placement, ...], change: Alteration, seconds: float = 30.0
) -> Reshared:
    """Share out again in this process."""
    return reshare_here(problem, plan, change, Effort(seconds=seconds), None, Brake())


@pytest.mark.usefixtures("parts_only")
@pytest.mark.parametrize("draw", [test_reshare_reach.draw, test_reshare_crowded.draw])
def test_what_is_claimed_is_true_of_every_plan(draw: object) -> None:
    """Plans are sound, bounds hold for every plan, and what is called proved is the best."""
    assert callable(draw)
    proved = 0
    for seed in SEEDS:
        problem, plan, change = draw(seed)
        altered = alter(problem, change)
        found = again(problem, plan, change, 4.0)
        assert verify(altered, found.outcome) == ()
        best = max(measures(altered, plan, other) for other in brute.every_plan(altered))
        own = measures(altered, plan, found.outcome.placements)
        assert own <= best
        if not found.outcome.levels:  # there is no place at all
            assert found.outcome.placements == ()
            continue
        points, disturbed, way = found.outcome.levels[:3]
        assert (points.value, -disturbed.value, -way.value) == own
        assert points.bound >= best[0]
        if points.value == best[0]:
            assert disturbed.bound <= -best[1]
        if own[:2] == best[:2]:
            assert way.bound <= -best[2]
        if found.outcome.kind is Kind.PROVED_BEST:
            assert own == best
            proved += 1
        assert found.hit == reshare(problem, plan, change, Effort(seconds=1e-6)).hit
    assert proved > len(SEEDS) // 4


@pytest.mark.usefixtures("parts_only")
def test_where_nothing_has_come_up_nothing_changes(
    standing: tuple[Problem, tuple[Placement, ...]],
) -> None:
    """The plan that stands is kept, and it is proved that it needs no change."""
    found = again(*standing, NOTHING)
    assert found.moves == () == found.hit == found.disturbed
    assert [level.is_proved for level in found.outcome.levels[1:3]] == [True, True]


@pytest.mark.usefixtures("parts_only")
def test_a_brake_that_leaves_nothing_open_has_cut_nothing(
    standing: tuple[Problem, tuple[Placement, ...]],
) -> None:
    """Where the plan that stands is proved to stay, there was no search that could be cut."""
    brake = Brake()
    brake.pull()
    found = reshare_here(*standing, NOTHING, Effort(seconds=30), None, brake)
    assert [level.is_proved for level in found.outcome.levels[:3]] == [True] * 3
    assert found.outcome.is_repeatable


@pytest.mark.usefixtures("parts_only")
def test_who_lost_a_place_gets_another(
    standing: tuple[Problem, tuple[Placement, ...]],
    monkeypatch: pytest.MonkeyPatch,
    by_steps: Callable[[float], Effort],
) -> None:
    """With few pitches looked at a time all have a place again, and most others stay."""
    problem, plan = standing
    monkeypatch.setattr(again_in_parts, "NEAR_PLACES", 1_500)
    told: list[Progress] = []
    found = reshare_here(problem, plan, CLOSED, by_steps(5), told.append, Brake())
    assert verify(found.problem, found.outcome) == ()
    assert found.hit
    assert not set(found.hit) & set(found.disturbed)
    assert found.outcome.placed == len(plan)
    assert len(found.disturbed) < len(problem.asks) // 2
    first = told[0].value
    assert first is not None
    assert found.outcome.levels[0].value > first
    moved = {move.squad_name for move in found.moves}
    assert len(moved) == len(found.hit) + len(found.disturbed)


@pytest.mark.usefixtures("parts_only")
def test_a_brake_leaves_what_can_stand(standing: tuple[Problem, tuple[Placement, ...]]) -> None:
    """Stopped before it began, sharing out again gives the plan without what was lost."""
    problem, plan = standing
    brake = Brake()
    brake.pull()
    found = reshare_here(problem, plan, CLOSED, Effort(seconds=60), None, brake)
    assert found.outcome.placed < len(plan)
    assert found.disturbed == ()
    assert check(found.problem, found.outcome.placements) == ()
    assert not found.outcome.is_repeatable


@pytest.mark.usefixtures("parts_only")
def test_a_date_that_is_closed_alone_costs_no_place(
    standing: tuple[Problem, tuple[Placement, ...]],
) -> None:
    """A session that loses one date of many stays, and its lost date is told."""
    problem, plan = standing
    first = plan[0]
    pitch = next(ground.pitch for ground in problem.grounds if ground.key == first.ground)
    date = problem.days[first.day].dates[0]
    one = Alteration(closures=(Closure(f"{pitch}/whole", first.day, (date,)),))
    found = again(problem, plan, one)
    assert verify(found.problem, found.outcome) == ()
    both = reshare(problem, plan, one, Effort(seconds=20))
    assert found.hit == both.hit
    stays = [i for i in found.outcome.placements if i.ask == first.ask and date in i.lost_dates]
    assert stays or found.hit


def test_what_fits_one_model_is_shared_out_again_as_one(
    standing: tuple[Problem, tuple[Placement, ...]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A club of usual size does not go in parts."""
    problem, plan = standing
    monkeypatch.setattr(again_in_parts, "reshare_in_parts", None)
    fewer = replace(CLOSED, closures=())
    assert again(problem, plan, fewer, 2.0).moves == ()
