"""Calendars of others on the secretary's pages."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.services.calendars.test_busy_calendars import CLASH, LATE, calendar
from tests.small_club import TOP, book, find_area_id, kept_bookings, load_small_club
from tests.stores import count_rows
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/busy"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with one session."""
    load_small_club(empty_store)
    book(empty_store)
    return empty_store


@pytest.fixture
def desk(store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)


def test_from_file_to_decision_to_end(desk: FlaskClient, store: Store) -> None:
    """Taken in, looked at, decided, read again, ended: all by forms."""
    area = str(find_area_id(store, TOP, "third-1"))
    fields = {"name": "Town council", "area": area, "url": "", "csrf_token": token(desk, PAGE)}
    file = (io.BytesIO(calendar(CLASH, LATE)), "council.ics")
    answer = desk.post(PAGE, data={**fields, "file": file}, follow_redirects=True)
    assert "1 would displace somebody" in answer.text
    assert "Choir" in answer.text
    assert "U12 Kestrels" in answer.text
    assert "1 waits for you" in desk.get(PAGE).text
    shown = f"{PAGE}/1"
    unseen = send(desk, f"{shown}/decide", shown)
    assert "look again" in unseen
    assert "0 given back" in send(desk, f"{shown}/decide", shown, **{"place-1": "withdraw"})
    assert [b.holder for b in kept_bookings(store)] == ["Town council"] * 2
    assert "0 times booked, 0 given back." in send(desk, f"{shown}/read", shown)
    assert "2 of its bookings were given back" in send(desk, f"{shown}/end", shown)
    assert desk.get(shown).status_code == 404


def test_what_was_typed_is_not_lost(desk: FlaskClient, store: Store) -> None:
    """All faults at once, an address that is not read says why, and no row is left."""
    before = count_rows(store)
    page = send(desk, PAGE, PAGE, name="", area="", url="")
    for words in ("whose calendar", "Choose the ground", "one of the two"):
        assert words in page
    area = "1"
    again = send(desk, PAGE, PAGE, name="Council", area=area, url="http://127.0.0.1/x.ics")
    assert "inside a network" in again
    assert 'value="Council"' in again
    assert 'value="http://127.0.0.1/x.ics"' in again
    assert count_rows(store) == before
