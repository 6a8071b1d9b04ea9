"""What is left out of a re-share is in no plan that could be as good: held against every plan."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing import Effort, Kind, Placement, Window
from clubplanner.sharing.again import reshare_work
from clubplanner.sharing.again.alteration import Alteration, Closure, alter
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.again.reshare_places import Places
from clubplanner.sharing.again.reshare_reach import Reach
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.ground.terrain import survey
from tests.sharing import brute
from tests.sharing.again.test_reshare import least_way, measures, place
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from clubplanner.sharing import Ask, Problem

SEEDS = range(1, 31)
MOST_PLANS = 1_500


def draw(seed: int) -> tuple[Problem, tuple[Placement, ...], Alteration]:
    """Draw a crowded club on one or two small pitches, a plan of it and what comes up."""
    chance = random.Random(seed)  # noqa: S311 - inventions, nothing secret
    while True:
        problem = _draw_problem(chance)
        plans = list(brute.every_plan(problem)) if brute.most_plans(problem) < MOST_PLANS else []
        if not plans:
            continue
        most = max(len(plan) for plan in plans)
        standing = chance.choice(
            [plan for plan in plans if len(plan) >= most - chance.choice((0, 0, 1))]
        )
        alteration = _draw_alteration(chance, problem)
        if brute.most_plans(alter(problem, alteration)) < MOST_PLANS:
            return problem, standing, alteration


def _draw_problem(chance: random.Random) -> Problem:
    days = make_days(chance.choice((1, 2, 2)))
    grounds = make_pitch(cuts=chance.choice((("halves",), ("thirds",), ("whole", "halves"))))
    if chance.random() < 0.4:
        grounds += make_pitch("lane", venue=chance.choice(("lane", "park")), cuts=("halves",))
    asks = tuple(_draw_ask(chance, key, len(days)) for key in "abcd"[: chance.choice((2, 3, 3, 4))])
    if len(asks) > 2 and chance.random() < 0.3:
        asks = (*asks[:-1], replace(asks[-1], squad=asks[0].squad))
    step = chance.choice((30, 60))
    return make_problem(
        grounds, *asks, days=days, step_minutes=step, changeover_minutes=chance.choice((0, 0, 15))
    )


def _draw_ask(chance: random.Random, key: str, days: int) -> Ask:
    end = chance.choice((1140, 1170, 1200))
    return make_ask(
        key,
        sessions=chance.choice((1, 1, 2)) if days > 1 else 1,
        possible=tuple(Window(day, 1080, end) for day in range(days)),
        coach=chance.choice((None, None, "Ada")),
        least_share=chance.choice((0.0, 0.0, 0.5)),
        rest_days=chance.choice((0, 0, 0, 1)),
        priority=chance.choice((1, 1, 2)),
    )


def _draw_alteration(chance: random.Random, problem: Problem) -> Alteration:
    ground = chance.choice(problem.grounds).key
    closures = (Closure(ground, chance.randrange(len(problem.days)), (), 1080, 1140),)
    fresh = _draw_ask(chance, "new", len(problem.days))
    changed = replace(_draw_ask(chance, "a", len(problem.days)), squad=problem.asks[0].squad)
    kind = chance.choice(("closed", "closed", "new", "less", "changed", "both"))
    return Alteration(
        closures=closures if kind in ("closed", "both", "changed") else (),
        asks_added=(fresh,) if kind in ("new", "both") else (),
        asks_changed=(changed,) if kind == "changed" else (),
        squads_dropped=frozenset({problem.asks[-1].squad} if kind == "less" else ()),
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_nothing_is_left_out_that_a_plan_has(seed: int) -> None:
    """Every sound plan keeps to the bounds of its places, by squads disturbed and by the way."""
    problem, standing, alteration = draw(seed)
    altered = alter(problem, alteration)
    places = Places(survey(altered), standing)
    reach = Reach(places)
    keys = [place(item) for item in _placements(places)]
    plans = []
    for plan in brute.every_plan(altered):
        there = {place(item) for item in plan}
        if not there <= set(keys):  # on needlessly large ground
            continue
        rows = [n for n, key in enumerate(keys) if key in there]
        counts = Counter(item.ask for item in plan)
        full = [
            counts[ask.key] == n for ask, n in zip(altered.asks, places.most_sessions, strict=True)
        ]
        way = least_way(altered, places.standing, plan)
        plans.append((all(full), len(places.disturbed_by(rows)), way, rows))
    for is_full in (False, True):
        apt = [one for one in plans if one[0] or not is_full]
        least = min((one[1] for one in apt), default=0)
        for _, disturbed, way, rows in apt:
            within = reach.within(disturbed, is_full=is_full)
            assert within[rows].all()
            total, ways = reach.least_ways(within, disturbed=least, is_full=is_full)
            assert total <= way
            assert (ways[rows] <= way).all()
            near = reach.nearer(within, way, disturbed=least, is_full=is_full)
            assert near[rows].all()


def test_bounds_leave_something_out() -> None:
    """In a club with little room the bounds do their work: places of others are left out."""
    left_out = 0
    for seed in SEEDS:
        problem, standing, alteration = draw(seed)
        reach = Reach(Places(survey(alter(problem, alteration)), standing))
        left_out += int((~reach.within(0)).sum())
    assert left_out > 100


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_proved_is_so_by_every_plan(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each aim that is called proved is the best of all plans, searched near first or at once."""
    problem, standing, alteration = draw(seed)
    altered = alter(problem, alteration)
    best = max(measures(altered, standing, plan) for plan in brute.every_plan(altered))
    for most_near in (reshare_work.MOST_NEAR, -1):
        monkeypatch.setattr(reshare_work, "MOST_NEAR", most_near)
        result = reshare(problem, standing, alteration, Effort(seconds=60, workers=1 + seed % 2))
        assert verify(altered, result.outcome) == ()
        assert measures(altered, standing, result.outcome.placements) == best
        if result.outcome.levels:
            assert result.outcome.kind is Kind.PROVED_BEST
            values = [level.value for level in result.outcome.levels]
            assert values == [best[0], -best[1], -best[2]]


def _placements(places: Places) -> list[Placement]:
    rows, problem = places.rows, places.terrain.problem
    return [
        Placement(
            problem.asks[int(rows.ask[n])].key,
            0,
            problem.grounds[int(rows.ground[n])].key,
            int(rows.day[n]),
            int(rows.start[n]),
            int(rows.end[n]),
        )
        for n in range(len(rows))
    ]
