"""After a change the page says who knows; what did not arrive waits on the first page."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.mails.knowing import not_reached_ahead
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.store.tables.knowing_tables import LookRow
from clubplanner.webapp import create_app
from tests.mail_server import Postbox, mail_server
from tests.services.mails.sending.test_delivering import NOON, ROBIN, WITH_ADDRESSES
from tests.small_club import KESTRELS, TOP, book, find_area_id, load_small_club
from tests.webapp.conftest import send, sign_in

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask

    from clubplanner.store.engine import Store

LATER = NOON + timedelta(minutes=30)
EVENING = "/desk/evening?venue=marsh-lane&date=2026-11-25"
NO_MAIL = Config("", "http://127.0.0.1:8000")


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with mail addresses."""
    return load_small_club(empty_store, squads=WITH_ADDRESSES)


@pytest.fixture
def box() -> Iterator[Postbox]:
    """Give a running mail server."""
    with mail_server() as running:
        yield running


def app_of(store: Store, config: Config = NO_MAIL) -> Flask:
    """Make the club's app, half an hour after noon."""
    return create_app(store, config, lambda: LATER)


def test_whoever_withdraws_sees_at_once_whom_to_ring(store: Store) -> None:
    """Once, on the next page; afterwards it stands among what waits on the first page."""
    number = book(store, now=NOON - timedelta(days=7))
    desk = sign_in(app_of(store), store)
    assert "Not everybody knows" not in desk.get(EVENING).text, "nothing was changed"
    way = f"/desk/bookings/{number}/withdraw"
    page = send(desk, way, f"/desk/bookings/{number}", sequence="0")
    assert "Who knows: 1 not reached" in page
    assert "<b>Robin Hale</b>: no number is kept (U12 Kestrels)" in page
    assert "Mail is not set up." in page
    again = desk.get(EVENING).text
    assert "Who knows" not in again
    assert "Not everybody knows: 1 person not reached" in again


def test_a_groundskeeper_who_closes_sees_it_a_coach_does_not(store: Store) -> None:
    """Closing ground at five leaves people to be rung; handing back is the coach's own."""
    number = book(store, now=NOON - timedelta(days=7))
    app = app_of(store)
    keeper = sign_in(app, store, Role.GROUNDSKEEPER)
    closure = {
        "area": str(find_area_id(store, TOP, "whole")),
        "date": "2026-11-25",
        "from": "17:00",
        "until_date": "2026-11-25",
        "until": "24:00",
        "condition": "closed",
        "reason": "frost",
        f"place-{number}": "withdraw",
    }
    page = send(keeper, "/desk/season/closures", "/desk/season/closures", **closure)
    assert "Who knows: 1 not reached" in page
    second = book(store, day=NOON.date() + timedelta(days=7), now=NOON - timedelta(days=7))
    coach = sign_in(app, store, Role.COACH, KESTRELS)
    way = f"/coach/sessions/{second}"
    assert "Who knows" not in send(coach, f"{way}/hand-back", way, sequence="0")


def test_a_mail_that_did_not_arrive_is_sent_again_by_one_press(store: Store, box: Postbox) -> None:
    """The first page names it; after the press and the next round nothing waits."""
    config = replace(NO_MAIL, mail_server=box.settings)
    book(store, now=NOON)
    box.answers["RCPT"] = "550 5.1.1 nobody here"
    deliver(store, config, lambda: NOON + timedelta(minutes=3))
    del box.answers["RCPT"]
    desk = sign_in(app_of(store, config), store, name="The secretary")
    page = desk.get(EVENING).text
    assert f"Robin Hale ({ROBIN})" in page
    assert "1 mail did not arrive" in page
    after = send(desk, "/desk/season/mails/again", EVENING, number="1", back="evening")
    assert "1 mail is sent again within a minute." in after
    assert deliver(store, config, lambda: LATER).sent == 1
    assert "Not everybody knows" not in desk.get(EVENING).text
    answer = desk.post("/desk/season/mails/again", data={"number": "x"})
    assert answer.status_code in (400, 404)


def test_opening_the_page_or_fetching_the_calendar_is_noted(store: Store) -> None:
    """The squad's page and feed by address; the coach's own start page."""
    number = book(store, now=NOON - timedelta(days=7))
    secret = create_squad_link(store, KESTRELS, "Robin Hale", NOON)
    app = app_of(store)
    coach = sign_in(app, store, Role.COACH, KESTRELS, name="Robin Hale")
    visitor = app.test_client()
    desk = sign_in(app, store)
    way = f"/desk/bookings/{number}/withdraw"
    assert "1 not reached" in send(desk, way, f"/desk/bookings/{number}", sequence="0")
    later = LATER + timedelta(hours=1)
    for browser, path in (
        (visitor, f"/ground/{secret}/sessions.ics"),
        (visitor, f"/ground/{secret}"),
        (coach, "/coach"),
    ):
        assert browser.get(path).status_code == 200
    with store.read() as session:
        looks = session.scalars(select(LookRow).order_by(LookRow.id)).all()
        ring = not_reached_ahead(session, NO_MAIL, later)
    assert [(bool(x.feed_at), bool(x.page_at), bool(x.person_id)) for x in looks] == [
        (True, True, False),
        (False, True, True),
    ]
    assert ring, "they looked in the moment of the change"
