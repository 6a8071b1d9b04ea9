"""An app of the invented club, a stranger's browser and one of each kind of person."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.searching_ready import searching_ready

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

ADDRESS = "http://127.0.0.1:8000"


@pytest.fixture(scope="package", autouse=True)
def _searching_ready() -> Iterator[None]:
    """Begin processes that search with what they need loaded."""
    with searching_ready():
        yield


@pytest.fixture
def app(club_store: Store) -> Flask:
    """Make the app of the invented club, its clock stopped."""
    return create_app(club_store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def stranger(app: Flask) -> FlaskClient:
    """Give a browser that nobody has signed in."""
    return app.test_client()


@pytest.fixture
def desk(app: Flask, club_store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, club_store)


@pytest.fixture
def secret(club_store: Store) -> str:
    """Give the secret part of one squad's address."""
    return create_squad_link(club_store, "u13-kestrels", "a test", NOW)


def sign_in(
    app: Flask,
    store: Store,
    role: Role = Role.SECRETARY,
    *squad_keys: str,
    name: str = "",
    club: int | None = None,
) -> FlaskClient:
    """Sign a new browser of a new person in: by default a secretary."""
    draft = PersonDraft(name or f"A {role.value}", role, "", squad_keys, club=club)
    number = add_person(store, draft, NOW)
    with store.write() as session:
        secret = open_browser(session, number, "A browser", NOW)
    client = app.test_client()
    client.set_cookie("person", secret)
    return client


def token(client: FlaskClient, path: str) -> str:
    """Return the token that protects the forms of a page."""
    return token_in(client.get(path).text, path)


def token_in(page: str, where: str = "the page") -> str:
    """Return the token that protects the forms of a page that was sent."""
    found = re.search(r'name="csrf_token" value="([^"]+)"', page)
    assert found is not None, f"{where} has no form"
    return found[1]


def send(client: FlaskClient, path: str, page: str, **values: str) -> str:
    """Send a form as its page would, and return the page that follows."""
    fields = {name.rstrip("_"): value for name, value in values.items()}
    answer = client.post(
        path, data={**fields, "csrf_token": token(client, page)}, follow_redirects=True
    )
    assert answer.status_code in (200, 422)
    return answer.text
