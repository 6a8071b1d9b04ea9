"""Reasons for one evening, or one date a weekday, in other words than those for a weekly plan."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing import Day, Placement, Standing, Window
from clubplanner.sharing.ground.terrain import survey
from clubplanner.sharing.reasons.reasons import contradictions, explain
from clubplanner.sharing.reasons.telling.telling import tell_reason
from tests.sharing.builders import MONDAY, make_ask, make_pitch, make_problem

if TYPE_CHECKING:
    from clubplanner.sharing import Problem

EVENING = (Day(0, "Monday 7 September", 0, (MONDAY,)),)
WEEKLY = (Day(0, "Monday", 0, tuple(MONDAY + timedelta(weeks=n) for n in range(3))),)


def _match(days: tuple[Day, ...], ask_changes: dict[str, object]) -> Problem:
    """Return one pitch with a match on every date from 18:00 to 20:00, and one ask."""
    matches = tuple(Standing("top", 4095, day, 1080, 1200, "Match") for day in days[0].dates)
    return make_problem(
        make_pitch(),
        make_ask("a", **ask_changes),
        days=days,
        standing=matches,
        changeover_minutes=0,
    )


@pytest.mark.parametrize(
    ("days", "proof", "near"),
    [
        (
            EVENING,
            "free of standing bookings on Monday 7 September 18:00–20:00.",
            "But for bookings that stand, there would be top whole 1.",
        ),
        (
            WEEKLY,
            "free of standing bookings on enough dates on Monday 18:00–20:00.",
            "But for bookings that stand on too many of its dates, there would be top whole 1.",
        ),
    ],
)
def test_standing_bookings_are_told_by_how_many_dates_there_are(
    days: tuple[Day, ...], proof: str, near: str
) -> None:
    """One evening has one date; "enough dates" would make no sense there."""
    (refusal,) = explain(survey(_match(days, {})), (), is_proved=True)
    assert [tell_reason(reason) for reason in refusal.reasons] == [
        f"There is no place that is {proof}",
        near,
    ]


@pytest.mark.parametrize(
    ("days", "words"),
    [
        (EVENING, "but a standing booking has the ground."),
        (WEEKLY, "but standing bookings take too many of its dates."),
    ],
)
def test_a_pin_on_standing_bookings_is_told_in_the_same_way(
    days: tuple[Day, ...], words: str
) -> None:
    """What a person put on a match is a contradiction, whatever is shared out."""
    pin = Placement("a", 0, "top-whole-0", 0, 1080, 1140)
    (reason,) = contradictions(survey(_match(days, {"pinned": (pin,)})))
    assert tell_reason(reason).endswith(words)


def test_an_evening_of_its_own_day_is_the_evening_itself() -> None:
    """Two sessions in one evening: the second has no other day to go to."""
    problem = make_problem(make_pitch(), make_ask("a", sessions=2), days=EVENING)
    placed = (Placement("a", 0, "top-whole-0", 0, 1080, 1140),)
    (refusal,) = explain(survey(problem), placed, is_proved=True)
    assert [tell_reason(reason) for reason in refusal.reasons] == [
        "A squad has one session of an ask an evening; only Monday 7 September is shared out."
    ]


def test_a_week_with_one_date_a_day_keeps_its_days() -> None:
    """In one week a session can still go to another day of the week."""
    days = (*EVENING, Day(1, "Tuesday 8 September", 1, (MONDAY + timedelta(days=1),)))
    ask = make_ask("a", sessions=3, possible=(Window(0, 1080, 1200), Window(1, 1080, 1200)))
    placed = tuple(Placement("a", n, "top-whole-0", n, 1080, 1140) for n in range(2))
    (refusal,) = explain(survey(make_problem(make_pitch(), ask, days=days)), placed, is_proved=True)
    assert tell_reason(refusal.reasons[0]) == (
        "Each session needs its own day, and Monday 7 September and Tuesday 8 September is all "
        "that is possible."
    )


def test_days_of_rest_are_named_only_where_the_ask_wants_them() -> None:
    """A second session misses ground, not rest; nothing is said of days of rest."""
    days = (*EVENING, Day(1, "Tuesday 8 September", 1, (MONDAY + timedelta(days=1),)))
    ask = make_ask(
        "a",
        sessions=2,
        least_m2=5000.0,
        possible=(Window(0, 1080, 1200), Window(1, 1080, 1200)),
        surfaces=frozenset({"indoor"}),
    )
    placed = (Placement("a", 0, "top-whole-0", 0, 1080, 1140),)
    (refusal,) = explain(survey(make_problem(make_pitch(), ask, days=days)), placed, is_proved=True)
    assert tell_reason(refusal.reasons[0]) == (
        "There is no place that is of indoor on Tuesday 8 September 18:00–20:00. Each session "
        "needs its own day."
    )
    assert refusal.reasons[0].is_proved
