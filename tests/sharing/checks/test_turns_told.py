"""Turns are derived again from their files: true ones pass, and what is bent in them is seen."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from itertools import pairwise, permutations, product
from typing import TYPE_CHECKING

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.sharing import Effort, LoadLimit, Placement, Problem, Standing, Window, check
from clubplanner.sharing.checks.turns_even import least_worst
from clubplanner.sharing.checks.turns_told import TURNS_NOT_CHECKED, verify_turns
from clubplanner.sharing.example.example import example
from clubplanner.sharing.example.example_wants import with_wants
from clubplanner.sharing.files.files import read_turns, write_value
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.turns.even_prices import even_prices
from clubplanner.sharing.turns.telling import Planned, in_order, tell_turns
from clubplanner.sharing.turns.turn_groups import turn_groups
from clubplanner.sharing.turns.turns import TurnGroup, plan_turns
from clubplanner.sharing.values.problem import digest
from clubplanner.sharing.values.turns_taken import GroupTaken, TurnsTaken
from tests.sharing.builders import MONDAY, make_ask, make_days, make_pitch, make_problem
from tests.sharing.checks.bending import bend, swap_members, values_of
from tests.sharing.turns.test_turns import groups

if TYPE_CHECKING:
    from collections.abc import Sequence

    from tests.sharing.checks.bending import Bent

ENTRIES = 2
"""So many entries of each list are bent: the first and the last."""
LATE, EARLY = (Window(0, 1080, 1200),), (Window(0, 1080, 1140),)


def turns_of(
    problem: Problem, plan: Sequence[Placement], still: Sequence[str] = ()
) -> tuple[Problem, TurnsTaken]:
    """Plan the turns of a plan; asks of some keys keep their places."""
    plan = in_order(problem, plan)
    planned = []
    for group, members in turn_groups(problem, plan):
        kept = tuple(n if item.ask in still else None for n, item in enumerate(members))
        own = replace(group, still=kept, balance=tuple(7 * n for n in range(len(members))))
        rota = plan_turns(own, len(problem.days[members[0].day].dates), 1)
        planned.append(Planned(own, members, rota))
    return problem, tell_turns(problem, plan, planned)


def _one_hour() -> tuple[Problem, TurnsTaken]:
    """Four squads, three of which want the early hour; one date of one place is booked."""
    asks = [make_ask(key, possible=LATE, preferred=EARLY) for key in "abc"]
    asks.append(make_ask("d", possible=LATE, preferred=(Window(0, 1140, 1200),)))
    booked = Standing("top", 4095, MONDAY, 1080, 1140, "Match")
    grounds = (*make_pitch("top"), *make_pitch("back"))
    problem = make_problem(grounds, *asks, days=make_days(1, 7), standing=(booked,))
    plan = [
        Placement(key, 0, f"{pitch}-whole-0", 0, start, start + 60)
        for key, (pitch, start) in zip("abcd", product(("top", "back"), (1080, 1140)), strict=True)
    ]
    return turns_of(problem, plan)


def _limited() -> tuple[Problem, TurnsTaken]:
    """Two pitches, one with a limit on its use, one squad that keeps its place, and one apart."""
    asks = [
        make_ask(key, possible=LATE, preferred=EARLY, wear_percent=percent)
        for key, percent in (("a", 100), ("b", 50), ("c", 50), ("d", 100), ("e", 100))
    ]
    asks.append(make_ask("f", possible=(Window(1, 1080, 1140),)))
    grounds = (*make_pitch("top"), *make_pitch("back"), *make_pitch("low"))
    loads = (LoadLimit("top", most_minutes=60),)
    problem = make_problem(grounds, *asks, days=make_days(2, 6), loads=loads)
    places = ("back", 1080), ("top", 1080), ("top", 1140), ("back", 1140), ("low", 1080)
    plan = [
        Placement(key, 0, f"{pitch}-whole-0", 0, start, start + 60)
        for key, (pitch, start) in zip("abcde", places, strict=True)
    ]
    plan.append(Placement("f", 0, "low-whole-0", 1, 1080, 1140))
    return turns_of(problem, plan, still="e")


DRAWN = tuple(product((False, True), (1, 2, 3, 5)))
"""Whether invented clubs have all sorts of wants, and their seeds."""


@cache
def _drawn(has_wants: bool, seed: int) -> tuple[Problem, TurnsTaken]:
    """Turns of an invented club."""
    problem = example(20, 2, seed, 0.8)
    problem = with_wants(problem, seed) if has_wants else problem
    plan = solve(problem, Effort(seconds=1)).placements
    return turns_of(problem, plan, still=(problem.asks[0].key,))


RESULTS = {"one hour": _one_hour, "limited": _limited}


@cache
def _result(name: str) -> tuple[Problem, TurnsTaken]:
    return RESULTS[name]()


def _is_believed(bent: Bent, found: TurnsTaken, taken: TurnsTaken) -> bool:
    """Tell whether the check says that it believes what is bent.

    Of groups it believes that all are there, of the plan where those are who are in none.
    """
    named = {one for what in TURNS_NOT_CHECKED for one in what.fields}
    own = [[item.placements[n] for g in item.turns for n in g.members] for item in (found, taken)]
    if replace(found, turns=taken.turns) == taken and set(found.turns) < set(taken.turns):
        return "$.turns" in named
    if replace(found, placements=taken.placements) == taken and own[0] == own[1]:
        return "$.placements" in named
    named -= {"$.turns", "$.placements"}
    return any(bent.field == one or bent.field.startswith(f"{one}[") for one in named)


@pytest.mark.parametrize("name", RESULTS)
def test_what_is_bent_is_seen_or_said_not_to_be(name: str) -> None:
    """A bent file is refused, told to be untrue, or bent where the check says that it believes."""
    problem, taken = _result(name)
    assert verify_turns(problem, taken) == ()
    bodies = {other: json.loads(write_value(_result(other)[1])) for other in RESULTS}
    others = values_of(bodies.values())
    bends = [*bend(bodies[name], others, ENTRIES), *swap_members(bodies[name], ENTRIES)]
    passed = []
    for bent in bends:
        found, faults = read_turns(bent.text.encode())
        if faults or found is None or found == taken:
            continue
        if verify_turns(problem, found) == () and not _is_believed(bent, found, taken):
            passed.append(f"{bent.place} {bent.how}")
    assert len(bends) > 150
    assert passed == []


def test_every_field_that_is_believed_is_one() -> None:
    """What is named as not checked stands in the files."""
    fields = values_of(json.loads(write_value(_result(name)[1])) for name in RESULTS).keys()
    assert {one for what in TURNS_NOT_CHECKED for one in what.fields} <= fields


@pytest.mark.parametrize(("has_wants", "seed"), DRAWN)
def test_turns_of_drawn_clubs_are_true_and_read_back(has_wants: bool, seed: int) -> None:
    """The check derives burdens, counts and bounds as the planner has them."""
    problem, taken = _drawn(has_wants, seed)
    assert verify_turns(problem, taken) == ()
    assert read_turns(write_value(taken).encode()) == (taken, ())


def test_drawn_clubs_take_turns() -> None:
    """There is something to check: groups with changes, of clubs with limits on use as well."""
    drawn = [_drawn(*one) for one in DRAWN]
    changing = [problem for problem, taken in drawn if any(g.changes for g in taken.turns)]
    assert len(changing) >= 2
    assert any(problem.loads for problem in changing)


def swapped(group: GroupTaken, date: int, one: int, other: int) -> GroupTaken:
    """Let two members change places on a date, and count again what follows from it."""
    turns = [list(turn) for turn in group.turns]
    turns[date][one], turns[date][other] = turns[date][other], turns[date][one]
    size = range(len(group.members))
    counts = tuple(tuple(sum(t[n] == m for t in turns) for m in size) for n in size)
    totals = tuple(
        carried + sum(n * (b or 0) for n, b in zip(row, own, strict=True))
        for carried, row, own in zip(group.carried, counts, group.burdens, strict=True)
    )
    known = [list(size), *turns]
    changes = sum(a != b for old, new in pairwise(known) for a, b in zip(old, new, strict=True))
    return replace(
        group, turns=tuple(map(tuple, turns)), counts=counts, totals=totals, changes=changes
    )


def test_whoever_has_a_place_that_is_none_of_theirs_is_seen() -> None:
    """Whichever two change places: it is told of each who cannot have the place it then has."""
    problem, taken = _result("limited")
    wrong = 0
    for n, group in enumerate(taken.turns):
        for one, other in permutations(range(len(group.members)), 2):
            bent = swapped(group, 0, one, other)
            turns = (*taken.turns[:n], bent, *taken.turns[n + 1 :])
            faults = {fault.code for fault in verify_turns(problem, replace(taken, turns=turns))}
            can_have = [
                group.burdens[member][place] is not None
                and (place == member or not (group.still[member] or group.still[place]))
                for member, place in enumerate(bent.turns[0])
            ]
            assert all(can_have) or "turns" in faults
            wrong += not all(can_have)
    assert wrong


def test_a_week_that_passes_a_limit_is_told() -> None:
    """Turns planned without the limit are not true with it: in some week it is passed."""
    limited, _taken = _result("limited")
    free = replace(limited, loads=())
    _problem, taken = turns_of(free, _taken.placements)
    assert verify_turns(free, taken) == ()
    pretended = replace(taken, problem_digest=digest(limited))
    assert {"load", "burden"} <= {fault.code for fault in verify_turns(limited, pretended)}


@given(st.data())
@settings(max_examples=30, deadline=None)
def test_a_turn_is_held_to_every_rule(data: st.DataObject) -> None:
    """Any two of a day changed about are told exactly where the plan of that date breaks a rule."""
    known = [one for one in DRAWN if _drawn(*one)[1].turns]
    problem, taken = _drawn(*data.draw(st.sampled_from(known)))
    number = data.draw(st.integers(0, len(taken.turns) - 1))
    group = taken.turns[number]
    date = data.draw(st.integers(0, len(group.dates) - 1))
    pair = data.draw(st.permutations(range(len(group.members))))[:2]
    bent = swapped(group, date, *pair)
    own = [taken.placements[n] for n in group.members]
    there = {
        own[n]: replace(own[place], ask=own[n].ask, session=own[n].session)
        for n, place in enumerate(bent.turns[date])
    }
    plan = [there.get(item, item) for item in taken.placements]
    found = verify_turns(
        problem,
        replace(taken, turns=(*taken.turns[:number], bent, *taken.turns[number + 1 :])),
    )
    told = {fault.code for fault in found}
    broken = {fault.code for fault in check(replace(problem, loads=()), plan)}
    assert broken <= told


def test_bookings_that_belong_to_another_problem_are_seen() -> None:
    """A booking more, and the turns are not those of the problem."""
    problem, taken = _result("one hour")
    more = Standing("back", 4095, MONDAY, 1080, 1140, "Match")
    changed = replace(problem, standing=(*problem.standing, more))
    assert [fault.code for fault in verify_turns(changed, taken)] == ["another problem"]
    pretended = replace(taken, problem_digest=digest(changed))
    assert "lost dates" in {fault.code for fault in verify_turns(changed, pretended)}


def grouped_as(group: TurnGroup, periods: int) -> GroupTaken:
    """Return a group with its weights and prices, before it has turns."""
    weights, prices = even_prices(group.burdens, group.allowed, group.carried, periods)
    size = len(group.squads)
    still = tuple(kept is not None for kept in group.still) or (False,) * size
    dates = tuple(day for day in make_days(1, periods)[0].dates)
    return GroupTaken(
        0,
        tuple(range(size)),
        dates,
        still,
        group.carried,
        group.burdens,
        (),
        (),
        (),
        0,
        0,
        0,
        weights,
        prices,
        0,
        is_proved=False,
    )


@given(group=groups(4), periods=st.integers(1, 3), data=st.data())
@settings(max_examples=40, deadline=None)
def test_no_turns_are_below_the_sum_of_any_prices(
    group: TurnGroup, periods: int, data: st.DataObject
) -> None:
    """Whatever weights and prices: the best of all series of turns is no better than their sum."""
    own = grouped_as(group, periods)
    allowed = group.allowed
    turns = [
        turn
        for turn in permutations(range(len(allowed)))
        if all(allowed[n][place] for n, place in enumerate(turn))
    ]
    best = min(
        max(
            carried + sum(row[turn[n]] or 0 for turn in series)
            for n, (carried, row) in enumerate(zip(group.carried, group.burdens, strict=True))
        )
        for series in product(turns, repeat=periods)
    )
    assert least_worst(own) <= best
    weights = data.draw(st.lists(st.integers(0, 9), min_size=len(allowed), max_size=len(allowed)))
    prices = data.draw(st.lists(st.integers(-90, 90), min_size=len(allowed), max_size=len(allowed)))
    if any(weights):
        other = replace(own, weights=tuple(weights), place_prices=tuple(prices))
        assert least_worst(other) <= best


def test_the_sum_reaches_what_the_search_proves_for_an_hour_that_all_want() -> None:
    """Of ten late turns of four squads somebody has three: nobody need believe a search."""
    costs = (0, 0, 20, 20)
    group = TurnGroup(tuple("abcd"), tuple("1234"), (costs,) * 4, before=(0, 1, 2, 3))
    rota = plan_turns(group, 5)
    assert rota.is_proved
    assert least_worst(grouped_as(group, 5)) == rota.fairest_worst == 60
