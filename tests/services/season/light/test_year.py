"""The year's light at a venue: what is drawn on it, and the same by month."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError
from clubplanner.services.season.light.year import YearOfLight, see_light_year
from clubplanner.store.tables.ground_tables import VenueRow
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HALL, HARRIERS, KESTRELS, LOW, book

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


TODAY = NOW.date()


def see(store: Store, day: date = TODAY) -> YearOfLight:
    """Look at the year that holds a date."""
    year = see_light_year(store, None, day, NOW, lambda first: f"?from={first}")
    assert year is not None
    return year


def test_each_session_lies_where_the_light_puts_it(small: Store) -> None:
    """Unlit after dusk: dark. Lit: lamps from dusk on. By day: an end. In a hall: nothing."""
    book(small, KESTRELS, "half-1", pitch_key=LOW)
    book(small, HARRIERS, "third-1")
    book(small, KESTRELS, "third-2", start_min=13 * 60, end_min=14 * 60)
    book(small, HARRIERS, "whole", pitch_key=HALL)
    drawn = see(small).drawn
    (dark,) = drawn.dark
    assert (dark.day, dark.from_min, dark.until_min) == (A_WEDNESDAY, 18 * 60, 19 * 60 + 15)
    (lit,) = drawn.lamps
    assert (lit.day, lit.from_min, lit.until_min) == (A_WEDNESDAY, 18 * 60, 19 * 60 + 15)
    assert drawn.ends == ((A_WEDNESDAY, 14 * 60),)


def test_lamps_of_two_pieces_are_drawn_once_and_ground_that_is_closed_never(small: Store) -> None:
    """Two thirds of one pitch at a time burn its lamps once; nobody comes to closed ground."""
    book(small, KESTRELS, "third-1", start_min=18 * 60, end_min=19 * 60)
    book(small, HARRIERS, "third-2", start_min=18 * 60 + 30, end_min=19 * 60 + 30)
    book(small, "Frost", "half-1", pitch_key=LOW, purpose=Purpose.CLOSED)
    year = see(small)
    (lit,) = year.drawn.lamps
    assert (lit.from_min, lit.until_min) == (18 * 60, 19 * 60 + 30)
    assert year.drawn.dark == ()
    (november,) = (month for month in year.months if month.name == "November 2026")
    assert (november.sessions, november.lamp_minutes, november.dark) == (2, 90, 0)
    assert november.lamps == "1.5 h"


def test_a_year_is_twelve_months_from_the_season_on(small: Store) -> None:
    """The small club's season begins in October; any date of the year shows the same year."""
    year = see(small)
    assert (year.drawn.first, year.drawn.last) == (date(2026, 10, 1), date(2027, 9, 30))
    assert see(small, date(2027, 9, 30)).drawn.first == date(2026, 10, 1)
    assert see(small, date(2027, 10, 1)).drawn.first == date(2027, 10, 1)
    assert [month.first for month in year.drawn.months] == [
        date(2026 + (n > 12), (n - 1) % 12 + 1, 1) for n in range(10, 22)
    ]
    assert year.drawn.today == TODAY
    assert see(small, date(2028, 1, 1)).drawn.today is None


def test_the_curve_steps_by_the_hour_that_the_clocks_change(small: Store) -> None:
    """In the United Kingdom on 25 October 2026 and 28 March 2027 (Summer Time Order 2002)."""
    year = see(small)
    for day, step in ((date(2026, 10, 25), -60), (date(2027, 3, 28), 60)):
        n = (day - year.drawn.first).days
        before, after = year.drawn.sunset[n - 1], year.drawn.sunset[n]
        assert before is not None
        assert after is not None
        assert after - before == pytest.approx(step, abs=3)
    assert year.changes == ("Sun 25 Oct 2026, back 1 h", "Sun 28 Mar 2027, forward 1 h")
    assert "The clocks change: Sun 25 Oct 2026" in year.drawn.summary


def test_the_picture_says_in_words_what_it_shows(small: Store) -> None:
    """How many sessions, how many end in the dark, how long floodlights burn."""
    assert "0 sessions are booked outdoors." in see(small).drawn.summary
    for n in range(2):
        book(small, KESTRELS, "half-1", pitch_key=LOW, day=A_WEDNESDAY + timedelta(weeks=n))
    book(small, HARRIERS, "third-1")
    year = see(small)
    assert "3 sessions are booked outdoors. 2 end in the dark." in year.drawn.summary
    assert "The sun sets between 15:" in year.drawn.summary
    assert year.drawn.summary in year.drawing
    assert year.drawn.summary in year.narrow


def test_a_venue_without_a_place_has_no_curve(small: Store) -> None:
    """Nobody can tell its light; a venue that is not there is told."""
    with small.write() as session:
        for row in session.scalars(select(VenueRow)):
            row.lon = row.lat = None
    assert see_light_year(small, None, TODAY, NOW) is None
    with pytest.raises(MissingError):
        see_light_year(small, "moon", TODAY, NOW)


def test_where_the_sun_stays_up_or_down_for_weeks_that_is_said(small: Store) -> None:
    """Latest and earliest sunset alone tell of a place by the polar circle what is not so."""
    with small.write() as session:
        row = session.scalars(select(VenueRow)).one()
        row.lon, row.lat = 18.9553, 69.6492
    words = see(small).drawn.summary
    assert re.search(r"The sun does not rise from 2\d Nov to 1\d Jan\.", words)
    assert re.search(r"The sun does not set from \d+ May to \d+ Jul\.", words)
