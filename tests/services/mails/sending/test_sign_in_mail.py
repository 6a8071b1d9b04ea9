"""The one-time address that lets somebody in, by mail through a real server."""

from __future__ import annotations

import re
import time
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.mails.sending.sign_in_mail import mail_sign_in_address
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.sign_in_links import ask_to_sign_in
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.mail_server import mail_server
from tests.small_club import KESTRELS, load_small_club
from tests.webapp.conftest import ADDRESS, send, token

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.mail_server import Postbox

CONFIG = Config("", ADDRESS)


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with a coach whose e-mail is known, and one without."""
    load_small_club(empty_store)
    robin = PersonDraft("Robin Hale", Role.COACH, "robin@alderby.example", (KESTRELS,))
    add_person(empty_store, robin, NOW)
    add_person(empty_store, PersonDraft("Sam Reed", Role.COACH, "", (KESTRELS,)), NOW)
    return empty_store


def _first_mail(box: Postbox) -> str:
    until = time.monotonic() + 60
    while not box.taken and time.monotonic() < until:
        time.sleep(0.05)
    assert box.taken, "no mail came"
    return str(box.taken[0].get_content())


def test_who_asks_gets_the_address_by_mail_and_uses_it_in_the_same_browser(store: Store) -> None:
    """From the form to the coach's page, without the secretary; elsewhere it does not work."""
    with mail_server() as box:
        app = create_app(store, replace(CONFIG, mail_server=box.settings), lambda: NOW)
        phone = app.test_client()
        page = send(phone, "/sign-in/ask", "/sign-in", who="robin hale")
        assert "is on its way" in page
        text = _first_mail(box)
    (mail,) = box.taken
    assert box.envelopes[0][1] == ["robin@alderby.example"]
    assert mail["Subject"] == "Your way in to Alderby Rovers"
    assert mail["Auto-Submitted"] == "auto-generated"
    found = re.search(rf"{re.escape(ADDRESS)}(/let-in/\S+)", text)
    assert found is not None
    path = found[1]
    assert app.test_client().get(path).status_code == 422
    home = phone.post(path, data={"csrf_token": token(phone, path)}, follow_redirects=True)
    assert home.request.path == "/coach"


@pytest.mark.parametrize("who", ["sam reed", "nobody known"])
def test_without_an_address_nothing_is_sent_and_nothing_is_told(store: Store, who: str) -> None:
    """A name that is not known and one without e-mail look alike."""
    with mail_server() as box:
        config = replace(CONFIG, mail_server=box.settings)
        asked = ask_to_sign_in(store, who, "1.2.3.4", "Chrome", NOW)
        assert not mail_sign_in_address(store, config, asked.secret, NOW)
        app = create_app(store, config, lambda: NOW)
        page = send(app.test_client(), "/sign-in/ask", "/sign-in", who=who)
        assert "is on its way" in page
    assert box.taken == []


def test_a_server_that_refuses_leaves_the_secretary_to_answer(
    store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """The request stays in the list; the log holds no secret."""
    with mail_server() as box:
        box.answer = "550 No"
        asked = ask_to_sign_in(store, "Robin Hale", "1.2.3.4", "Chrome", NOW)
        config = replace(CONFIG, mail_server=box.settings)
        assert not mail_sign_in_address(store, config, asked.secret, NOW)
    assert "was not mailed" in caplog.text
    assert "let-in" not in caplog.text
    assert not mail_sign_in_address(store, CONFIG, asked.secret, NOW), "no server at all"
