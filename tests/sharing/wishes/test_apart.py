"""A squad's sessions lie apart where nothing that counts more is against it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.sharing import Effort, Kind, Placement, Window
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.checks.worth_late import apart
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.problem import digest
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

EFFORT = Effort(seconds=10)
EVERY_DAY = tuple(Window(day, 1080, 1140) for day in range(5))


def days_of(sessions: int, **changes: object) -> list[int]:
    """Share out one squad's sessions of Monday to Friday; return their days."""
    values = {"possible": EVERY_DAY, **changes}
    ask = make_ask("a", sessions=sessions, **values)
    problem = make_problem(make_pitch(), ask, days=make_days(5, 4), wants_apart=True)
    outcome = solve(problem, EFFORT)
    assert outcome.kind is Kind.PROVED_BEST
    assert verify(problem, outcome) == ()
    return sorted(item.day for item in outcome.placements)


@pytest.mark.parametrize(
    ("sessions", "days"), [(3, [0, 2, 4]), (4, [0, 1, 3, 4]), (5, [0, 1, 2, 3, 4])]
)
def test_days_by_how_many_there_are(sessions: int, days: list[int]) -> None:
    """Three and four have one best choice of five days; five have no choice."""
    assert days_of(sessions) == days


def test_two_have_a_day_between() -> None:
    """Not the first two days that are free."""
    one, other = days_of(2)
    assert other - one > 1


def test_a_typed_wish_counts_more() -> None:
    """A squad that would like Monday and Tuesday has them."""
    assert days_of(2, preferred=EVERY_DAY[:2]) == [0, 1]


def test_no_session_is_given_up() -> None:
    """Where only neighbouring days are possible, both sessions are placed, and it is proved."""
    assert days_of(2, possible=EVERY_DAY[:2]) == [0, 1]


def test_two_asks_of_a_squad_count_as_one() -> None:
    """A squad with an ask of an hour and one of half an hour has a day between, too."""
    asks = (
        make_ask("a", possible=EVERY_DAY[:3], squad="red"),
        make_ask("b", possible=EVERY_DAY[:3], squad="red", minutes=30),
    )
    problem = make_problem(make_pitch(), *asks, days=make_days(5, 4), wants_apart=True)
    outcome = solve(problem, EFFORT)
    assert {item.day for item in outcome.placements} == {0, 2}
    assert outcome.kind is Kind.PROVED_BEST


def test_sunday_is_beside_monday_where_weeks_follow_each_other() -> None:
    """Sunday and Monday are neighbours in a plan of several weeks, not in a single one."""
    plan = tuple(Placement("a", n, "top-whole-0", day, 1080, 1140) for n, day in enumerate((0, 6)))
    for weeks, points in ((1, 0), (2, 1)):
        problem = make_problem(
            make_pitch(), make_ask("a", sessions=2), days=make_days(7, weeks), wants_apart=True
        )
        assert apart(problem, plan) == points


def test_older_problems_keep_their_digest() -> None:
    """A problem without the aims reads as it did before there were any."""
    problem = make_problem(make_pitch(), make_ask("a"))
    assert digest(problem) == "897673b592e06cc4"
    assert digest(replace(problem, wants_apart=True)) != digest(problem)
