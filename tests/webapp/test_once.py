"""A form sent again, or twice at once, is done once."""

from __future__ import annotations

import re
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.services.sent_forms import claim_form, note_answer
from clubplanner.webapp import create_app, once
from tests.builders import NOW
from tests.small_club import TOP, find_area_id, kept_bookings, load_small_club
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

EVENING = "/desk/evening?date=2026-11-25"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club."""
    return load_small_club(empty_store)


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the small club's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store)


def tokens(client: FlaskClient, path: str) -> dict[str, str]:
    """Return both tokens of the first form of a page that has them."""
    found = re.search(
        r'name="csrf_token" value="([^"]+)"><input type="hidden" name="once" value="([^"]+)"',
        client.get(path).text,
    )
    assert found is not None
    return {"csrf_token": found[1], "once": found[2]}


def hire(store: Store, start: str) -> dict[str, str]:
    """Return the fields of a booking for a hirer; several may lie beside each other."""
    return {
        "area": str(find_area_id(store, TOP, "whole")),
        "date": "2026-11-25",
        "from": start,
        "to": f"{start[:2]}:45",
        "purpose": "hire",
        "who": "Hill Runners",
    }


def test_every_showing_of_a_form_has_a_token_of_its_own(desk: FlaskClient) -> None:
    """Two looks at a page give two tokens, and no page has one twice."""
    first, second = (
        re.findall(r'name="once" value="([^"]+)"', desk.get("/desk/people/1").text) for _ in "ab"
    )
    assert len({*first, *second}) == len(first) + len(second) > 4


def test_a_form_sent_again_leads_where_it_led(desk: FlaskClient, store: Store) -> None:
    """The second one is told, changes nothing, and lands on the same page."""
    data = {**hire(store, "18:00"), **tokens(desk, EVENING)}
    first = desk.post("/desk/bookings", data=data)
    again = desk.post("/desk/bookings", data=data)
    assert first.status_code == again.status_code == 302
    assert first.headers["Location"] == again.headers["Location"]
    assert "it was done once" in desk.get(again.headers["Location"]).text
    assert len(kept_bookings(store)) == 1


def test_a_page_shown_once_is_not_made_again(desk: FlaskClient) -> None:
    """A new address is made once; reloading its page makes no second one."""
    data = tokens(desk, "/desk/squads")
    path = "/desk/squads/u12-kestrels/link"
    assert desk.post(path, data=data).status_code == 200
    again = desk.post(path, data=data)
    assert again.status_code == 409
    assert "nothing was done a second time" in again.text
    assert "1 in use" in desk.get("/desk/squads").text


def test_a_faulty_form_may_be_sent_again(desk: FlaskClient, store: Store) -> None:
    """Going back and mending a form works, though its token was sent before."""
    data = {**hire(store, "18:00"), **tokens(desk, EVENING)}
    assert desk.post("/desk/bookings", data={**data, "who": ""}).status_code == 422
    assert desk.post("/desk/bookings", data=data).status_code == 302
    assert len(kept_bookings(store)) == 1


def test_two_presses_at_once_are_one(app: Flask, store: Store, desk: FlaskClient) -> None:
    """Of several at the same moment one is done, and all land on its page."""
    cookies = {name: desk.get_cookie(name) for name in ("person", "form")}
    data = {**hire(store, "18:00"), **tokens(desk, EVENING)}
    cookies["form"] = desk.get_cookie("form")
    start = threading.Barrier(4)

    def press(_: int) -> str:
        client = app.test_client()
        for name, cookie in cookies.items():
            assert cookie is not None
            client.set_cookie(name, cookie.value)
        start.wait(10)
        return client.post("/desk/bookings", data=data).headers["Location"]

    with ThreadPoolExecutor(4) as pool:
        places = set(pool.map(press, range(4)))
    assert len(places) == 1
    assert len(kept_bookings(store)) == 1


def test_a_press_that_waits_too_long_is_told(
    desk: FlaskClient, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the first is still at work after the wait, the second is told and does nothing."""
    monkeypatch.setattr(once, "WAIT_SECONDS", 0.1)
    data = {**hire(store, "18:00"), **tokens(desk, EVENING)}
    assert claim_form(store, data["once"], NOW) is None
    assert desk.post("/desk/bookings", data=data).status_code == 409
    assert kept_bookings(store) == []


def test_a_form_lost_with_its_server_may_be_sent_again(store: Store) -> None:
    """A claim without an answer lapses; one with an answer is kept for a day."""
    assert claim_form(store, "lost", NOW) is None
    assert claim_form(store, "lost", NOW + timedelta(seconds=119)) is not None
    assert claim_form(store, "lost", NOW + timedelta(seconds=120)) is None
    note_answer(store, "lost", "/there")
    sent = claim_form(store, "lost", NOW + timedelta(hours=23))
    assert sent is not None
    assert sent.answer == "/there"
    assert claim_form(store, "lost", NOW + timedelta(hours=25)) is None
