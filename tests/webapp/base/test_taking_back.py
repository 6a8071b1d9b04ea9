"""Taking a change back right after it was made."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.errors import StoreError
from clubplanner.store.engine import BUSY
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import HARRIERS, book, kept_bookings, load_small_club
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

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
    """Neither a change of people, nor a change refused, nor to anybody but a secretary."""
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
        raise StoreError(BUSY)

    monkeypatch.setattr("clubplanner.webapp.base.taking_back.can_take_back", held)
    page = _withdraw(desk, 1)
    assert "The ground is free" in page
    assert not OFFER.search(page)
    assert len(kept_bookings(store)) == 1
