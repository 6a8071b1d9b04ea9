"""The re-share: all that can be placed, fewest squads disturbed, least moved."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta
from functools import cache
from itertools import permutations
from typing import TYPE_CHECKING

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from ortools.sat.python import cp_model

from clubplanner.sharing import Effort, Kind, Placement, ProblemError, Window, check
from clubplanner.sharing.again.alteration import (
    Alteration,
    Closure,
    alter,
    faults_of,
    read_alteration,
)
from clubplanner.sharing.again.reshare import reshare
from clubplanner.sharing.again.reshare_model import ReshareModel
from clubplanner.sharing.again.reshare_places import Places
from clubplanner.sharing.again.reshare_plans import first_plan
from clubplanner.sharing.again.reshare_work import NAMES, Work
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.example.example import example
from clubplanner.sharing.files.files import read_outcome, write_value
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.model.aim_book import aims_of
from clubplanner.sharing.places.displacement import displacement, lost_points, match_sessions
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.budget import Budget
from clubplanner.sharing.values.levels import PLACING
from tests.sharing import brute
from tests.sharing.builders import MONDAY, make_ask, make_days, make_pitch, make_problem
from tests.sharing.test_against_brute_force import asks_of, tiny_problems

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing import Ask, Problem
    from clubplanner.sharing.values.outcome import Progress

EFFORT = Effort(seconds=20)


def way(problem: Problem, old: Placement, new: Placement) -> int:
    """Measure one move by the words of the rule."""
    grounds = {ground.key: ground for ground in problem.grounds}
    a, b = grounds[old.ground], grounds[new.ground]
    where = 4 if a.venue != b.venue else 2 if a.pitch != b.pitch else 1 if a != b else 0
    apart = abs(old.start_min - new.start_min)
    steps = apart // problem.step_minutes + (apart % problem.step_minutes > 0)
    return (6 if old.day != new.day else 0) + where + steps


def least_way(problem: Problem, old: Sequence[Placement], new: Sequence[Placement]) -> int:
    """Measure all moves, trying every matching of an ask's sessions."""
    total = 0
    for ask in problem.asks:
        olds = [item for item in old if item.ask == ask.key]
        news: list[Placement | None] = [item for item in new if item.ask == ask.key]
        news += [None] * len(olds)
        total += min(
            sum(
                lost_points(problem) if b is None else way(problem, a, b)
                for a, b in zip(olds, order, strict=False)
            )
            for order in permutations(news, len(olds))
        )
    return total


def place(item: Placement) -> tuple[str, int, str, int]:
    """Return where a placement of an ask is, whatever its session's number."""
    return item.ask, item.day, item.ground, item.start_min


@cache
def possible_places(problem: Problem) -> frozenset[tuple[str, int, str, int]]:
    """Return all places that asks may have."""
    places = (brute.every_place(problem, ask) for ask in problem.asks)
    return frozenset(place(item) for own in places for item in own)


def measures(
    problem: Problem, old: Sequence[Placement], new: Sequence[Placement]
) -> tuple[int, ...]:
    """Compute the aims of a plan, each as more is better; days and evenings after its own."""
    asks = {ask.key: ask for ask in problem.asks}
    stands = [item for item in old if item.ask in asks]
    possible = possible_places(problem)
    can_stay = {
        place(item): place(item) in possible
        and item.end_min - item.start_min == asks[item.ask].minutes
        for item in stands
    }
    hit = {asks[item.ask].squad for item in stands if not can_stay[place(item)]}
    now = {place(item) for item in new}
    moved = {asks[item.ask].squad for item in stands if place(item) not in now}
    plan = tuple(new)
    week = [brute.nearness(problem, plan)] if problem.wants_apart else []
    if problem.evenings == "few":
        week.append(brute.open_evenings(problem, plan))
    elif problem.evenings is not None:
        week.append(brute.fullness(problem, plan))
    own = brute.points(problem, plan), -len(moved - hit), -least_way(problem, stands, new)
    return (*own, *(-value for value in week))


