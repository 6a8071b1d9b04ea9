"""Looking at neighbours only finds what looking at everything finds."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from clubplanner.sharing import Placement, Problem, check
from clubplanner.sharing.checks import checking
from clubplanner.sharing.checks.by_place import ByPlace, Sessions, pairs_with_one_of
from clubplanner.sharing.checks.exchanging import next_session
from clubplanner.sharing.checks.in_way import InWay
from clubplanner.sharing.checks.places_alone import PlacesAlone, lost_dates
from tests.sharing.test_against_brute_force import tiny_problems

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from clubplanner.sharing import Ask

STARTS = (1050, 1065, 1080, 1095, 1110, 1140)
MANY = settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])


class _Whole:
    """A problem that is not cut up."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem

    def on(self, _pitch: str) -> Problem:
        """Return the whole."""
        return self._problem

    def at(self, _pitch: str, _day: int) -> Problem:
        """Return the whole."""
        return self._problem


def _all_pairs(
    items: Sequence[Placement], *keys: Callable[[Placement], object]
) -> list[tuple[Placement, Placement]]:
    """Pair everybody with everybody, or all that have the one key in common."""
    every = list(combinations(items, 2))
    return every if len(keys) > 1 else [(a, b) for a, b in every if keys[0](a) == keys[0](b)]


@st.composite
def crowded(draw: st.DrawFn) -> tuple[Problem, tuple[Placement, ...]]:
    """Draw a problem whose asks share squads and coaches, and a plan that breaks most rules."""
    problem = draw(tiny_problems())
    asks = tuple(
        replace(
            ask,
            sessions=3,
            squad=draw(st.sampled_from([ask.squad, "one"])),
            coach=draw(st.sampled_from([None, "Ada", "Bo"])),
            pinned=(),
            rest_days=draw(st.sampled_from([0, 1])),
            most_in_a_row=draw(st.sampled_from([None, 1, 2])),
        )
        for ask in problem.asks
    )
    problem = replace(problem, asks=asks, pairs=())
    pins = [draw(_sessions(problem, ask)) for ask in asks]
    is_pinned = draw(st.booleans())
    if is_pinned:
        first = replace(asks[0], pinned=(replace(pins[0], session=0, lost_dates=()),))
        problem = replace(problem, asks=(first, *asks[1:]))
    drawn = [
        *pins,
        *(
            draw(_sessions(problem, draw(st.sampled_from(asks))))
            for _ in range(draw(st.integers(0, 6)))
        ),
    ]
    return problem, tuple(dict.fromkeys(drawn))


@st.composite
def _sessions(draw: st.DrawFn, problem: Problem, ask: Ask) -> Placement:
    ground = draw(st.sampled_from(problem.grounds))
    day = draw(st.sampled_from(problem.days))
    start = draw(st.sampled_from(STARTS))
    lost = lost_dates(problem, ground, day, start, start + ask.minutes)
    lost = draw(st.sampled_from([lost, lost, ()]))
    number = draw(st.integers(0, 2))
    return Placement(ask.key, number, ground.key, day.index, start, start + ask.minutes, lost)


@given(drawn=crowded())
@MANY
def test_neighbours_are_enough(drawn: tuple[Problem, tuple[Placement, ...]]) -> None:
    """The check finds the same faults, in the same order, as with everybody paired with all."""
    problem, plan = drawn
    found = check(problem, plan)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(checking, "pairs_with_one_of", _all_pairs)
        patch.setattr(checking, "ByPlace", _Whole)
        assert check(problem, plan) == found


@given(drawn=crowded())
@MANY
def test_nobody_is_near_but_those_who_are(
    drawn: tuple[Problem, tuple[Placement, ...]],
) -> None:
    """What is wrong with a new session is seen from those near it, with what is said of them."""
    problem, (*plan, fresh) = drawn
    near = [*Sessions(problem, plan).near([fresh]), fresh]

    def wrong(part: Problem, sessions: Sequence[Placement]) -> list[Any]:
        faults = check(part, sessions)
        return [one for one in faults if one.code != "pin" and fresh in one.placements]

    about = ByPlace(problem).about(near)
    # limits are told in the order of pitches, of which a session has one
    assert wrong(about, near) == wrong(problem, [*plan, fresh])


@given(drawn=crowded())
@MANY
def test_whoever_is_in_nobodys_way_is_so_by_every_rule(
    drawn: tuple[Problem, tuple[Placement, ...]],
) -> None:
    """A place that every rule passes has nobody in its way, and is listed."""
    problem, plan = drawn
    places, sessions = PlacesAlone(problem), Sessions(problem, plan)
    in_way = InWay(problem, sessions, places)
    for ask in problem.asks:
        listed = {one.place: one for one in in_way.of(ask)}
        number = max(3, next_session(ask, plan))
        wider = replace(
            problem,
            asks=tuple(replace(one, sessions=number + 1) for one in problem.asks),
        )
        for place, ground in places.of(replace(ask, pinned=())):
            tried = replace(places.with_lost(ground, place), session=number)
            faults = check(wider, [*plan, tried])
            if not any(tried in fault.placements for fault in faults):
                assert place in listed
                assert not listed[place].in_way
                assert not in_way.is_beyond_limit(ask, listed[place])


def test_a_pair_with_two_things_in_common_stands_once_and_in_order() -> None:
    """Pairs come as they would if everybody were paired; what is None is in common with nobody."""
    items = [Placement(key, 0, "g", day, 0, 60) for key, day in (("a", 0), ("b", 1), ("a", 1))]
    coach: dict[str, str | None] = {"a": None, "b": None}
    found = pairs_with_one_of(
        items, lambda item: item.day, lambda item: item.ask, lambda item: coach[item.ask]
    )
    assert found == [(items[0], items[2]), (items[1], items[2])]
