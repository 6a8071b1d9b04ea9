"""What a coach sees of their squads: the next ground, the coming weeks."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Person, Role
from clubplanner.services.coach.coach_pages import COMING_WEEKS, NEAR_WEEKS, see_coach, see_weeks
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HARRIERS, KESTRELS, LOW, book

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

COACH = Person(1, "Robin Hale", Role.COACH, "", frozenset({KESTRELS}))
BOTH = Person(2, "Sam Reed", Role.COACH, "", frozenset({KESTRELS, HARRIERS}))


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


def test_the_next_ground_is_drawn_with_its_neighbours(store: Store) -> None:
    """The first session ahead: where, when, which way, who is next door, until when light lasts."""
    book(store, area_key="half-1", pitch_key=LOW)
    book(store, HARRIERS, "half-2", pitch_key=LOW)
    book(store, day=A_WEDNESDAY + timedelta(days=7))
    page = see_coach(store, COACH, NOW)
    (ground,) = page.sessions
    assert (ground.squad_name, ground.times) == ("U12 Kestrels", "18:00–19:15")
    assert ground.day_words == "Wednesday 25 November 2026"
    assert (ground.area_name, ground.pitch_name) == ("Clubhouse half", "Low pitch")
    assert ground.next_door == ("U14 Harriers on Road half, towards the road end",)
    assert ground.ends.startswith("Clubhouse end on the left of the plan")
    assert "be off the ground by" in ground.dark_warning, "an unlit pitch in November"
    assert ground.drawing.startswith("<svg")


def test_a_coach_of_two_squads_sees_both_of_the_same_evening(store: Store) -> None:
    """All of the next day, and the weeks name the squad."""
    book(store)
    book(store, HARRIERS, "third-2")
    page = see_coach(store, BOTH, NOW)
    assert [ground.squad_name for ground in page.sessions] == ["U12 Kestrels", "U14 Harriers"]
    assert [name for _, name in page.squads] == ["U12 Kestrels", "U14 Harriers"]
    assert len(see_coach(store, COACH, NOW).sessions) == 1


def test_weeks_say_how_they_differ(store: Store) -> None:
    """Named from this week on, with what differs and the break that explains a gap."""
    for week, area in enumerate(("third-1", "third-1", "third-3", "third-1")):
        book(store, area_key=area, day=A_WEDNESDAY + timedelta(weeks=week))
    weeks = see_weeks(store, COACH, NOW).weeks
    assert [week.name for week in weeks] == [
        "Next week",
        "Week of Monday 30 November 2026",
        "Week of Monday 7 December 2026",
        "Week of Monday 14 December 2026",
    ]
    assert [line.differs for week in weeks for line in week.lines] == [
        (),
        (),
        ("not on Clubhouse third, Top pitch as usual",),
        (),
    ]


def test_weeks_as_usual_can_be_told_in_short(store: Store) -> None:
    """The near weeks are marked, and those that differ; the first page's day is known."""
    for week, area in enumerate(("third-1", "third-1", "third-1", "third-3", "third-1")):
        book(store, area_key=area, day=A_WEDNESDAY + timedelta(weeks=week))
    page = see_weeks(store, COACH, NOW)
    assert page.next_day == A_WEDNESDAY
    assert [week.is_near for week in page.weeks] == [n < NEAR_WEEKS for n in range(5)]
    assert [week.is_unusual for week in page.weeks] == [False, False, False, True, False]


def test_a_gap_in_a_break_says_so(store: Store) -> None:
    """The break's name stands beside the day without a session."""
    for week in (2, 3, 5):
        book(store, day=A_WEDNESDAY + timedelta(weeks=week))
    now = NOW + timedelta(weeks=3)
    weeks = see_weeks(store, COACH, now).weeks
    assert weeks[-2].gaps == ("No session on Wednesday 23 December 2026, Christmas.",)
    assert see_weeks(store, BOTH, now).weeks[-2].gaps == (
        "U12 Kestrels: no session on Wednesday 23 December 2026, Christmas.",
    )


def test_only_what_is_ahead_is_shown(store: Store) -> None:
    """Neither the past nor what lies further ahead than the weeks shown."""
    first = A_WEDNESDAY - timedelta(weeks=1)
    last = first + timedelta(weeks=COMING_WEEKS)
    book(store, day=first)
    book(store, day=last)
    assert len(see_weeks(store, COACH, NOW).weeks) == 1
    (week,) = see_weeks(store, COACH, NOW + timedelta(days=4)).weeks
    assert [line.day for line in week.lines] == [last], "the next one, however far ahead"


def test_a_coach_with_nothing_ahead(store: Store) -> None:
    """The squads are named, and nothing else is there."""
    page = see_coach(store, COACH, NOW)
    assert (page.squads, page.sessions, page.missed) == (((KESTRELS, "U12 Kestrels"),), (), ())
    weeks = see_weeks(store, COACH, NOW)
    assert (weeks.squads, weeks.next_day, weeks.weeks) == (page.squads, None, ())
    nobody = Person(3, "New", Role.COACH, "")
    assert see_coach(store, nobody, NOW).squads == ()