@st.composite
def alterations(draw: st.DrawFn, problem: Problem) -> Alteration:
    """Draw what comes up: closures, a dropped squad, a changed or a new ask."""
    closures = tuple(
        Closure(draw(st.sampled_from([g.key for g in problem.grounds])), day, (), 1080, end)
        for day, end in draw(
            st.lists(
                st.tuples(st.integers(0, len(problem.days) - 1), st.sampled_from([1110, 1200])),
                max_size=2,
            )
        )
    )
    dropped = draw(st.sampled_from([None, *(ask.squad for ask in problem.asks)]))
    kept = [ask for ask in problem.asks if ask.squad != dropped]
    changed: tuple[Ask, ...] = ()
    added: tuple[Ask, ...] = ()
    is_changed = draw(st.booleans())
    if kept and is_changed:
        other = draw(asks_of("x", len(problem.days), problem.grounds))
        changed = (replace(other, key=kept[0].key, squad=kept[0].squad),)
    if dropped is not None and draw(st.booleans()):
        added = (draw(asks_of("new", len(problem.days), problem.grounds)),)
    gone = frozenset({dropped} if dropped is not None else ())
    return Alteration(closures, added, changed, gone)


@given(data=st.data(), problem=tiny_problems())
@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
def test_the_change_is_the_smallest_of_all(data: st.DataObject, problem: Problem) -> None:
    """All its aims, one after the other, come out as when every plan is looked at."""
    standing = solve(problem, EFFORT).placements
    alteration = data.draw(alterations(problem))
    altered = alter(problem, alteration)
    places = [len(brute.every_place(altered, ask)) ** ask.sessions for ask in altered.asks]
    size = 1
    for count in places:
        size *= count + 1
    assume(size < 40_000)
    result = reshare(problem, standing, alteration, EFFORT)
    assert result.problem == altered
    assert check(altered, result.outcome.placements) == ()
    assert verify(altered, result.outcome) == ()
    best = max(measures(altered, standing, plan) for plan in brute.every_plan(altered))
    assert measures(altered, standing, result.outcome.placements) == best
    if result.outcome.levels:
        assert result.outcome.kind is Kind.PROVED_BEST
        week = [aim.name for aim in aims_of(altered) if aim.is_of_week]
        assert [level.name for level in result.outcome.levels] == [*NAMES, *week]
        values = [level.value for level in result.outcome.levels]
        assert values == [best[0], *(-value for value in best[1:])]
        assert len(result.disturbed) == -best[1]


def standing_club() -> tuple[Problem, tuple[Placement, ...]]:
    """Return three squads that stand on the thirds of a pitch, and an empty pitch elsewhere."""
    grounds = (*make_pitch(cuts=("whole", "thirds")), *make_pitch("lane", venue="lane"))
    asks = tuple(make_ask(key, least_m2=1900.0) for key in "abc")
    problem = make_problem(grounds, *asks)
    plan = tuple(Placement(key, 0, f"top-thirds-{n}", 0, 1080, 1140) for n, key in enumerate("abc"))
    return problem, plan


def test_nothing_up_changes_nothing(by_steps: Callable[[float], Effort]) -> None:
    """Without an alteration the plan stays as it is, down to the sessions' numbers."""
    problem = example(20, 2, 4, 0.8)
    plan = solve(problem, by_steps(3)).placements
    result = reshare(problem, plan, Alteration(), by_steps(20))
    assert sorted(result.outcome.placements, key=place) == sorted(plan, key=place)
    assert (result.hit, result.disturbed, result.moves) == ((), (), ())
    assert result.outcome.kind is Kind.PROVED_BEST


