"""The page of light."""

from __future__ import annotations

import re
from datetime import date
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import VenueRow
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.stores import MEADOW, make_wish, put_booking
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/light"


def test_a_dark_session_is_listed_and_moved(desk: FlaskClient, club_store: Store) -> None:
    """The page says on which dates, offers ground, and a button moves it there."""
    during = make_range(A_WEDNESDAY, 17 * 60 + 30, 18 * 60 + 30)
    number = put_booking(club_store, make_wish(club_store, "half-1", during, pitch_key=MEADOW), NOW)
    text = desk.get(PAGE).text
    assert "U13 Kestrels, Wednesday 17:30–18:30" in text
    offer = re.search(r'<option value="(\d+-\d+)">([^<]+)<', text)
    assert offer is not None
    done = send(desk, f"{PAGE}/move", PAGE, numbers=str(number), offer=offer[1])
    assert "Moved U13 Kestrels: 1 session" in done
    assert "Nothing that is booked for the coming half year is in the dark." in done
    with club_store.read() as session:
        assert session.get_one(BookingRow, number).sequence == 1


def test_an_offer_that_cannot_be_read_or_taken_is_told(desk: FlaskClient) -> None:
    """A fault is a message on the page."""
    assert "Choose where these sessions go." in send(desk, f"{PAGE}/move", PAGE, numbers="x")
    text = send(desk, f"{PAGE}/move", PAGE, numbers="77", offer="1-1080")
    assert "withdrawn; look again" in text


def test_the_table_goes_on_to_other_dates(desk: FlaskClient) -> None:
    """Another first date is taken; what is no date is today."""
    assert "Mon 21 Jun" in desk.get(f"{PAGE}?from={date(2027, 6, 21)}").text
    assert "Mon 16 Nov" in desk.get(f"{PAGE}?from=soon").text
    assert desk.get(f"{PAGE}?venue=moon").status_code == 404


def test_what_floodlights_cost_is_set(desk: FlaskClient) -> None:
    """A figure is taken; what is none is told, and nothing typed is lost."""
    path = f"{PAGE}/cost?venue=osier-lane"
    assert "floodlights costs £12.50." in send(desk, path, PAGE, per_hour="12,5")
    text = send(desk, path, PAGE, per_hour="much")
    assert "Enter an amount like 12.50." in text
    assert 'value="much"' in text
    assert "Enter an amount like 12.50." in send(desk, path, PAGE, per_hour="-1")


def test_a_venue_without_a_place_has_no_table(desk: FlaskClient, club_store: Store) -> None:
    """It says what is missing instead, and leads to where it can be said."""
    with club_store.write() as session:
        for row in session.scalars(select(VenueRow)):
            row.lon = row.lat = None
    page = desk.get(PAGE)
    assert page.status_code == 200
    assert "When it gets dark here is not known" in page.text
    assert "Say where it lies" in page.text
    assert "Mon 16 Nov" not in page.text


def test_a_month_of_the_picture_leads_to_its_dates(desk: FlaskClient) -> None:
    """Each month is a link to its dates, which then stand open; the table by months is there."""
    text = desk.get(PAGE).text
    assert "<details open>" not in text
    doors = dict.fromkeys(re.findall(r'<a href="([^"]*from=2027-06-01#dates)">', text))
    (door,) = doors
    text = desk.get(door.replace("&amp;", "&")).text
    assert "<details open>" in text
    assert '<th scope="row">Tue 1 Jun</th>' in text
    assert '<th scope="row">June 2027</th>' in text
