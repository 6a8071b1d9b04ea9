"""The pages that move a booking: choose, see who is affected, confirm."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HARRIERS, LOW, TOP, book, find_area_id, kept_bookings, load_small_club
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/bookings/1/places"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with two sessions side by side."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, HARRIERS, "third-2")
    return empty_store


@pytest.fixture
def desk(store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)


def test_a_booking_is_moved_by_looking(desk: FlaskClient, store: Store) -> None:
    """From the booking to every place, to who is affected, to the move."""
    assert f'href="{PAGE}"' in desk.get("/desk/bookings/1").text
    page = desk.get(PAGE).text
    assert "U14 Harriers 18:00–19:15" in page
    third = find_area_id(store, TOP, "third-2")
    path = f"{PAGE}/look?area={third}&amp;date=2026-11-25&amp;from=18:00"
    assert path in page
    look = desk.get(path.replace("&amp;", "&")).text
    assert "1 session has to go" in look
    chosen = re.search(r'value="(\d+@\d+)" selected', look)
    assert chosen is not None
    data = {
        "area": str(third),
        "date": "2026-11-25",
        "from": "18:00",
        "sequence": "0",
        "place-2": chosen[1],
        "csrf_token": token(desk, "/me"),
    }
    done = desk.post(PAGE, data=data, follow_redirects=True).text
    assert "U12 Kestrels moved to Middle third, Top pitch" in done
    assert "Take it back" in done
    assert len(kept_bookings(store)) == 2
    late = desk.post(PAGE, data=data)
    assert late.status_code == 409
    assert "Somebody has changed this booking" in late.text


def test_nothing_moves_to_a_time_that_the_clocks_skip(desk: FlaskClient, store: Store) -> None:
    """It is told, in place of another time, however it is asked for; the booking stays."""
    half = find_area_id(store, LOW, "half-1")
    when = {"date": "2027-03-28", "from": "01:30"}
    said = "01:30 does not come on Sunday 28 March 2027: the clocks go from 01:00 to 02:00."
    was = kept_bookings(store)
    data = {**when, "area": str(half), "sequence": "0", "csrf_token": token(desk, "/me")}
    for answer in (
        desk.get(PAGE, query_string=when),
        desk.get(f"{PAGE}/look", query_string={**when, "area": half}),
        desk.post(PAGE, data=data),
    ):
        assert answer.text.count(said) == 1
        assert "Where U12 Kestrels could go" in answer.text
        assert all(f'value="{typed}"' in answer.text for typed in when.values())
    assert kept_bookings(store) == was


def test_a_time_without_a_date_is_of_the_bookings_own(desk: FlaskClient, store: Store) -> None:
    """Also on the night on which it does not come."""
    book(store, day=date(2027, 3, 28), start_min=180, end_min=240)
    page = desk.get("/desk/bookings/3/places?from=01:30").text
    assert "01:30 does not come on Sunday 28 March 2027" in page
    assert 'value="2027-03-28"' in page
    assert 'value="01:30"' in page


def test_faults_come_back_on_the_page_that_mends_them(desk: FlaskClient, store: Store) -> None:
    """No ground chosen, closed ground, odd times."""
    book(store, "Frost", "whole", pitch_key=LOW, purpose=Purpose.CLOSED)
    half = find_area_id(store, LOW, "half-1")
    assert desk.get(f"{PAGE}/look").status_code == 422
    closed = desk.get(f"{PAGE}/look?area={half}")
    assert closed.status_code == 422
    assert "open it first" in closed.text
    data = {"csrf_token": token(desk, "/me")}
    assert desk.post(PAGE, data=data).status_code == 422
    data.update(area=str(half), sequence="0")
    assert desk.post(PAGE, data=data).status_code == 409
    for query in ("date=x", "from=99:99", "date=9999-12-31", "from="):
        assert "18:00–19:15" in desk.get(f"{PAGE}?{query}").text
    assert desk.get("/desk/bookings/99/places").status_code == 404


@pytest.mark.parametrize(("name", "typed"), [("date", "31.12.2026"), ("from", "25:00")])
def test_nothing_moves_to_a_date_or_time_that_cannot_be_read(
    desk: FlaskClient, store: Store, name: str, typed: str
) -> None:
    """Its own date would be another than the one that was sent."""
    third = find_area_id(store, TOP, "third-2")
    data = {"csrf_token": token(desk, "/me"), "area": str(third), "sequence": "0", name: typed}
    answer = desk.post(PAGE, data=data)
    assert answer.status_code == 422
    assert "Enter " in answer.text
    assert {kept.sequence for kept in kept_bookings(store)} == {0}


def test_nothing_is_to_be_ticked_where_none_of_the_later_ones_can_go(
    desk: FlaskClient, store: Store
) -> None:
    """The later ones are offered with a tick, or told as those that stay."""
    later = A_WEDNESDAY + timedelta(weeks=1)
    book(store, day=later)
    path = f"{PAGE}/look?area={find_area_id(store, TOP, 'third-3')}&date=2026-11-25&from=18:00"
    assert 'name="later"' in desk.get(path).text
    book(store, HARRIERS, "third-3", day=later)
    stays = desk.get(path).text
    assert 'name="later"' not in stays
    assert "None of the later ones can go along." in stays
    assert "1 stays where it is" in stays
