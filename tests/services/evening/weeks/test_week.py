"""A venue's week on one page, and where a chosen session could go."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from html import unescape
from io import BytesIO
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError
from clubplanner.outputs.charts.weeks.week_values import Sign
from clubplanner.services.evening.bookings import move_booking, withdraw_booking
from clubplanner.services.evening.weeks.paper import load_drawn_week, print_week
from clubplanner.services.evening.weeks.week import PITCHES, WeekWish, monday_of, see_week
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.rows.named import find_area_id
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.small_club import HARRIERS, TOP, book, load_small_club, pitch_feature

if TYPE_CHECKING:
    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.services.evening.weeks.offers import Offer
    from clubplanner.services.evening.weeks.week import WeekPage
    from clubplanner.store.engine import Store

MONDAY = date(2026, 11, 23)
ALL_THE_SAME = Overruling("The league says so", None)


def _link(booking: Booking) -> str:
    return f"/b/{booking.number}"


def _place(offer: Offer) -> str:
    return f"/p/{offer.area_id}"


def _see(store: Store, now: datetime = NOW, **wish: object) -> WeekPage:
    wanted = WeekWish(**{"venue_key": None, "monday": MONDAY, **wish})  # type: ignore[arg-type]
    return see_week(store, wanted, now, _link, _place)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club, with two sessions on a Wednesday and a match on a Saturday."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, HARRIERS, "third-2", start_min=19 * 60, end_min=20 * 60)
    book(
        empty_store,
        HARRIERS,
        "whole",
        day=date(2026, 11, 28),
        start_min=10 * 60,
        end_min=12 * 60,
        purpose=Purpose.MATCH,
    )
    return empty_store


def test_a_week_begins_on_monday() -> None:
    """Every date has its Monday."""
    assert {monday_of(MONDAY + timedelta(days=n)) for n in range(7)} == {MONDAY}


def test_the_table_has_what_the_drawing_has(store: Store) -> None:
    """Each booking is drawn as a link and stands in the table, under the same number."""
    page = _see(store)
    rows = [row for day in page.days for row in day.rows]
    assert [(row.mark, row.holder, row.times) for row in rows] == [
        ("1", "U12 Kestrels", "18:00–19:15"),
        ("2", "U14 Harriers", "19:00–20:00"),
        ("3", "U14 Harriers", "10:00–12:00"),
    ]
    assert all(f'href="/b/{row.number}"' in page.drawing for row in rows)
    assert page.words == "23 Nov to 29 Nov 2026"


def test_days_that_are_not_drawn_say_why(store: Store) -> None:
    """Sunday is open and nothing is on: it is told in words instead of an empty column."""
    notes = {day.day: day.note for day in _see(store).days if day.note}
    assert notes == {date(2026, 11, 29): "Sunday: nothing is booked, open 09:00–18:00."}


def test_one_day_can_be_drawn_alone(store: Store) -> None:
    """The drawing then holds that day's sessions only; the table keeps the week."""
    page = _see(store, day=A_WEDNESDAY)
    assert page.drawing.count("<a ") == 2
    assert page.near == A_WEDNESDAY
    assert sum(len(day.rows) for day in page.days) == 3


def test_a_narrow_screen_begins_with_the_first_busy_day(store: Store) -> None:
    """Unless today is in the week: then with today."""
    assert _see(store).near == A_WEDNESDAY
    assert _see(store, datetime(2026, 11, 27, 12, tzinfo=UTC)).near == date(2026, 11, 27)


def test_a_session_that_is_chosen_says_where_it_could_go(store: Store) -> None:
    """Harriers may come on any evening: offers lie on free ground and in none of the others'."""
    number = _see(store).days[2].rows[1].number
    chosen = _see(store, chosen=number).chosen
    assert chosen is not None
    assert chosen.words == "Middle third, Top pitch, Wednesday 25 November 2026, 19:00–20:00"
    days = {offer.day for offer in chosen.offers}
    assert MONDAY in days
    assert all(offer.during.minutes == 60 for offer in chosen.offers)
    assert all(offer.during.starts_at > NOW for offer in chosen.offers)
    taken = [o for o in chosen.offers if o.day == A_WEDNESDAY and o.pitch_key == TOP]
    assert not any(o.area_key == "third-2" and o.starts == "19:00" for o in taken)
    page = _see(store, chosen=number)
    assert page.drawing.count('href="/p/') == len(chosen.offers)


def test_offers_never_lie_over_each_other(store: Store) -> None:
    """What is drawn as free for it can be told apart: no two share ground and time."""
    number = _see(store).days[2].rows[1].number
    chosen = _see(store, chosen=number).chosen
    assert chosen is not None
    for n, one in enumerate(chosen.offers):
        for other in chosen.offers[n + 1 :]:
            if one.pitch_key == other.pitch_key and one.during.overlaps(other.during):
                assert {one.area_key, other.area_key} <= {"third-1", "third-2", "third-3"}
                assert one.area_key != other.area_key


def test_a_match_is_offered_its_own_day_only(store: Store) -> None:
    """Others come to it: it is not put on another date."""
    number = _see(store).days[5].rows[0].number
    chosen = _see(store, chosen=number).chosen
    assert chosen is not None
    assert {offer.day for offer in chosen.offers} <= {date(2026, 11, 28)}


