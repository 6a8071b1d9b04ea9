"""All squads' addresses in one press, on the secretary's page."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.config import Config, MailServer
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.webapp.conftest import send, sign_in, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/addresses/all"
SERVER = MailServer("mail.example", 25, "none", "", "", "club@alderby.example")


def press(client: FlaskClient, **values: str | list[str]) -> str:
    """Send the form and return the page that follows."""
    fields = {"for": "families", "scope": "none-yet", **values, "csrf_token": token(client, PAGE)}
    return client.post(PAGE, data=fields, follow_redirects=True).text


def test_the_sheet_shows_every_squad_once_with_what_opens(
    desk: FlaskClient, stranger: FlaskClient
) -> None:
    """Each strip names its squad, says what it is for, and its address opens that squad's page."""
    page = press(desk)
    found = re.findall(
        r'<h2><bdi>([^<]+)</bdi></h2>.*?href="http://127.0.0.1:8000(/ground/[^"]+)"', page, re.S
    )
    assert len(found) == len({path for _name, path in found}) > 5
    for name, path in (found[0], found[-1]):
        assert name in stranger.get(path).text
    assert page.count("<svg") >= len(found)
    assert found[0][1] not in desk.get(PAGE).text, "it is shown once"


def test_the_file_has_what_the_page_showed(desk: FlaskClient) -> None:
    """The same addresses as a PDF, as often as it is pressed; made-up ones are refused."""
    page = press(desk)
    carried = re.search(r'name="shown" value="([^"]+)"', page)
    csrf = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert carried is not None
    assert csrf is not None
    for _time in range(2):
        fields = {"shown": carried[1], "csrf_token": csrf[1]}
        answer = desk.post(f"{PAGE}/sheet.pdf", data=fields)
        assert (answer.status_code, answer.data[:5]) == (200, b"%PDF-")
        assert answer.headers["Cache-Control"] == "private, no-store"
    answer = desk.post(f"{PAGE}/sheet.pdf", data={"shown": "nothing-real", "csrf_token": csrf[1]})
    assert answer.status_code in (400, 409, 422)
    assert "make a new sheet" in answer.text


def test_nothing_typed_is_lost_when_nothing_is_made(desk: FlaskClient) -> None:
    """A press without readers, and ticks beside another choice, come back as they were."""
    page = press(desk, **{"for": []})
    assert "Say for whom" in page
    page = press(desk, scope="all", squads=["u13-kestrels"])
    assert "only those ticked" in page
    assert re.search(r'value="u13-kestrels" checked', page)
    assert re.search(r'value="all" checked', page)


def test_mails_are_offered_only_where_they_can_go_out(desk: FlaskClient, club_store: Store) -> None:
    """Without a server the page says so; with one, who cannot be mailed is listed to be rung."""
    assert "No mail server is set up" in desk.get(PAGE).text
    assert "make the sheet instead" in press(desk, **{"as": "mails"})
    app = create_app(
        club_store, Config("", "http://127.0.0.1:8000", mail_server=SERVER), lambda: NOW
    )
    with_server = sign_in(app, club_store, name="Another secretary")
    page = press(with_server, **{"as": ["mails"], "for": ["families", "coaches"]})
    assert "within a minute" in page
    assert "Mailed in the last two weeks" in page


def test_the_press_can_be_taken_back_at_once(desk: FlaskClient) -> None:
    """The next page offers to take all of them back."""
    press(desk)
    page = desk.get(PAGE).text
    found = re.search(r'action="(/desk/season/changes/\d+/undo)"', page)
    assert found is not None
    assert "Taken back" in send(desk, found[1], PAGE)
    assert "address in use" not in desk.get(PAGE).text
