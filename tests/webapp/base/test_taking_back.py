"""Taking a change back right after it was made."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.people import Role
from clubplanner.errors import BusyError
from clubplanner.services.places.closure_list import list_closures
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import SwapOfferRow, WaitingAskRow
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import (
    HALL,
    HARRIERS,
    KESTRELS,
    LOW,
    TOP,
    book,
    find_area_id,
    kept_bookings,
    load_small_club,
)
from tests.stores import booking_row
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse as Response

    from clubplanner.store.engine import Store

OFFER = re.compile(
    r'action="(/desk/season/changes/\d+/undo)".*?name="back" value="([^"]*)"', re.DOTALL
)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with two sessions side by side."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, HARRIERS, "third-2")
    return empty_store


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the app of the small club, its clock stopped."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store)


def _withdraw(desk: FlaskClient, number: int) -> str:
    """Withdraw a booking, and return the page one comes to."""
    data = {"sequence": "0", "csrf_token": token(desk, "/me")}
    path = f"/desk/bookings/{number}/withdraw"
    return desk.post(path, data=data, follow_redirects=True).text


def test_what_was_just_withdrawn_is_put_back_where_one_stands(
    desk: FlaskClient, store: Store
) -> None:
    """The button leads back to the same page, which offers the opposite."""
    offer = OFFER.search(_withdraw(desk, 1))
    assert offer is not None
    assert len(kept_bookings(store)) == 1
    path, back = offer[1], offer[2].replace("&amp;", "&")
    answer = desk.post(path, data={"csrf_token": token(desk, "/me"), "back": back})
    assert answer.headers["Location"] == back
    assert len(kept_bookings(store)) == 2
    shown = desk.get(back).text
    assert "Taken back: " in shown
    assert OFFER.search(shown), "taking it back can be taken back as well"
    assert not OFFER.search(desk.get(back).text), "it is offered once"


def test_the_way_back_stays_in_the_app(desk: FlaskClient) -> None:
    """A page of another site is not gone to."""
    offer = OFFER.search(_withdraw(desk, 1))
    assert offer is not None
    data = {"csrf_token": token(desk, "/me"), "back": "//elsewhere.example/"}
    assert desk.post(offer[1], data=data).headers["Location"] == "/desk/season/changes"


def test_only_the_last_change_is_offered(desk: FlaskClient) -> None:
    """A form that was not looked at in between leaves no offer of its own."""
    first = OFFER.search(_withdraw(desk, 1))
    second = OFFER.search(_withdraw(desk, 2))
    assert first is not None
    assert second is not None
    assert first[1] != second[1]


def test_what_cannot_be_taken_back_is_not_offered(
    app: Flask, desk: FlaskClient, store: Store
) -> None:
    """Neither a change of people, nor a change refused, nor a change to who did not make it."""
    data = {"name": "Jo Invented", "role": "coach", "csrf_token": token(desk, "/people")}
    assert not OFFER.search(desk.post("/people", data=data, follow_redirects=True).text)
    stale = {"sequence": "7", "csrf_token": token(desk, "/me")}
    assert not OFFER.search(desk.post("/desk/bookings/1/withdraw", data=stale).text)
    keeper = sign_in(app, store, Role.GROUNDSKEEPER)
    assert not OFFER.search(keeper.get("/desk/evening").text)


def test_a_change_stands_though_the_offer_fails(
    desk: FlaskClient, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another program takes the database right after: what was done is told all the same."""

    def held(*_: object) -> bool:
        raise BusyError()

    monkeypatch.setattr("clubplanner.webapp.base.taking_back.can_take_back", held)
    page = _withdraw(desk, 1)
    assert "The ground is free" in page
    assert not OFFER.search(page)
    assert len(kept_bookings(store)) == 1


def _click(client: FlaskClient, page: str) -> Response:
    """Press the button that a page offers, and return the answer."""
    offer = OFFER.search(page)
    assert offer is not None
    data = {"csrf_token": token(client, "/me"), "back": offer[2].replace("&amp;", "&")}
    return client.post(offer[1], data=data, follow_redirects=True)