def test_what_is_over_has_nowhere_to_go(store: Store) -> None:
    """A session of the past can be looked at, and is offered nothing."""
    later = datetime(2026, 12, 1, tzinfo=UTC)
    number = _see(store).days[2].rows[0].number
    chosen = _see(store, later, chosen=number).chosen
    assert chosen is not None
    assert chosen.is_over
    assert chosen.offers == ()


def test_who_may_not_move_sessions_chooses_none(store: Store) -> None:
    """Without an address for places the number in the query is passed over."""
    number = _see(store).days[2].rows[0].number
    page = see_week(store, WeekWish(None, MONDAY, chosen=number), NOW, _link)
    assert page.chosen is None
    assert _see(store, chosen=9_999_999).chosen is None


def test_a_venue_of_many_pitches_comes_a_leaf_at_a_time(empty_store: Store) -> None:
    """Twelve pitches are three leaves; a number beyond the last shows the last."""
    pitches = tuple(pitch_feature(f"Pitch {n:02}", 60, 40) for n in range(1, 13))
    load_small_club(empty_store, pitches=pitches)
    assert PITCHES == 4
    first, second, last, beyond = (_see(empty_store, pitch=n).drawing for n in (0, 4, 8, 99))
    assert ">Pitch 04<" in first
    assert ">Pitch 05<" not in first
    assert ">Pitch 05<" in second
    assert ">Pitch 12<" in last
    assert beyond == last


def test_an_unknown_venue_is_told(store: Store) -> None:
    """A venue that is not there is a page that says so."""
    with pytest.raises(MissingError):
        _see(store, venue_key="nowhere")


def test_all_pitches_of_the_venue_are_on_it(store: Store) -> None:
    """Also those on which nothing is: free ground is seen."""
    page = _see(store)
    assert page.pitches == ("Top pitch", "Low pitch", "Hall")
    assert all(f">{name}<" in page.drawing for name in page.pitches)


def _titles(drawing: str) -> list[str]:
    return [unescape(words) for words in re.findall(r"<title>([^<]+)</title>", drawing)[1:]]


def _move_first(store: Store, day: date, why: str = "") -> int:
    number = next(row.number for day in _see(store).days for row in day.rows)
    area = find_area_id(store, TOP, "third-3")
    move_booking(store, number, 0, area, make_range(day), NOW, ALL_THE_SAME, why=why)
    return number


def test_what_was_moved_says_from_where_on_the_drawing_and_behind_it(store: Store) -> None:
    """A sign that the key explains, words for whoever hears it, and the same in the table."""
    assert "moved here" not in _see(store).drawing
    _move_first(store, A_WEDNESDAY)
    page = _see(store)
    was = "Moved: was Clubhouse third, Top pitch"
    assert [words for words in _titles(page.drawing) if "Moved" in words] == [
        f"U12 Kestrels, Road third, Top pitch, Wed 25 Nov, 18:00–19:15. {was}"
    ]
    assert "moved here" in page.drawing
    assert "not here any more" not in page.drawing
    (wednesday,) = (day for day in page.days if day.day == A_WEDNESDAY)
    assert [row.state.line if row.state else "" for row in wednesday.rows] == [was, ""]
    assert wednesday.missed == ()


def test_what_went_to_another_day_leaves_a_frame_where_it_was_to_be(store: Store) -> None:
    """On the day that it left with its name and where it is now, though it is in the same week."""
    _move_first(store, A_WEDNESDAY + timedelta(days=1), why="The hall is needed")
    page = _see(store)
    (gone,) = (words for words in _titles(page.drawing) if "Off" in words)
    assert gone.startswith("U12 Kestrels, Clubhouse third, Top pitch, Wed 25 Nov, 18:00–19:15. Off")
    assert "Thu 26 Nov, 18:00–19:15, Road third" in gone
    assert "not here any more" in page.drawing
    assert {day.day: len(day.missed) for day in page.days if day.missed} == {A_WEDNESDAY: 1}
    assert page.drawing.count("Kestrels</text>") == 2


def test_the_sheet_says_what_is_not_as_planned(store: Store) -> None:
    """Whoever has the sheet read aloud hears of what is off, and the drawing has its sign."""
    page = _see(store)
    number = next(row.number for day in page.days for row in day.rows)
    withdraw_booking(store, number, 0, NOW, why="The coach is ill")
    paper = load_drawn_week(store, None, MONDAY)
    assert "Top pitch: Off: The coach is ill" in paper.words
    assert paper.drawn is not None
    signs = [b.sign for p in paper.drawn.pitches for band in p.bands for b in band.blocks]
    assert signs.count(Sign.GONE) == 1


def test_the_sheet_lists_who_is_gone_where_no_name_is_drawn(store: Store) -> None:
    """With day and time, since there is no number; a frame with room enough says it itself."""
    third, _other, match = (row.number for day in _see(store).days for row in day.rows)
    withdraw_booking(store, match, 0, NOW)
    assert "Not here any more:" not in _words_on_sheet(store)
    withdraw_booking(store, third, 0, NOW)
    book(store, HARRIERS, "third-1", start_min=18 * 60 + 15, end_min=19 * 60)
    listed = "Not here any more: Wed 25 Nov, 18:00–19:15 U12 Kestrels"
    assert listed in _words_on_sheet(store)


def _words_on_sheet(store: Store) -> str:
    sheet = print_week(store, "marsh-lane", MONDAY, "a4", NOW)
    return " ".join(PdfReader(BytesIO(sheet)).pages[0].extract_text().split())
