"""The problem list of the coming weeks."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.told.concerns import Concern, ConcernKind
from clubplanner.inputs.club_files.club_file import ClubFile
from clubplanner.services.evening.matches.fixture_rows import load_fixtures
from clubplanner.services.season.ahead import list_concerns, list_concerns_of_day
from clubplanner.services.season.grass.wear import set_wear_limit
from clubplanner.services.season.year import add_break, keep_holiday, set_holiday_place
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    book,
    load_small_club,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club with a session of each squad in each of the coming two weeks.

    `NOW` is Monday 16 November 2026, noon.
    """
    load_small_club(empty_store)
    for n in range(-1, 1):
        day = A_WEDNESDAY + timedelta(weeks=n)
        book(empty_store, KESTRELS, "third-1", day=day)
        book(empty_store, HARRIERS, "third-2", day=day, end_min=19 * 60)
    return empty_store


def concerns(store: Store, kind: ConcernKind, weeks: int = 2) -> list[Concern]:
    """Return the problems of one kind."""
    return [c for c in list_concerns(store, weeks, NOW) if c.kind is kind]


def test_a_season_without_problems_is_silent(small: Store) -> None:
    """Everybody has a session, in the light, with a coach who is there."""
    assert list_concerns(small, 2, NOW) == ()


def test_squads_without_a_session_are_told_by_weeks(small: Store) -> None:
    """Beyond the booked weeks both go without, until the Christmas break begins."""
    found = concerns(small, ConcernKind.NO_SESSION, 8)
    weeks = "have no session in the weeks Mon 30 Nov to Mon 14 Dec, the week of Mon 4 Jan."
    assert [c.words for c in found] == [f"U12 Kestrels {weeks}", f"U14 Harriers {weeks}"]
    assert found[0].day == date(2026, 11, 30)


def test_a_coach_in_two_places_is_told_with_both(small: Store) -> None:
    """The same squad on two grounds at once."""
    book(small, KESTRELS, "half-1", pitch_key=HALL, purpose=Purpose.MATCH)
    (concern,) = concerns(small, ConcernKind.TWO_PLACES)
    assert concern.words == (
        "U12 Kestrels, Wednesday 18:00–19:15, Clubhouse third, Top pitch, Wed 25 Nov: "
        "U12 Kestrels also have Clubhouse half, Hall 18:00–19:15."
    )
    assert concern.target == "desk.evening 2026-11-25 marsh-lane"


def test_dark_endings_matches_and_grass_are_told(small: Store) -> None:
    """Each with where to mend it."""
    book(small, "Choir", "half-1", pitch_key=LOW, purpose=Purpose.HIRE)
    (dark,) = concerns(small, ConcernKind.DARK)
    assert dark.words.startswith(
        "Choir, Wednesday 18:00–19:15, Clubhouse half, Low pitch, Wed 25 Nov: Low pitch has no "
        "lights; it is too dark from 16:0"
    )
    set_wear_limit(small, LOW, 0.5, None, "own measure")
    (worn,) = concerns(small, ConcernKind.WORN)
    assert worn.words == "Low pitch, week of Mon 23 Nov: 125 % of what it bears."
    text = b"date,kick-off,squad,opponent\n2026-11-28,10:00,U12 Kestrels,Brook End\n"
    load_fixtures(small, ClubFile("f.csv", text))
    (match,) = concerns(small, ConcernKind.NO_GROUND)
    assert match.target == "season.match 1"
    assert concerns(small, ConcernKind.NO_GROUND, 1) == [], "next week's, not this week's"


def test_holidays_and_breaks_are_told(small: Store) -> None:
    """An undecided holiday, and training booked in a break."""
    set_holiday_place(small, "GB", "SCT")
    (holiday,) = concerns(small, ConcernKind.UNDECIDED, 3)
    assert holiday.words == "Saint Andrew's Day, Monday 30 November 2026: a public holiday."
    keep_holiday(small, date(2026, 11, 30))
    assert concerns(small, ConcernKind.UNDECIDED, 3) == []
    add_break(small, "Camp", A_WEDNESDAY, A_WEDNESDAY, NOW, withdraws=False)
    (gap,) = concerns(small, ConcernKind.IN_BREAK)
    assert gap.words == (
        "Camp, Wed 25 Nov to Wed 25 Nov: there is no training then. "
        "2 trainings are booked all the same."
    )


def test_the_list_is_in_order_of_urgency(small: Store) -> None:
    """By kind first, then by date."""
    book(small, KESTRELS, "half-1", pitch_key=HALL, purpose=Purpose.MATCH)
    book(small, "Choir", "half-1", pitch_key=LOW, purpose=Purpose.HIRE)
    kinds = [c.kind for c in list_concerns(small, 8, NOW)]
    assert kinds == sorted(kinds, key=list(ConcernKind).index)
    assert kinds[0] is ConcernKind.TWO_PLACES


def test_one_day_tells_what_needs_a_hand_on_it_alone(small: Store) -> None:
    """A coach in two places on Wednesday: told then, not the day before, not when it is over."""
    evening = A_WEDNESDAY
    book(small, KESTRELS, "half-2", pitch_key=HALL, day=evening, purpose=Purpose.MATCH)
    (found,) = list_concerns_of_day(small, evening, NOW)
    assert found.kind is ConcernKind.TWO_PLACES
    assert list_concerns_of_day(small, evening - timedelta(days=1), NOW) == ()
    assert list_concerns_of_day(small, evening, NOW + timedelta(days=30)) == ()
