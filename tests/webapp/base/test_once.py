"""A form sent again, or twice at once, is done once."""

from __future__ import annotations

import json
import re
import signal
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.errors import OutdatedError
from clubplanner.services.people.sent_forms import (
    LOST_SECONDS,
    Sent,
    claim_form,
    note_answer,
    release_form,
)
from clubplanner.store.claims import FormClaim
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.webapp import create_app
from clubplanner.webapp.base import once
from tests.builders import NOW
from tests.small_club import TOP, book, find_area_id, kept_bookings
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

LOST, SECOND = timedelta(seconds=LOST_SECONDS), timedelta(seconds=1)
EVENING = "/desk/evening?date=2026-11-25"


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


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
    assert len({*first, *second}) == len(first) + len(second) == 4


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
        start.wait(120)
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
    assert isinstance(claim_form(store, data["once"], NOW), FormClaim)
    answer = desk.post("/desk/bookings", data=data)
    assert answer.status_code == 409
    assert "still at work" in answer.text
    assert kept_bookings(store) == []


def test_a_form_lost_with_its_server_may_be_sent_again(store: Store) -> None:
    """A claim without work lapses after seconds; one with an answer is kept for a day."""
    assert isinstance(claim_form(store, "lost", NOW), FormClaim)
    assert claim_form(store, "lost", NOW + LOST - SECOND) == Sent(None, has_begun=False)
    claim = claim_form(store, "lost", NOW + LOST)
    assert isinstance(claim, FormClaim)
    note_answer(store, claim, "/there")
    assert claim_form(store, "lost", NOW + timedelta(hours=23)) == Sent("/there")
    assert isinstance(claim_form(store, "lost", NOW + timedelta(hours=25)), FormClaim)


def test_whoever_lost_a_claim_writes_nothing(store: Store) -> None:
    """A server that was only slow finds its form claimed anew: the later claim alone may write."""
    slow = claim_form(store, "slow", NOW)
    later = claim_form(store, "slow", NOW + LOST)
    assert isinstance(slow, FormClaim)
    assert isinstance(later, FormClaim)
    with pytest.raises(OutdatedError, match="done there, once"):
        book(store.claimed(slow))
    assert kept_bookings(store) == []
    book(store.claimed(later))
    assert len(kept_bookings(store)) == 1
    note_answer(store, slow, "/slow")
    release_form(store, slow)
    assert claim_form(store, "slow", NOW + 2 * LOST) == Sent(None, has_begun=True)


def test_a_form_that_wrote_nothing_has_not_begun(store: Store) -> None:
    """Looking something up within a write session is no work that anybody could find again."""
    claim = claim_form(store, "idle", NOW)
    assert isinstance(claim, FormClaim)
    with store.claimed(claim).write() as session:
        session.scalars(select(BookingRow)).all()
    assert claim_form(store, "idle", NOW) == Sent(None, has_begun=False)


def test_a_form_whose_work_was_kept_and_then_failed_is_not_done_again(
    desk: FlaskClient, store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When the page breaks after the booking is kept, sending again books nothing more."""

    def broken(*_: object, **__: object) -> str:
        raise RuntimeError

    data = {**hire(store, "18:00"), **tokens(desk, EVENING)}
    monkeypatch.setattr(once, "WAIT_SECONDS", 0.1)
    with monkeypatch.context() as patch:
        patch.setattr("clubplanner.webapp.evening.desk.flash", broken)
        assert desk.post("/desk/bookings", data=data).status_code == 500
    again = desk.post("/desk/bookings", data=data)
    assert again.status_code == 409
    assert "stopped before it could answer" in again.text
    assert len(kept_bookings(store)) == 1


DYING = """
import os, signal, sys
from clubplanner.config import Config
from clubplanner.store.engine import open_store
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.webapp.conftest import ADDRESS
import json

address, place, cookies, data = sys.argv[1], sys.argv[2], *map(json.loads, sys.argv[3:])

def die(*_, **__):
    os.kill(os.getpid(), signal.SIGKILL)

module, _, name = place.rpartition(".")
setattr(sys.modules[module], name, die)
client = create_app(open_store(address), Config("", ADDRESS), lambda: NOW).test_client()
for cookie, value in cookies.items():
    client.set_cookie(cookie, value)
client.post("/desk/bookings", data=data)
"""


def send_and_die(desk: FlaskClient, store: Store, place: str, data: dict[str, str]) -> None:
    """Send a form to a server of its own, which is killed (signal 9) where it calls a function."""
    cookies = {}
    for name in ("person", "form"):
        cookie = desk.get_cookie(name)
        assert cookie is not None
        cookies[name] = cookie.value
    address = store.engine.url.render_as_string(hide_password=False)
    job = [sys.executable, "-c", DYING, address, place, json.dumps(cookies), json.dumps(data)]
    assert subprocess.run(job, check=False).returncode == -signal.SIGKILL


@pytest.mark.parametrize(
    ("place", "kept"),
    [
        ("clubplanner.webapp.evening.desk.add_booking", 0),
        ("clubplanner.webapp.base.once.note_answer", 1),
    ],
)
def test_a_form_whose_server_was_killed_is_done_once(
    desk: FlaskClient, store: Store, place: str, kept: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Killed before the work, the next press does it; killed after it, the next press is told."""
    monkeypatch.setattr(once, "WAIT_SECONDS", 0.2)
    data = {**hire(store, "18:00"), **tokens(desk, EVENING)}
    send_and_die(desk, store, place, data)
    assert len(kept_bookings(store)) == kept
    app = create_app(store, Config("", ADDRESS), lambda: NOW + LOST)
    browser = app.test_client()
    for name in ("person", "form"):
        cookie = desk.get_cookie(name)
        assert cookie is not None
        browser.set_cookie(name, cookie.value)
    answer = browser.post("/desk/bookings", data=data)
    assert answer.status_code == (409 if kept else 302)
    assert len(kept_bookings(store)) == 1