def test_a_closed_third_moves_only_its_squad() -> None:
    """The squad on closed ground goes to a later hour on its pitch, the others stay."""
    problem, plan = standing_club()
    result = reshare(
        problem, plan, Alteration(closures=(Closure("top-thirds-1", 0, (), 1080, 1140),)), EFFORT
    )
    assert result.hit == ("squad b",)
    assert result.disturbed == ()
    (move,) = result.moves
    assert move.old == plan[1]
    assert move.new is not None
    assert (move.new.ground, move.new.start_min) == ("top-thirds-1", 1140)
    assert result.sentence == (
        "3 of 3 sessions have a place. 1 squad loses a place by the change; no other squads are "
        "disturbed (proved fewest)."
    )


def test_a_squad_keeps_its_ground_at_another_time_though_less_would_do() -> None:
    """Staying on the whole pitch an hour later is a shorter way than to a half of it."""
    ask = make_ask("a", least_share=0.5)
    problem = make_problem(make_pitch(cuts=("whole", "halves")), ask)
    plan = (Placement("a", 0, "top-whole-0", 0, 1080, 1140),)
    closed = Closure("top-whole-0", 0, (), 1080, 1110)
    result = reshare(problem, plan, Alteration(closures=(closed,)), EFFORT)
    (new,) = result.outcome.placements
    assert (new.ground, new.start_min) == ("top-whole-0", 1110)
    assert result.outcome.levels[2].value == 1


def test_a_closed_date_costs_a_weekly_place_nothing_but_the_date() -> None:
    """Closed on one date of eight, the place is kept and the date written down as lost."""
    problem, plan = standing_club()
    weekly = replace(problem, days=make_days(1, 8))
    result = reshare(
        weekly, plan, Alteration(closures=(Closure("top-thirds-0", 0, (MONDAY,)),)), EFFORT
    )
    assert result.moves == ()
    assert result.outcome.placements[0].lost_dates == (MONDAY,)


def test_new_dropped_and_pinned() -> None:
    """A new ask gets the dropped squad's ground, a pin moves who stands there."""
    problem, plan = standing_club()
    small = replace(problem, asks=tuple(
        replace(ask, possible=(Window(0, 1080, 1140),)) for ask in problem.asks
    ), grounds=problem.grounds[:4])  # fmt: skip
    newcomer = make_ask("d", least_m2=1900.0, possible=(Window(0, 1080, 1140),))
    alteration = Alteration(
        asks_added=(newcomer,),
        squads_dropped=frozenset({"squad b"}),
        pins=(Placement("d", 0, "top-thirds-0", 0, 1080, 1140),),
    )
    result = reshare(small, plan, alteration, EFFORT)
    where = {item.ask: item.ground for item in result.outcome.placements}
    assert where == {"a": "top-thirds-1", "c": "top-thirds-2", "d": "top-thirds-0"}
    assert result.disturbed == ("squad a",)
    assert {(move.ask, move.new is None) for move in result.moves} == {
        ("a", False), ("b", True), ("d", False),
    }  # fmt: skip


def test_pins_that_contradict_are_told() -> None:
    """Two pins on one ground give an impossible outcome with its reason."""
    problem, plan = standing_club()
    pins = tuple(Placement(key, 0, "top-thirds-0", 0, 1080, 1140) for key in "ab")
    result = reshare(problem, plan, Alteration(pins=pins), EFFORT)
    assert result.outcome.kind is Kind.IMPOSSIBLE
    assert "both pinned" in result.sentence


def test_a_faulty_altered_problem_is_refused() -> None:
    """A changed ask with a window on no day raises with the fault."""
    problem, plan = standing_club()
    wrong = make_ask("a", possible=(Window(9, 1080, 1140),))
    with pytest.raises(ProblemError, match="no day of the plan"):
        reshare(problem, plan, Alteration(asks_changed=(wrong,)), EFFORT)


