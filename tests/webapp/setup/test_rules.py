"""The rules of sharing out at the desk."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.services.rows.snapshot import load_club
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import load_small_club
from tests.webapp.conftest import ADDRESS, sign_in, token
from tests.webapp.setup.test_grounds import form_of

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PATH = "/desk/club/rules"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club."""
    load_small_club(empty_store)
    return empty_store


@pytest.fixture
def desk(store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)


def test_a_rule_is_saved_and_shown(desk: FlaskClient, store: Store) -> None:
    """And there is a line for one more age."""
    sent = {**form_of(desk, PATH), "up_to_1": "U10", "latest_finish_1": "18:30"}
    answer = desk.post(PATH, data={**sent, "csrf_token": token(desk, "/me")})
    assert answer.status_code == 302
    with store.read() as session:
        assert load_club(session).rules.for_age(8).latest_finish_min == 18 * 60 + 30
    page = desk.get(PATH).text
    assert 'value="18:30"' in page
    assert 'name="up_to_2"' in page
    assert "Rules saved" in page


def test_a_fault_keeps_what_was_typed(desk: FlaskClient) -> None:
    """It is told at its field."""
    sent = {**form_of(desk, PATH), "up_to_1": "U10", "latest_finish_1": "half six"}
    answer = desk.post(PATH, data={**sent, "csrf_token": token(desk, "/me")})
    assert answer.status_code == 422
    assert 'value="half six"' in answer.text
    assert 'href="#field-latest_finish_1"' in answer.text


def test_who_comes_second_is_told(desk: FlaskClient) -> None:
    """And keeps what was typed."""
    sent = {**form_of(desk, PATH), "up_to_1": "U10", "latest_finish_1": "18:30"}
    for status in (302, 409):
        sent["latest_finish_1"] = f"19:{status % 60:02}"
        data = {**sent, "csrf_token": token(desk, "/me")}
        data.pop("once", None)
        answer = desk.post(PATH, data=data)
        assert answer.status_code == status
    assert f'value="{sent["latest_finish_1"]}"' in answer.text