def test_a_coach_takes_back_what_was_just_handed_back(app: Flask, store: Store) -> None:
    """The session stands again, with a higher count, and the page is the one they came from."""
    coach = sign_in(app, store, Role.COACH, KESTRELS)
    page = send(coach, "/coach/sessions/1/hand-back", "/coach/sessions/1", sequence="0")
    answer = _click(coach, page)
    assert answer.request.path == "/coach/give"
    assert "Taken back: U12 Kestrels handed back" in answer.text
    row = booking_row(store, 1)
    assert (row.is_withdrawn, row.sequence) == (False, 2)


def test_a_coach_takes_back_an_ask_and_an_offer(app: Flask, store: Store) -> None:
    """Both are ended as their own pages end them, and stay in the records."""
    coach = sign_in(app, store, Role.COACH, KESTRELS)
    page = send(coach, "/coach/sessions/1/swap", "/coach/sessions/1", other="2", swap_note="")
    assert "Taken back: " in _click(coach, page).text
    with store.read() as session:
        assert session.scalars(select(SwapOfferRow.state)).all() == ["taken back"]
    book(store, "Choir", "whole", start_min=20 * 60, end_min=21 * 60, purpose=Purpose.HIRE)
    for pitch_key in (LOW, HALL):
        book(
            store,
            "Choir",
            "whole",
            pitch_key=pitch_key,
            start_min=20 * 60,
            end_min=21 * 60,
            purpose=Purpose.HIRE,
        )
    ask = {"squad": KESTRELS, "date": "2026-11-25", "minutes": "60", "part": "0.333"}
    with store.write() as session:
        session.get_one(BookingRow, 1).is_withdrawn = True
    page = send(coach, "/coach/give", "/coach/give", from_="20:00", to="21:00", note="", **ask)
    assert "waiting list" in page
    assert "Taken back: " in _click(coach, page).text
    with store.read() as session:
        assert session.scalars(select(WaitingAskRow.state)).all() == ["taken back"]


def test_a_groundskeeper_takes_back_a_closing(app: Flask, store: Store) -> None:
    """The wrong pitch was closed: one tap, and everybody is where they were."""
    keeper = sign_in(app, store, Role.GROUNDSKEEPER)
    page = _close(keeper, store)
    assert kept_bookings(store)[0].holder == "frost"
    assert "Taken back: closed Whole of Top pitch: frost" in _click(keeper, page).text
    assert {kept.holder for kept in kept_bookings(store)} == {"U12 Kestrels", "U14 Harriers"}
    assert list_closures(store, NOW) == ()


def _close(keeper: FlaskClient, store: Store) -> str:
    """Close the top pitch on the Wednesday, withdrawing everybody; return the page after it."""
    return send(
        keeper,
        "/desk/season/closures",
        "/desk/season/closures",
        area=str(find_area_id(store, TOP, "whole")),
        date="2026-11-25",
        from_="17:00",
        until_date="2026-11-25",
        until="24:00",
        condition="closed",
        reason="frost",
        **{"place-1": "withdraw", "place-2": "withdraw"},
    )


def test_what_was_withdrawn_since_is_not_offered_to_a_coach(
    app: Flask, desk: FlaskClient, store: Store
) -> None:
    """Handed back, then the ground given to somebody else: nothing is taken from them."""
    coach = sign_in(app, store, Role.COACH, KESTRELS)
    page = send(coach, "/coach/sessions/1/hand-back", "/coach/sessions/1", sequence="0")
    book(store, "Choir", purpose=Purpose.HIRE)
    assert "Choir" in _click(coach, page).text
    assert booking_row(store, 1).is_withdrawn


def test_when_the_session_begins_it_is_too_late(store: Store) -> None:
    """A minute before its start it is taken back, at its start no more."""
    at_six = datetime(2026, 11, 25, 18, 0, tzinfo=UTC)
    clock = [at_six - timedelta(minutes=10)]
    app = create_app(store, Config("", ADDRESS), lambda: clock[0])
    coach = sign_in(app, store, Role.COACH, KESTRELS)
    page = send(coach, "/coach/sessions/1/hand-back", "/coach/sessions/1", sequence="0")
    clock[0] = at_six
    assert "A session of it has begun since" in _click(coach, page).text
    clock[0] = at_six - timedelta(minutes=1)
    assert "Taken back: " in _click(coach, page).text
