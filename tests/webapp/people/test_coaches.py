"""Coaches on the pages: the secretary's forms, and who sees a telephone number."""

from __future__ import annotations

import re
from html import unescape
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.people.people import list_people
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import KESTRELS, SQUADS, book, load_small_club
from tests.stores import area_number
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PHONE = "01632 960001"
SQUAD_PAGE = f"/desk/squads/{KESTRELS}"
TOP = "marsh-lane-top-pitch"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club; Robin has a telephone and Kim to help."""
    squads = SQUADS.replace(",coach,", ",coach,coach phone,assistants,")
    squads = squads.replace("Robin Hale,", f"Robin Hale,{PHONE},Kim Vale <kim@x.example>,")
    load_small_club(empty_store, squads=squads.replace("Sam Reed,", "Sam Reed,,,"))
    book(empty_store)
    return empty_store


@pytest.fixture
def app(store: Store) -> Flask:
    """Give the app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store, name="A secretary")


def fields_of(client: FlaskClient) -> dict[str, str]:
    """Return the fields of the squad's form as they stand."""
    page = client.get(SQUAD_PAGE).text.partition("<main")[2].partition("</form>")[0]
    found = re.findall(r'<input ([^>]*?name="([^"]+)"[^>]*? value="([^"]*)"[^>]*)', page)
    skipped = ("csrf_token", "once")
    return {
        n: unescape(v)
        for tag, n, v in found
        if '"radio"' not in tag and '"checkbox"' not in tag and n not in skipped
    }


def test_telephone_numbers_are_the_secretarys_and_the_groundskeepers(
    app: Flask, store: Store, desk: FlaskClient
) -> None:
    """A groundskeeper sees one where a session has to go; coaches and squads see none."""
    assert PHONE in desk.get("/desk/people").text
    assert PHONE in desk.get(SQUAD_PAGE).text
    keeper = sign_in(app, store, Role.GROUNDSKEEPER, name="Alex")
    wish = {
        "area": str(area_number(store, "whole", TOP)),
        "date": str(A_WEDNESDAY),
        "from": "17:40",
        "until_date": str(A_WEDNESDAY),
        "until": "24:00",
        "condition": "closed",
        "reason": "waterlogged",
        "words": "",
    }
    assert PHONE in keeper.get("/desk/season/closures/look", query_string=wish).text
    coach = sign_in(app, store, Role.COACH, KESTRELS, name="Lee")
    secret = create_squad_link(store, KESTRELS, "the squad", NOW)
    for client, path in (
        (coach, "/coach"),
        (coach, f"/coach/squads/{KESTRELS}"),
        (coach, "/me"),
        (app.test_client(), f"/ground/{secret}"),
    ):
        answer = client.get(path, follow_redirects=True)
        assert answer.status_code == 200, path
        assert PHONE not in answer.text, path
    assert coach.get("/desk/people").status_code == 403


def test_another_name_in_the_form_is_asked_about(desk: FlaskClient, store: Store) -> None:
    """Nothing typed is lost; answered, it is a correction, and the people page says so."""
    fields = {**fields_of(desk), "coach": "Robyn Hale"}
    asked = send(desk, SQUAD_PAGE, SQUAD_PAGE, **fields)
    assert 'href="#field-coach_is"' in asked
    assert 'value="Robyn Hale"' in asked
    send(desk, SQUAD_PAGE, SQUAD_PAGE, **fields, coach_is="same")
    lines = {line.person.name: line for line in list_people(store, NOW)}
    assert "Robin Hale" not in lines
    assert lines["Robyn Hale"].phone == PHONE
    assert lines["Kim Vale"].assisted_names == ("U12 Kestrels",)


def test_a_coach_without_an_account_is_let_in(app: Flask, desk: FlaskClient, store: Store) -> None:
    """From their page, with an address to hand over; the assistant sees the squad's ground."""
    number = next(n.person.number for n in list_people(store, NOW) if n.person.name == "Kim Vale")
    page = f"/desk/people/{number}"
    assert "may not sign in so far" in desk.get(page).text
    assert "End access" not in desk.get(page).text
    made = send(desk, f"{page}/link", page)
    found = re.search(r'class="address">([^<]+)<', made)
    assert found is not None
    client = app.test_client()
    path = found[1].strip().removeprefix(ADDRESS)
    assert "U12 Kestrels" in send(client, path, path)
    assert "End access" in desk.get(page).text


def test_a_number_that_cannot_be_dialled_is_told(desk: FlaskClient, store: Store) -> None:
    """On the people page as on the squad's form."""
    number = next(n.person.number for n in list_people(store, NOW) if n.person.name == "Kim Vale")
    page = f"/desk/people/{number}"
    told = send(desk, page, page, name="Kim", role="coach", version="0", phone="ring me")
    assert 'href="#field-phone"' in told
    told = send(desk, SQUAD_PAGE, SQUAD_PAGE, **{**fields_of(desk), "coach_phone": "ring me"})
    assert 'href="#field-coach_phone"' in told
