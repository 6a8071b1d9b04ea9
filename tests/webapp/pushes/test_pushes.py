"""The button that lets a phone be told: what the page offers, and what its forms do."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.club.people import Role
from clubplanner.errors import NoRoomError
from clubplanner.outputs.pushes.encryption import from_words
from clubplanner.services.calendars.calendar_links import LinkKind, LinkWish, create_link
from clubplanner.services.pushes.readers import mark_of
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.store.tables.push_tables import PushKeyRow
from clubplanner.webapp.pushes import pushes
from tests.builders import NOW
from tests.push_service import Phone, Service
from tests.webapp.conftest import send, sign_in, token

if TYPE_CHECKING:
    import pytest
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

BUTTON = "Tell this phone when tonight changes"
WISH = Phone().wish(Service(None, 443))  # type: ignore[arg-type]
FIELDS = {"endpoint": WISH.endpoint, "p256dh": WISH.public_key, "auth": WISH.auth}
MARK = mark_of(WISH.endpoint)


def offered(html: str) -> dict[str, str]:
    """Return what the offer's section says to the script."""
    section = re.search(r'<section class="tell"[^>]*>', html)
    assert section is not None
    assert " hidden " in section[0], "only the script shows it"
    return dict(re.findall(r'data-(key|place|marks)="([^"]*)"', section[0]))


def test_a_squads_page_offers_it_and_switches_it_on_and_off(
    stranger: FlaskClient, secret: str
) -> None:
    """What a browser says of itself comes back as a mark alone; off, nothing is left."""
    page = f"/ground/{secret}"
    html = stranger.get(page).text
    assert BUTTON in html
    assert "the club keeps an address that this browser makes up, and no name or number" in html
    assert len(from_words(offered(html)["key"])) == 65
    html = send(stranger, f"/tell/{secret}", page, **FIELDS)
    assert "This phone is told when something changes within a day." in html
    assert offered(html)["marks"] == MARK
    assert offered(html)["place"].startswith("address-")
    for value in FIELDS.values():
        assert value not in html
    html = send(stranger, f"/tell/{secret}/off", page, endpoint=WISH.endpoint)
    assert "This phone is told no more" in html
    assert offered(html)["marks"] == ""


def test_the_private_half_of_the_key_is_on_no_page(
    stranger: FlaskClient, club_store: Store, secret: str
) -> None:
    """Whoever had it could ring in the club's name."""
    html = stranger.get(f"/ground/{secret}").text
    with club_store.read() as session:
        row = session.get_one(PushKeyRow, 1)
    assert row.public_key in html
    assert row.private_key not in html


def test_a_coachs_page_offers_it(app: Flask, club_store: Store) -> None:
    """To the browser they are signed in with."""
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    assert BUTTON in coach.get("/coach/calendar").text
    html = send(coach, "/coach/tell", "/coach/calendar", **FIELDS)
    assert offered(html) == {**offered(html), "place": "", "marks": MARK}
    html = send(coach, "/coach/tell/off", "/coach/calendar", endpoint=WISH.endpoint)
    assert offered(html)["marks"] == ""


def test_a_coachs_address_offers_it_and_a_pitchs_does_not(
    stranger: FlaskClient, club_store: Store
) -> None:
    """After the form the page behind the address follows."""
    with club_store.read() as session:
        coach = next(squad.coach for squad in load_squads(session) if squad.coach)
    page = create_link(club_store, LinkWish(LinkKind.COACH, coach, coach), NOW).path
    secret = page.rpartition("/")[2]
    assert BUTTON in stranger.get(page).text
    assert offered(send(stranger, f"/tell/{secret}", page, **FIELDS))["marks"] == MARK


def test_a_secretary_who_looks_after_no_squad_is_not_asked(desk: FlaskClient) -> None:
    """There is nothing to be told of."""
    assert BUTTON not in desk.get("/coach/calendar").text


def test_forms_that_say_nothing_or_lead_nowhere_are_answered_plainly(
    stranger: FlaskClient, secret: str
) -> None:
    """Without the script, or with an address that was withdrawn."""
    fields = {"csrf_token": token(stranger, f"/ground/{secret}")}
    answer = stranger.post(f"/tell/{secret}", data=fields)
    assert answer.status_code == 422
    assert "press the button once more" in answer.text
    for path in ("/tell/unknown", "/tell/unknown/off"):
        assert stranger.post(path, data={**fields, **FIELDS}).status_code == 404
    assert stranger.post("/coach/tell", data={**fields, **FIELDS}).status_code == 302


def test_a_page_opens_though_nothing_can_be_offered(
    stranger: FlaskClient, secret: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk keeps the key from being made, not the page from being shown."""

    def fail(*_: object) -> None:
        raise NoRoomError

    monkeypatch.setattr(pushes, "load_club_key", fail)
    answer = stranger.get(f"/ground/{secret}")
    assert answer.status_code == 200
    assert BUTTON not in answer.text
