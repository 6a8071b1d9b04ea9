"""Worked examples of fair division, each small enough to be followed with a pencil.

All are from memory, and worked out once more by hand in each docstring:

- max-min fair rates in a network, filled up step by step: D. Bertsekas and R. Gallager, Data
  Networks, 2nd edition (1992), section 6.5.2;
- the Alabama paradox with three states of 6, 6 and 2: told in many introductions to apportionment;
- Adams's method as the one that leaves the worst-off state most for its people: M. Balinski and
  H. P. Young, Fair Representation (1982).

In a share-out "served" is relative: sessions that a squad has, weighed by how good they are, over
the best it could have alone. So states are squads that ask for as many sessions as they have
people, seats are evenings, and a flow's rate is how often it has the hour everybody prefers.
Beyond the worst-off squad the aims look at thresholds and then at the sum, rank by rank at nothing:
where the books go on to lift the second worst, only examples are held here in which both agree.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import timedelta
from itertools import product
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing import Day, Effort, Kind, Window
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.solving.solve import solve
from tests.sharing.builders import MONDAY, make_ask, make_days, make_pitch, make_problem

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.sharing import Outcome, Problem

SIX, SEVEN, NINE = 18 * 60, 19 * 60, 21 * 60
EFFORT = Effort(seconds=60.0)


def solved(problem: Problem) -> Outcome:
    """Share out; what is held against the books is proved best and passes the check."""
    outcome = solve(problem, EFFORT)
    assert outcome.kind is Kind.PROVED_BEST
    assert verify(problem, outcome) == ()
    return outcome


def network() -> Problem:
    """Return three links of capacity three as two halves and a pitch, and five flows as squads.

    Flow 3 crosses links one and two, so it asks for the whole pitch; 2 and 5 cross link one, 1
    crosses link two, 4 crosses link three. There is ground for all on each of three evenings, and
    everybody would like the first hour.
    """
    grounds = [*make_pitch("links", cuts=("halves", "whole")), *make_pitch("three", venue="quay")]
    surfaces = {"links-halves-0": "grass", "links-halves-1": "artificial"}
    grounds = [
        replace(ground, surface=surfaces.get(ground.key, "hybrid"), area_m2=1000.0)
        for ground in grounds
    ]
    days = range(3)
    possible = tuple(Window(day, SIX, NINE) for day in days)
    preferred = tuple(Window(day, SIX, SEVEN) for day in days)
    crossed = {
        "1": {"surfaces": frozenset({"artificial"})},
        "2": {"surfaces": frozenset({"grass"})},
        "3": {"surfaces": frozenset({"hybrid"}), "venues": frozenset({"park"})},
        "4": {"venues": frozenset({"quay"})},
        "5": {"surfaces": frozenset({"grass"})},
    }
    asks = [
        make_ask(flow, sessions=3, minutes=60, possible=possible, preferred=preferred, **wants)
        for flow, wants in crossed.items()
    ]
    return make_problem(tuple(grounds), *asks, days=make_days(3), step_minutes=60)


def test_rates_in_a_network_are_max_min_fair() -> None:
    """Five flows over links of capacity one: 1/3, 1/3 and 1/3, then 2/3, then 1.

    Fill all flows up evenly. Link one carries 2, 3 and 5 and is full at 1/3 each, which stops
    these. Link two carries 1 beside flow 3: flow 1 goes on to 1 - 1/3 = 2/3. Link three carries 4
    alone, up to 1. A third of a link is one evening's best hour. To grant most wishes in all, flow
    3 would have none: it takes two links where others take one (9 best hours instead of 8).
    """
    outcome = solved(network())
    best = Counter(item.ask for item in outcome.placements if item.start_min == SIX)
    assert dict(best) == {"1": 2, "2": 1, "3": 1, "4": 3, "5": 1}
    assert outcome.placed == 15
    percents = {item.squad_name: item.percent for item in outcome.satisfactions}
    assert min(percents.values()) == percents["Squad 3"] == percents["Squad 2"]


def states(people: Sequence[int], seats: int) -> Problem:
    """Return states as squads that ask for as many sessions as they have people, seats as days."""
    days = tuple(
        Day(n, f"Seat {n + 1}", n % 7, (MONDAY + timedelta(days=n),)) for n in range(seats)
    )
    windows = tuple(Window(n, SIX, SEVEN) for n in range(seats))
    asks = [
        make_ask(f"{number}", sessions=count, minutes=60, possible=windows)
        for number, count in enumerate(people)
    ]
    return make_problem(make_pitch(), *asks, days=days, step_minutes=60)


def seats_of(people: Sequence[int], seats: int) -> list[int]:
    """Share seats out."""
    has = Counter(item.ask for item in solved(states(people, seats)).placements)
    return [has[str(number)] for number in range(len(people))]


def fairest(people: Sequence[int], seats: int) -> set[tuple[int, ...]]:
    """Try every way to give seats away, and return those whose worst-off state has most."""
    ways = [way for way in product(*(range(n + 1) for n in people)) if sum(way) == seats]
    worst = {way: min(has / own for has, own in zip(way, people, strict=True)) for way in ways}
    return {way for way in ways if worst[way] == max(worst.values())}


def test_a_seat_more_takes_none_from_the_smallest() -> None:
    """Three states of 6, 6 and 2 with 10 seats, then 11: the smallest keeps its second seat.

    By largest remainders 10 seats are 4.29, 4.29, 1.43: so 4, 4, 1, and the last seat goes to the
    smallest: 4, 4, 2. With 11 they are 4.71, 4.71, 1.57: so 5, 5, 1, and the smallest loses one.
    The worst-off has 4/6 by 4, 4, 2. Of eleven the worst-off has 4/6 by 5, 4, 2 and 1/2 by 5, 5, 1.
    """
    assert seats_of((6, 6, 2), 10) == [4, 4, 2]
    assert fairest((6, 6, 2), 10) == {(4, 4, 2)}
    eleven = seats_of((6, 6, 2), 11)
    assert sorted(eleven[:2]) == [4, 5]
    assert eleven[2] == 2
    assert fairest((6, 6, 2), 11) == {(5, 4, 2), (4, 5, 2)}


@pytest.mark.parametrize(
    ("people", "seats", "adams"),
    [((7, 5, 3, 1), 8, (3, 2, 2, 1)), ((8, 4, 3, 1), 9, (4, 2, 2, 1))],
)
def test_seats_are_adamss(people: tuple[int, ...], seats: int, adams: tuple[int, ...]) -> None:
    """Adams rounds every state's people over a divisor up, so nobody is left far below their due.

    7, 5, 3, 1 with 8 seats: over 2.5 they are 2.8, 2, 1.2 and 0.4, rounded up 3, 2, 2, 1. Largest
    quotients (7, 5, 3.5, 3, 2.5, 2.33, 1.75, 1.67) give 4, 3, 1, 0 instead.
    8, 4, 3, 1 with 9 seats: over 2.2 they are 3.6, 1.8, 1.4 and 0.5, rounded up 4, 2, 2, 1.
    """
    assert fairest(people, seats) == {adams}
    assert seats_of(people, seats) == list(adams)
