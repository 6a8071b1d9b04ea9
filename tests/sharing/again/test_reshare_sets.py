"""The way by sets of disturbed squads: held against every plan, from whichever set it begins."""

from __future__ import annotations

import random
from functools import cache
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing import Effort, Placement, Window
from clubplanner.sharing.again.alteration import Alteration, Closure, alter
from clubplanner.sharing.again.reshare_reach import Reach
from clubplanner.sharing.again.reshare_sets import DisturbedSets
from clubplanner.sharing.again.reshare_work import Work
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.places.placements import placement_of
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from tests.sharing import brute
from tests.sharing.again.test_reshare import measures, place
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.sharing import Ask, Problem

SEEDS = range(1, 5)
AMPLE = Effort(seconds=600)
MOST_PLANS, MOST_DRAWS = 2_000, 400

Begun = tuple[Work, tuple[int, ...], dict[frozenset[str], list[int]]]


@cache
def draw(seed: int) -> Begun:
    """Draw a club of which others have to make way for who loses a place.

    Returns:
        Its re-share, what the best plans of all come to, and for each set of squads that such a
        plan disturbs the one that moves furthest.
    """
    chance = random.Random(seed)  # noqa: S311 - inventions, nothing secret
    for _ in range(MOST_DRAWS):
        problem = _draw_problem(chance)
        if brute.most_plans(problem) > MOST_PLANS:
            continue
        plans = list(brute.every_plan(problem))
        most = max(map(len, plans))
        standing = chance.choice([plan for plan in plans if len(plan) == most])
        if any(item.ground.startswith("lane") for item in standing):
            begun = _begin(problem, standing)
            if begun[1][1] < 0:
                return begun
    raise AssertionError


def _draw_problem(chance: random.Random) -> Problem:
    grounds = (
        *make_pitch(cuts=chance.choice((("halves",), ("thirds",)))),
        *make_pitch("lane", venue=chance.choice(("lane", "park"))),
    )
    days = make_days(chance.choice((1, 1, 2)))
    asks = [_draw_ask(chance, key, len(days)) for key in "abcd"[: chance.choice((3, 4, 4))]]
    return make_problem(grounds, *asks, days=days, step_minutes=60)


def _draw_ask(chance: random.Random, key: str, days: int) -> Ask:
    ends = [chance.choice((1140, 1140, 1200)) for _ in range(days)]
    return make_ask(
        key,
        sessions=chance.choice((1, 1, 2)) if days > 1 else 1,
        possible=tuple(Window(day, 1080, end) for day, end in enumerate(ends)),
        coach=chance.choice((None, None, "Ada")),
    )


def _begin(problem: Problem, standing: tuple[Placement, ...]) -> Begun:
    lane = next(ground.key for ground in problem.grounds if ground.key.startswith("lane"))
    altered = alter(problem, Alteration(tuple(Closure(lane, day.index) for day in problem.days)))
    work = Work(survey(altered), standing, Budget(AMPLE), None)
    work.reach = Reach(work.places)
    measured = [
        (measures(altered, standing, plan), plan) for plan in _known(brute.every_plan(altered))
    ]
    best = max(value for value, _ in measured)
    rows = _rows(work)
    found: dict[frozenset[str], list[int]] = {}
    for value, plan in sorted(measured, key=lambda one: one[0]):
        keys = [place(item) for item in plan]
        if value[:2] == best[:2] and all(key in rows for key in keys):
            chosen = [rows[key] for key in keys]
            found.setdefault(frozenset(work.places.disturbed_by(chosen)), chosen)
    return work, best, found


def _known(plans: Iterator[tuple[Placement, ...]]) -> Iterator[tuple[Placement, ...]]:
    """Leave out plans that differ in nothing but the numbers of sessions."""
    seen = set()
    for plan in plans:
        key = frozenset(place(item) for item in plan)
        if key not in seen:
            seen.add(key)
            yield plan


def _rows(work: Work) -> dict[tuple[str, int, str, int], int]:
    places = work.places
    items = [placement_of(places.terrain, places.rows, row, 0) for row in range(len(places.rows))]
    return {place(item): row for row, item in enumerate(items)}


@pytest.mark.parametrize("seed", SEEDS)
def test_from_any_set_the_least_way_of_all_plans_is_proved(seed: int) -> None:
    """Begun at the worst plan of any set, it ends with the best of all plans, and says so."""
    work, best, plans = draw(seed)
    is_full = best[0] == work.places.worth.most()[PLACING]
    for disturbed, plan in plans.items():
        work.plan = plan
        apt = work.reach.within(len(disturbed), is_full=is_full)
        bound = DisturbedSets(work, apt, len(disturbed), is_full=is_full).run(0)
        assert bound == -best[2]
        assert work.values(work.plan)[:3] == (best[0], -best[1], -best[2])


@pytest.mark.parametrize("seed", SEEDS)
def test_where_fewer_might_do_nothing_is_claimed(seed: int) -> None:
    """Who is disturbed is not proved fewest: the plan is bettered, the bound stays."""
    work, best, plans = draw(seed)
    is_full = best[0] == work.places.worth.most()[PLACING]
    for disturbed, plan in plans.items():
        work.plan = plan
        apt = work.reach.within(len(disturbed), is_full=is_full)
        before = work.values(plan)[2]
        assert DisturbedSets(work, apt, len(disturbed) - 1, is_full=is_full).run(0) == 0
        assert -best[2] <= work.values(work.plan)[2] <= before


def make_way_club() -> Begun:
    """Return a club of which one of three has to make way: by an hour, by two, or to another day.

    Squad a loses the lane and fits on a third at six only, where b, c and d stand.
    """
    grounds = (*make_pitch(cuts=("thirds",)), *make_pitch("lane", venue="lane"))
    at_six = Window(0, 1080, 1140)
    asks = (
        make_ask("a", possible=(at_six,)),
        make_ask("b", possible=(at_six, Window(1, 1080, 1140))),
        make_ask("c", possible=(at_six, Window(0, 1140, 1200))),
        make_ask("d", possible=(at_six, Window(0, 1200, 1260))),
    )
    problem = make_problem(grounds, *asks, days=make_days(2), step_minutes=60)
    where = ("lane-whole-0", "top-thirds-0", "top-thirds-1", "top-thirds-2")
    standing = tuple(
        Placement(key, 0, ground, 0, 1080, 1140) for key, ground in zip("abcd", where, strict=True)
    )
    return _begin(problem, standing)


def test_every_set_is_looked_at_before_the_least_is_told() -> None:
    """Whoever of three made way first, the one who moves least does in the end."""
    work, best, plans = make_way_club()
    assert set(plans) == {frozenset({f"squad {key}"}) for key in "bcd"}
    ways = [work.values(plan)[2] for plan in plans.values()]
    assert max(ways) > -best[2]
    for plan in plans.values():
        work.plan = plan
        bound = DisturbedSets(work, work.reach.within(1), 1, is_full=True).run(0)
        assert bound == work.values(work.plan)[2] == -best[2]
        assert work.places.disturbed_by(work.plan) == {"squad c"}


def test_without_steps_nothing_is_claimed() -> None:
    """What there were no steps for is not proved."""
    work, _best, plans = make_way_club()
    work.budget.steps = work.budget.all_steps
    work.plan = plans[frozenset({"squad b"})]
    assert DisturbedSets(work, work.reach.within(1), 1, is_full=True).run(3) == 3
