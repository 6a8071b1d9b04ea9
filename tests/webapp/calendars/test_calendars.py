"""Addresses on the secretary's page, and what is behind those of coaches and pitches."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import icalendar
import pytest

from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

PAGE = "/desk/addresses"


def make(desk: FlaskClient, about: str, **values: str) -> str:
    """Make an address by the form and return its path."""
    page = send(desk, PAGE, PAGE, about=about, holder="Kim Vale", **values)
    found = re.search(r'href="http://127.0.0.1:8000(/(?:ground|calendar)/[^"/]+)"', page)
    assert found is not None, page
    return found[1]


@pytest.mark.parametrize(
    ("about", "file"),
    [("squad:u13-kestrels", "sessions.ics"), ("coach", "bookings.ics"), ("pitch", "bookings.ics")],
)
def test_an_address_is_made_shown_once_and_withdrawn(
    desk: FlaskClient, stranger: FlaskClient, about: str, file: str
) -> None:
    """Page and calendar work until it is withdrawn, and the list never shows it."""
    if ":" not in about:
        found = re.search(rf'value="({about}:[^"]+)"', desk.get(PAGE).text)
        assert found is not None
        about = found[1]
    path = make(desk, about, reminder="60")
    assert stranger.get(path).status_code == 200
    answer = stranger.get(f"{path}/{file}")
    assert str(icalendar.Calendar.from_ical(answer.data)["SOURCE"]).endswith(f"{path}/{file}")
    listed = desk.get(PAGE).text
    assert "Kim Vale" in listed
    assert path.rpartition("/")[2] not in listed
    found = re.search(r'action="(/desk/addresses/\d+/withdraw)"', listed)
    assert found is not None
    assert "opens nothing any more" in send(desk, found[1], PAGE)
    for rest in ("", f"/{file}", "/map/1.png"):
        assert stranger.get(f"{path}{rest}").status_code == 404


def test_calendars_answer_like_a_good_server(desk: FlaskClient, stranger: FlaskClient) -> None:
    """Strong ETag, 304, HEAD, private, noindex (RFC 9110, sections 8.8.3, 13.1.2 and 9.3.2)."""
    found = re.search(r'value="(pitch:[^"]+)"', desk.get(PAGE).text)
    assert found is not None
    path = make(desk, found[1]) + "/bookings.ics"
    first = stranger.get(path)
    etag = first.headers["ETag"]
    assert re.fullmatch(r'"[0-9a-f]{64}"', etag)
    assert first.headers["Cache-Control"] == "private, no-cache"
    assert first.headers["X-Robots-Tag"].startswith("noindex")
    for known in (etag, f'"x", {etag}', "*"):
        again = stranger.get(path, headers={"If-None-Match": known})
        assert (again.status_code, again.data) == (304, b"")
        assert again.headers["ETag"] == etag
    other = stranger.get(path, headers={"If-None-Match": '"x"'})
    assert (other.status_code, other.data) == (200, first.data)
    head = stranger.head(path)
    assert (head.status_code, head.data, head.headers["ETag"]) == (200, b"", etag)
    assert head.headers["Content-Length"] == first.headers["Content-Length"]


def test_what_was_typed_is_not_lost(desk: FlaskClient) -> None:
    """A form with faults comes back with all of them and everything in it."""
    page = send(desk, PAGE, PAGE, about="", holder="", email="kim@alderby.example", reminder="7")
    assert "Choose what the address is for." in page
    assert "Enter who gets it" in page
    assert "Choose a reminder, or none." in page
    assert 'value="kim@alderby.example"' in page
    again = send(desk, PAGE, PAGE, about="squad:nobody", holder="Kim Vale")
    assert "There is no squad" in again
    assert 'value="Kim Vale"' in again


def test_a_squads_address_is_no_calendar_page(desk: FlaskClient, stranger: FlaskClient) -> None:
    """It says so plainly."""
    secret = make(desk, "squad:u13-kestrels").rpartition("/")[2]
    assert stranger.get(f"/calendar/{secret}").status_code == 404
    assert token(desk, PAGE)


def test_what_an_address_is_about_is_told_in_the_language_of_who_reads(desk: FlaskClient) -> None:
    """A German secretary reads of squads and pitches in German."""
    make(desk, "squad:u13-kestrels")
    listed = desk.get(PAGE, headers={"Accept-Language": "de"}).text
    assert "U13 Kestrels (Mannschaft), " in listed
    assert "(squad)" not in listed
