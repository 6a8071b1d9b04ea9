"""The secretary's list of mails, and turning mails off by the address in one."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.told.notices import SETTLE
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.store.tables.notice_tables import MailRow, MailState
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY
from tests.mail_server import mail_server
from tests.services.mails.sending.test_delivering import (
    ADDRESS,
    NOON,
    ROBIN,
    WITH_ADDRESSES,
    secret_of,
)
from tests.small_club import book, load_small_club
from tests.webapp.conftest import send, sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

LATER = NOON + SETTLE
CONFIG = Config("", "http://127.0.0.1:8000")


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with mail addresses."""
    return load_small_club(empty_store, squads=WITH_ADDRESSES)


@pytest.fixture
def app(store: Store) -> Flask:
    """Make its app, on the Wednesday of the bookings."""
    return create_app(store, CONFIG, lambda: LATER)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store)


def test_without_a_server_the_page_shows_what_would_have_been_sent(
    desk: FlaskClient, store: Store
) -> None:
    """List and words, the secret address left out."""
    book(store, now=NOON)
    deliver(store, CONFIG, lambda: LATER)
    page = desk.get("/desk/season/mails").text
    assert "No mail server is set up" in page
    assert "What would have been sent" in page
    assert f"To Robin Hale ({ROBIN})" in page
    shown = desk.get("/desk/season/mails/1").text
    assert "New today: U12 Kestrels, 18:00, Clubhouse third" in shown
    assert "http://127.0.0.1:8000/ground/the-address" in shown
    assert desk.get("/desk/season/mails/7").status_code == 404


def test_a_mail_that_tells_of_no_change_is_shown_as_one(desk: FlaskClient, store: Store) -> None:
    """Its page says so, and the list names its squad."""
    mail = {"message_id": "none", "squad_id": 1, "address": ROBIN, "name": "Robin", "changes": []}
    state = {"attempts": 1, "state": MailState.SENT, "ended_at": NOON, "words": ""}
    with store.write() as session:
        session.add(MailRow(**mail, **state, made_at=NOON, next_try_at=NOON))
        name = session.get_one(SquadRow, 1).name
    assert f"{name}: 0 bookings" in desk.get("/desk/season/mails").text
    shown = desk.get("/desk/season/mails/1")
    assert shown.status_code == 200
    assert "No change is kept with this mail." in shown.text


def test_changes_further_ahead_are_mailed_on_request(desk: FlaskClient, store: Store) -> None:
    """The page lists what the calendar alone tells, and a button tells it by mail too."""
    book(store, day=A_WEDNESDAY.replace(day=27), now=NOON)
    page = desk.get("/desk/season/mails").text
    assert "1 changed booking in the calendar alone" in page
    after = send(desk, "/desk/season/mails/tell", "/desk/season/mails", squad="u12-kestrels")
    assert "1 booking about to be mailed" in after
    assert deliver(store, CONFIG, lambda: LATER).made == 1
    again = send(desk, "/desk/season/mails/tell", "/desk/season/changes", squad="u12-kestrels")
    assert "Nothing of this squad is left to tell" in again


def test_a_person_turns_mails_off_and_on(app: Flask, store: Store) -> None:
    """Looking changes nothing; the button does; so does a mail program without a token."""
    book(store, now=NOON)
    with mail_server() as box:
        deliver(
            store, replace(CONFIG, public_address=ADDRESS, mail_server=box.settings), lambda: LATER
        )
    path = f"/mails/{secret_of(box.taken[0])}"
    client = app.test_client()
    assert "Turn mails off" in client.get(path).text
    assert "Turn mails off" in client.get(path).text
    assert "Mails are off" in send(client, path, path)
    program = app.test_client(use_cookies=False)
    for encoding in ("application/x-www-form-urlencoded", "multipart/form-data"):
        send(client, f"{path}/on", path)
        for method in ("GET", "HEAD"):  # links are followed by scanners
            program.open(path, method=method)
            program.open(f"{path}/on", method=method)
        assert "Turn mails off" in client.get(path).text
        answer = program.post(path, data={"List-Unsubscribe": "One-Click"}, content_type=encoding)
        assert answer.status_code == 200, "redirects are not followed (RFC 8058, section 3.1)"
        assert "Mails are off" in answer.text
        assert "Mails are off" in client.get(path).text
    pressed = {"once": "a-token-of-our-page", "csrf_token": token(client, path)}
    assert client.post(path, data=pressed).location == path, "our own button may be pressed twice"
    assert program.post(f"{path}/on").status_code == 400, "turning on needs the page"


@pytest.mark.parametrize("path", ["/mails/x", f"/mails/{'x' * 300}"])
def test_an_address_of_no_mail_leads_nowhere(app: Flask, path: str) -> None:
    """It says where to find one that works."""
    client = app.test_client()
    answer = client.get(path)
    assert answer.status_code == 404
    assert "newest mail" in answer.text
    assert client.post(path).status_code == 404


def test_secrets_of_mails_stay_out_of_the_list(desk: FlaskClient, store: Store) -> None:
    """No page of the secretary shows an address that stands in a mail."""
    book(store, now=datetime(2026, 11, 25, 12, tzinfo=UTC))
    with mail_server() as box:
        deliver(
            store, replace(CONFIG, public_address=ADDRESS, mail_server=box.settings), lambda: LATER
        )
    secret = secret_of(box.taken[0])
    for path in ("/desk/season/mails", "/desk/season/mails/1", "/desk/squads"):
        page = desk.get(path).text
        assert secret not in page
    assert re.search("Sent Wed 25 Nov, 12:02", desk.get("/desk/season/mails").text)


def test_the_page_says_why_no_mail_goes_out(store: Store) -> None:
    """What happened, what to check, what the server said; a button tries again at once."""
    book(store, now=NOON)
    with mail_server() as box:
        config = replace(CONFIG, mail_server=box.settings)
        box.answers["MAIL"] = "530 5.7.0 <b>Authentication</b> required"
        deliver(store, config, lambda: LATER)
        app = create_app(store, config, lambda: LATER)
        secretary = sign_in(app, store)
        page = secretary.get("/desk/season/mails").text
        assert "No mail goes out" in page
        assert "Set CLUBPLANNER_SMTP_USER and CLUBPLANNER_SMTP_PASSWORD." in page
        assert "“530 5.7.0 &lt;b&gt;Authentication&lt;/b&gt; required”" in page
        assert "Tried once, Wed 25 Nov, 12:02; again Wed 25 Nov, 12:04." in page
        assert "1 mail waits; none is lost." in page
        assert "Waits until Wed 25 Nov, 12:04" in page
        after = send(secretary, "/desk/season/mails/try", "/desk/season/mails")
        assert "tried again within a minute" in after
        del box.answers["MAIL"]
        assert deliver(store, config, lambda: LATER).sent == 1
    assert "No mail goes out" not in secretary.get("/desk/season/mails").text
    after = send(secretary, "/desk/season/mails/try", "/desk/season/changes")
    assert "takes mails again" in after