def test_a_typical_club_is_proved_and_repeats(by_steps: Callable[[float], Effort]) -> None:
    """Twenty squads, one pitch closed one evening: proved, sound, and the same a second time."""
    problem = example(20, 2, 1, 0.8)
    plan = solve(problem, by_steps(3)).placements
    alteration = Alteration(closures=(Closure("pitch-1/whole", 1),))
    seen: list[Progress] = []
    result = reshare(problem, plan, alteration, by_steps(3), seen.append)
    assert result.hit
    assert result.outcome.is_repeatable
    assert [level.is_proved for level in result.outcome.levels[:2]] == [True, True]
    assert verify(result.problem, result.outcome) == ()
    assert [progress.level for progress in seen] == [1, 2, 3]
    again = reshare(problem, plan, alteration, by_steps(3))
    assert again.outcome.placements == result.outcome.placements
    assert displacement(result.problem, plan, result.outcome.placements) == (
        result.outcome.levels[2].value
    )


def test_a_clock_that_ends_after_the_last_proof_has_cut_nothing() -> None:
    """What is proved is told as done, though there is no time left a moment later."""
    problem, plan = standing_club()
    brake = Brake()

    def stop(progress: Progress) -> None:
        if progress.level == progress.level_count:
            brake.pull()

    closed = Alteration(closures=(Closure("top-thirds-1", 0, (), 1080, 1140),))
    result = reshare(problem, plan, closed, EFFORT, stop, brake)
    assert brake.is_pulled
    assert result.outcome.kind is Kind.PROVED_BEST
    assert result.outcome.is_repeatable


def test_out_of_time_claims_no_proof(by_steps: Callable[[float], Effort]) -> None:
    """With next to no effort there is a sound plan, and nothing is called proved that is not."""
    problem = example(40, 4, 1, 1.0)
    plan = solve(problem, by_steps(2)).placements
    result = reshare(
        problem, plan, Alteration(closures=(Closure("pitch-1/whole", 1),)), Effort(seconds=0.1)
    )
    assert not result.outcome.is_repeatable
    assert check(result.problem, result.outcome.placements) == ()
    assert result.outcome.kind is not Kind.PROVED_BEST
    assert "not proved" in result.sentence


def test_sessions_are_matched_the_shortest_way() -> None:
    """Two sessions that swap numbers have not moved at all."""
    problem, _ = standing_club()
    days = make_days(2)
    problem = replace(problem, days=days)
    old = [Placement("a", n, "top-thirds-0", n, 1080, 1140) for n in (0, 1)]
    new = [Placement("a", 1 - n, "top-thirds-0", n, 1080, 1140) for n in (0, 1)]
    assert displacement(problem, old, new) == 0
    assert match_sessions(problem, old, new[:1]) == [(old[0], new[0]), (old[1], None)]


def test_an_alteration_reads_back_and_tells_every_fault() -> None:
    """Exact both ways; what points to nothing, and what it would make faulty, with its place."""
    problem, _ = standing_club()
    sound = Alteration(
        closures=(Closure("top-thirds-0", 0, (MONDAY,), 0, 900, "Sown"),),
        asks_added=(make_ask("d"),),
        asks_changed=(make_ask("a", minutes=45),),
        squads_dropped=frozenset({"squad b"}),
        pins=(Placement("d", 0, "lane-whole-0", 0, 1080, 1140),),
    )
    assert read_alteration(write_value(sound).encode(), problem) == (sound, ())
    assert read_alteration(b"{}", problem) == (Alteration(), ())
    wrong = {
        "closures": [
            {"ground": "x", "day": 0},
            {"ground": "top-thirds-0", "day": 3},
            {"ground": "top-thirds-0", "day": 0, "dates": ["2030-01-01"]},
            {"ground": "top-thirds-0", "day": 0, "start_min": 60, "end_min": 60},
        ],
        "squads_dropped": ["squad b", "squad z"],
        "asks_changed": [json.loads(write_value(make_ask("b")))],
        "asks_added": [json.loads(write_value(make_ask("c")))],
        "pins": [json.loads(write_value(Placement("z", 0, "x", 0, 0, 60)))],
        "colour": 1,
    }
    found, faults = read_alteration(json.dumps(wrong).encode(), problem)
    assert found is None
    assert {fault.where for fault in faults} == {
        "$.colour",
        "$.closures[0].ground",
        "$.closures[1].day",
        "$.closures[2].dates[0]",
        "$.closures[3].end_min",
        "$.squads_dropped",
        "$.asks_changed[0].key",
        "$.asks_added[0].key",
        "$.pins[0].ask",
    }
    late = {
        "asks_added": [json.loads(write_value(make_ask("d", possible=(Window(4, 0, 60),))))],
        "pins": [json.loads(write_value(Placement("a", 0, "x", 0, 0, 60)))],
    }
    _, faults = read_alteration(json.dumps(late).encode(), problem)
    assert {fault.where for fault in faults} == {
        "$.asks_added[0].possible[0].day",
        "$.pins[0].ground",
    }


