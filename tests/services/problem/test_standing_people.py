"""What bookings that stand leave of the times a squad asks for, on days of one date."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.settings import ClubSettings
from clubplanner.domain.club.sharing_rules import AgeRule, SharingRules
from clubplanner.services.problem.problem import build_problem
from tests.builders import make_ask, make_booking, make_range, make_squad, make_venue

if TYPE_CHECKING:
    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.sharing import Problem

MONDAY = date(2026, 11, 23)
WEEK = tuple(MONDAY + timedelta(days=n) for n in range(5))
KESTRELS = make_squad()
OWLS = make_squad("U10 Owls", coach=" robin HALE ")
"""Coached by the same person, and asking for nothing."""


def problem_of(*bookings: Booking, asks: tuple[Any, ...] = (), **changes: Any) -> Problem:
    """Build the problem of a week with what stands, for an ask from 17:00 to 21:00."""
    wanted = asks or (make_ask(**changes),)
    club = ClubSettings("Hill Club", "Europe/London", rules=SharingRules((AgeRule(12, None, 50),)))
    return build_problem(
        club,
        (make_venue(),),
        WEEK,
        bookings,
        (KESTRELS, OWLS),
        list(enumerate(wanted)),
        (),
        by_date=True,
    )


def standing(day: int, start_min: int = 1080, end_min: int = 1155, **changes: Any) -> Booking:
    """Return a training that stands on a day of the week, 18:00 to 19:15."""
    during = make_range(WEEK[0] + timedelta(days=day), start_min, end_min)
    return make_booking(during=during, is_fixed=True, **changes)


def times_of(problem: Problem) -> dict[int, list[tuple[int, int]]]:
    """Return the first ask's possible times by day."""
    found: dict[int, list[tuple[int, int]]] = {}
    for window in problem.asks[0].possible:
        found.setdefault(window.day, []).append((window.start_min, window.end_min))
    return found


def test_nobody_is_wanted_where_they_are_elsewhere() -> None:
    """A match of the squad, and one of a squad without an ask that has the same coach."""
    matches = [
        standing(0, purpose=Purpose.MATCH),
        standing(1, purpose=Purpose.MATCH, squad_key=OWLS.key, holder=OWLS.name),
    ]
    times = times_of(problem_of(*matches))
    assert times[0] == times[1] == [(1020, 1080), (1155, 1260)]
    assert times[2] == [(1020, 1260)]


def test_hires_and_closures_need_nobody() -> None:
    """They take ground, which is a rule of its own."""
    hire = standing(0, purpose=Purpose.HIRE, squad_key=None, holder="Choir")
    closed = standing(1, purpose=Purpose.CLOSED, holder="Frost")
    assert set(times_of(problem_of(hire, closed))) == {0, 1, 2, 3, 4}


def test_a_training_that_stands_is_the_one_of_its_day() -> None:
    """One ask, one training a day; with two asks there is room for another beside it."""
    fixed = standing(2)
    assert set(times_of(problem_of(fixed))) == {0, 1, 3, 4}
    two = (make_ask(), make_ask(minutes=60))
    assert times_of(problem_of(fixed, asks=two))[2] == [(1020, 1080), (1155, 1260)]


def test_the_squad_rests_round_a_training_that_stands() -> None:
    """As many days as the ask that wants most, also round one on the Sunday before the week."""
    assert set(times_of(problem_of(standing(2), rest_days=1))) == {0, 4}
    assert set(times_of(problem_of(standing(-1), rest_days=1))) == {1, 2, 3, 4}
    two = (make_ask(), make_ask(minutes=60, rest_days=1))
    problem = problem_of(standing(2), asks=two)
    assert set(times_of(problem)) == {0, 4}
    assert [ask.rest_days for ask in problem.asks] == [1, 1]


def test_evenings_in_a_row_count_what_stands() -> None:
    """After two evenings that stand the third is no longer possible, where two are the most."""
    assert set(times_of(problem_of(standing(1), standing(2), most_in_a_row=2))) == {4}


def test_a_day_with_a_training_that_may_be_moved_stays_possible() -> None:
    """It is there already, so that nobody is sent away by what was decided before."""
    there = replace(standing(3), is_fixed=False)
    assert set(times_of(problem_of(standing(2), there, rest_days=1))) == {0, 3, 4}


def test_what_stands_counts_as_its_squad_does() -> None:
    """A squad's match wears as its age does, a hire in full, a closure not at all."""
    hire = standing(0, purpose=Purpose.HIRE, squad_key=None, holder="Choir")
    closed = standing(1, purpose=Purpose.CLOSED, squad_key=None, holder="Frost")
    problem = problem_of(standing(2, purpose=Purpose.MATCH), hire, closed)
    assert [one.wear_percent for one in problem.standing] == [50, 100, 0]
    assert [one.needs_changeover for one in problem.standing] == [True, True, False]
