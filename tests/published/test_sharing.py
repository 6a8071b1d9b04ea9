"""Sharing ground against published examples of sharing rooms and resources."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import combinations
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing import Effort, Kind, Window, check
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from collections.abc import Iterable

BOOKINGS = (
    (13, 15),
    (17, 22),
    (12, 17),
    (9, 10),
    (12, 15),
    (9, 11),
    (11, 14),
    (10, 15),
    (16, 19),
    (12, 14),
    (18, 23),
    (8, 11),
)
"""Twelve bookings in whole hours of an exercise on interval partitioning (CSU Stanislaus CS4440,
after Kleinberg and Tardos, Algorithm Design, section 4.1): six places are needed, and at most
three bookings fit on one."""
DEPTH = 6
COMPATIBLE = 3


def _placed(pitches: int) -> int:
    grounds = tuple(ground for n in range(pitches) for ground in make_pitch(f"p{n}"))
    asks = tuple(
        make_ask(
            f"b{n:02}", minutes=60 * (end - start), possible=(Window(0, 60 * start, 60 * end),)
        )
        for n, (start, end) in enumerate(BOOKINGS)
    )
    problem = make_problem(grounds, *asks, step_minutes=60)
    openings = tuple(replace(o, start_min=0, end_min=24 * 60) for o in problem.openings)
    problem = replace(problem, openings=openings)
    outcome = solve(problem, Effort(seconds=20))
    assert outcome.kind is Kind.PROVED_BEST
    assert check(problem, outcome.placements) == ()
    return outcome.placed


def test_as_many_places_are_needed_as_are_open_at_once() -> None:
    """Six places hold all twelve bookings; with five at least one goes without."""
    assert _placed(DEPTH) == len(BOOKINGS)
    assert _placed(DEPTH - 1) < len(BOOKINGS)


def test_one_place_holds_at_most_three() -> None:
    """The most bookings that are compatible on one place."""
    assert _placed(1) == COMPATIBLE


def _most_at_once(bookings: Iterable[tuple[int, int]]) -> int:
    """Count, hour by hour, how many of some bookings run at once at most."""
    hours = Counter(hour for start, end in bookings for hour in range(start, end))
    return max(hours.values(), default=0)


@pytest.mark.parametrize("pitches", [2, 3, 4, 5])
def test_so_many_places_hold_what_never_runs_at_once_more_often(pitches: int) -> None:
    """The most bookings of which no more run at once than there are places, of all 4,096 choices.

    As many places are enough as run at once: Kleinberg and Tardos, section 4.1, as above.
    """
    most = max(
        size
        for size in range(len(BOOKINGS) + 1)
        if any(_most_at_once(chosen) <= pitches for chosen in combinations(BOOKINGS, size))
    )
    assert _placed(pitches) == most
    assert COMPATIBLE < most < len(BOOKINGS)


@pytest.mark.parametrize("pitches", [2, 3, 4])
def test_what_longest_first_does_not_hold_has_its_place(pitches: int) -> None:
    """Jobs that fill m machines for 3m hours, where longest first takes 4m - 1: all have a place.

    Two jobs each of 2m - 1 down to m + 1 hours and three of m: the worst case of the rule in R. L.
    Graham, Bounds on multiprocessing timing anomalies, SIAM Journal on Applied Mathematics 17
    (1969) (from memory). In one hour less they cannot all lie, since they fill every hour.
    """
    lengths = [hours for hours in range(2 * pitches - 1, pitches, -1) for _ in range(2)]
    lengths += [pitches] * 3
    assert sum(lengths) == 3 * pitches * pitches
    assert _placed_in(lengths, pitches, 3 * pitches) == len(lengths)
    assert _placed_in(lengths, pitches, 3 * pitches - 1) < len(lengths)


def _placed_in(lengths: Iterable[int], pitches: int, hours: int) -> int:
    """Place bookings of some lengths on so many pitches for so many hours; count those placed."""
    grounds = tuple(ground for n in range(pitches) for ground in make_pitch(f"p{n}"))
    window = (Window(0, 480, 480 + 60 * hours),)
    asks = [
        make_ask(f"j{n}", minutes=60 * length, possible=window) for n, length in enumerate(lengths)
    ]
    problem = make_problem(grounds, *asks, step_minutes=60)
    openings = tuple(replace(one, start_min=0, end_min=24 * 60) for one in problem.openings)
    outcome = solve(replace(problem, openings=openings), Effort(seconds=20))
    assert outcome.levels[0].is_proved
    return outcome.placed


CLAIMS = {"a": 2, "b": 4, "c": 6}
ESTATE = 6
AWARDS = {"a": 1, "b": 2, "c": 3}
"""Claims of 100, 200 and 300 on an estate of 300 are met with 50, 100 and 150, half of each: the
last row of the example in R. Aumann and M. Maschler, Game theoretic analysis of a bankruptcy
problem from the Talmud, Journal of Economic Theory 36 (1985) (from memory). Here in units of 50: a
claim is the number of sessions asked for, the estate the number of places. Serving the worst-off
squad, measured by what it could have alone, must come to the same half for each, as the rule of
equal parts of what each could have does on claims (N. Dagan and O. Volij, Mathematical Social
Sciences 26 (1993), from memory)."""


def test_claims_on_too_small_an_estate_are_met_in_equal_parts() -> None:
    """Six evenings with one place each, shared among squads that want two, four and six."""
    days = make_days(ESTATE)
    possible = tuple(Window(day.index, 1080, 1140) for day in days)
    asks = (make_ask(key, sessions=claim, possible=possible) for key, claim in CLAIMS.items())
    problem = make_problem(make_pitch(), *asks, days=days)
    outcome = solve(problem, Effort(seconds=20))
    assert outcome.kind is Kind.PROVED_BEST
    got = {key: sum(item.ask == key for item in outcome.placements) for key in CLAIMS}
    assert got == AWARDS
    assert {item.percent for item in outcome.satisfactions} == {50}
