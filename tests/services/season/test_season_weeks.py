"""Weeks × squads: what is booked, against what is asked, with breaks, closures and the dark."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError
from clubplanner.services.season.season_weeks import see_season_weeks
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HARRIERS, LOW, SETTINGS, book, load_small_club
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from clubplanner.services.season.season_weeks import SeasonWeeks, WeekCell
    from clubplanner.store.engine import Store

FIRST = date(2026, 10, 12)


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club, whose winter begins on Monday 12 October 2026."""
    return small


def cell_of(page: SeasonWeeks, squad: int, monday: date) -> WeekCell:
    """Return a squad's cell of a week."""
    column = next(n for n, head in enumerate(page.heads) if head.monday == monday)
    return page.rows[squad].cells[column]


def test_every_week_of_the_stretch_is_a_column(store: Store) -> None:
    """From the first Monday to the last week, breaks named, today marked."""
    page = see_season_weeks(store, None, NOW)
    assert page.stretches == (("winter", "Winter"),)
    assert [head.monday for head in page.heads] == [FIRST + timedelta(weeks=n) for n in range(26)]
    assert [head.day for head in page.heads if head.breaks] == ["21 Dec", "28 Dec"]
    assert [head.monday for head in page.heads if head.is_now] == [date(2026, 11, 16)]
    assert [(row.name, row.asked) for row in page.rows] == [
        ("U12 Kestrels", 1),
        ("U14 Harriers", 2),
    ]


def test_sessions_are_held_against_what_is_asked(store: Store) -> None:
    """Fewer than asked for is short, except in a break; withdrawn ones do not count."""
    book(store)
    book(store, HARRIERS, "third-2")
    page = see_season_weeks(store, "winter", NOW)
    week = A_WEDNESDAY - timedelta(days=2)
    kestrels, harriers = (cell_of(page, n, week) for n in (0, 1))
    assert (kestrels.count, kestrels.is_short) == (1, False)
    assert (harriers.count, harriers.is_short) == (1, True)
    assert not cell_of(page, 0, date(2026, 12, 21)).is_short
    assert cell_of(page, 0, date(2026, 12, 14)).is_short


def test_dark_endings_and_closures_are_counted(store: Store) -> None:
    """An unlit pitch in November at 19:15 is dark, and at 7:00; a lit one is not; closures."""
    book(store, area_key="half-1", pitch_key=LOW)
    book(store, area_key="half-1", pitch_key=LOW, start_min=420, end_min=480)
    book(store, HARRIERS)
    book(store, "Frost", "half-2", pitch_key=LOW, purpose=Purpose.CLOSED)
    page = see_season_weeks(store, None, NOW)
    week = A_WEDNESDAY - timedelta(days=2)
    assert [cell_of(page, n, week).dark for n in (0, 1)] == [2, 0]
    assert [head.closed for head in page.heads if head.monday == week] == [1]


def test_the_present_stretch_is_shown_else_the_next_else_the_last(empty_store: Store) -> None:
    """By the date of looking; an unknown one is told."""
    more = '\n[[stretches]]\nname = "Summer"\nstarts = 2027-04-19\nends = 2027-06-30\n'
    load_small_club(empty_store, settings=SETTINGS + more)
    for at, key in (
        (NOW - timedelta(days=300), "winter"),
        (NOW, "winter"),
        (NOW.replace(year=2027, month=4), "summer"),
        (NOW.replace(year=2030), "summer"),
    ):
        assert see_season_weeks(empty_store, None, at).key == key
    with pytest.raises(MissingError, match="the stretches are: winter, summer"):
        see_season_weeks(empty_store, "autumn", NOW)


def test_the_page_says_the_same_in_words(store: Store) -> None:
    """Counts and the sign for the dark stand as text, so that colour is not needed."""
    book(store, area_key="half-1", pitch_key=LOW)
    desk = sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)
    page = desk.get("/desk/season/weeks").text
    assert "1 ☾1" in page
    assert "Christmas" in page
    assert desk.get("/desk/season/weeks?stretch=nothing").status_code == 404