def test_a_result_of_a_reshare_can_be_written() -> None:
    """The whole result, altered problem included, goes into JSON and back."""
    problem, plan = standing_club()
    closed = Closure("top-thirds-1", 0, (MONDAY + timedelta(days=0),))
    result = reshare(problem, plan, Alteration(closures=(closed,)), EFFORT)
    assert faults_of(Alteration(closures=(closed,)), problem) == ()
    body = json.loads(write_value(result))
    assert set(body) == {"problem", "outcome", "hit", "disturbed", "moves"}
    assert read_outcome(json.dumps(body["outcome"]).encode()) == (result.outcome, ())


def test_where_not_all_can_be_placed_more_is_placed_than_simply_fits(
    by_steps: Callable[[float], Effort],
) -> None:
    """What stays is filled up, then bettered; the same for the same seed, and true."""
    problem = example(14, 2, 3, 1.0)
    standing = solve(problem, by_steps(2)).placements
    whole = next(ground.key for ground in problem.grounds if ground.cut == "whole")
    closed = Alteration(closures=(Closure(whole, 0),))
    places = Places(survey(alter(problem, closed)), standing)
    first = places.worth.values(first_plan(places))[PLACING]
    results = [reshare(problem, standing, closed, by_steps(6)) for _ in range(2)]
    assert results[0].outcome.levels[0].value > first
    assert verify(results[0].problem, results[0].outcome) == ()
    assert results[0].outcome.placements == results[1].outcome.placements


def test_whole_days_better_a_plan_with_the_others_held(by_steps: Callable[[float], Effort]) -> None:
    """Placed anew two days at a time, a plan that only fills up comes to more, and is sound."""
    problem = example(14, 2, 3, 1.0)
    standing = solve(problem, by_steps(2)).placements
    closed = Alteration(closures=tuple(Closure("pitch-1/whole", day) for day in (0, 1)))
    altered = alter(problem, closed)
    work = Work(survey(altered), standing, Budget(by_steps(6)), None)
    model = ReshareModel(work.places)
    weight = len(model.changed) + 1

    def value() -> int:
        points, disturbed, *_unused = work.values(work.plan)
        return weight * points - disturbed

    both = [weight * model.share.aims.points, -1 * model.disturbed]
    model.share.model.maximize(cp_model.LinearExpr.sum(both))
    first, most = value(), weight * work.places.worth.most()[PLACING]
    work.better_by_days(model, 1.0, value, most)
    assert value() > first
    assert not check(altered, work.placements(work.plan))


def test_a_pitch_closed_for_good_is_proved(by_steps: Callable[[float], Effort]) -> None:
    """Who is disturbed is proved fewest where a third of the ground goes, however many workers."""
    problem = example(16, 3, 1, 0.75)
    standing = solve(problem, by_steps(3)).placements
    closed = Alteration(closures=tuple(Closure("pitch-1/whole", day.index) for day in problem.days))
    found = set()
    for workers in (1, 2):
        effort = replace(by_steps(4), workers=workers)
        result = reshare(problem, standing, closed, effort)
        assert verify(result.problem, result.outcome) == ()
        assert result.is_fewest
        found.add(tuple(level.value for level in result.outcome.levels[:2]))
    assert len(found) == 1
