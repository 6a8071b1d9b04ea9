"""Parts cut out of a plan, worked on and put back leave a sound plan that is no worse."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.sharing.checks.checking import check
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.aim_book import aim_named
from clubplanner.sharing.parts import working
from clubplanner.sharing.parts.cutting import Cutter, plan_of, sessions_of
from clubplanner.sharing.parts.looking import look
from clubplanner.sharing.parts.near import Neighbourhoods
from clubplanner.sharing.parts.whole import Whole
from clubplanner.sharing.parts.working import work_on
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.levels import PLACING, WISHES
from clubplanner.sharing.values.problem import Effort, Problem
from tests.sharing.builders import planned

EFFORT = Effort(seconds=3)


def invented(seed: int) -> tuple[Problem, Whole]:
    """Return a tight club of thirty squads with every kind of want, and a plan of it."""
    problem = with_wants(example(30, 6, seed, 1.3), seed)
    problem = replace(problem, wants_compact=seed % 2 == 0)
    terrain = survey(problem)
    whole = Whole(terrain, look(terrain))
    keys = [ask.key for ask in problem.asks]
    part = Cutter(problem, whole.look.best.tolist()).cut(whole.plan, terrain.pitches, keys, 0)
    whole.take(work_on(part, EFFORT, Brake()).placements, keys)
    return problem, whole


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_neighbourhoods_leave_a_sound_plan_that_is_no_worse(
    seed: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever is looked at again, sessions elsewhere stay and no rule is broken."""
    monkeypatch.setattr(working, "FEW_SLOTS", 0)  # so that places are left out
    problem, whole = invented(seed)
    assert check(problem, sessions_of(whole.plan)) == ()
    cutter = Cutter(problem, whole.look.best.tolist())
    near = Neighbourhoods(whole, seed)
    for name, aims in ((PLACING, 1), (WISHES, None)):
        before = dict(whole.values)
        chosen = near.choose(name, 2_000, (), ())
        if chosen is None:
            continue
        part = cutter.cut(whole.plan, chosen.pitches, chosen.free, aims)
        pitch_of = {ground.key: ground.pitch for ground in problem.grounds}
        stays = {
            item
            for item in sessions_of(whole.plan)
            if item.ask not in chosen.free or pitch_of[item.ground] not in chosen.pitches
        }
        whole.take(work_on(part, EFFORT, Brake()).placements, part.free)
        places = {replace(item, session=0) for item in sessions_of(whole.plan)}
        assert {replace(item, session=0) for item in stays} <= places
        assert check(problem, sessions_of(whole.plan)) == ()
        ranks = [[aim_named(n).sign * v[n] for n in whole.names] for v in (before, whole.values)]
        assert ranks[0] <= ranks[1]
        assert whole.values == whole.measure(whole.plan)


def test_nobody_busy_is_chosen() -> None:
    """Pitches and asks that others are looking at are left out of a neighbourhood."""
    problem, whole = invented(1)
    near = Neighbourhoods(whole, 1)
    for _ in range(20):
        busy_pitches, busy_asks = {"pitch-1"}, {ask.key for ask in problem.asks[::2]}
        chosen = near.choose(WISHES, 2_000, busy_pitches, busy_asks)
        if chosen is not None:
            assert not chosen.pitches & busy_pitches
            assert not chosen.free & busy_asks
    assert near.choose(WISHES, 2_000, (), {ask.key for ask in problem.asks}) is None


def test_a_whole_refuses_what_is_worse() -> None:
    """Fewer sessions for some asks are not taken over."""
    problem, plan = planned(20, 3, 5, 1.0)
    terrain = survey(problem)
    whole = Whole(terrain, look(terrain), plan)
    values = dict(whole.values)
    assert whole.take((), {plan[0].ask}) is False
    assert whole.values == values
    assert sessions_of(whole.plan) == sessions_of(plan_of(plan))
