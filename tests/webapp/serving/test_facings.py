"""Plans turned as whoever looks has chosen: kept by the browser and said in words."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS, book, load_small_club
from tests.webapp.conftest import ADDRESS, send

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


@pytest.fixture
def secret(empty_store: Store) -> str:
    """Give the secret part of the address of a squad with one session."""
    load_small_club(empty_store)
    book(empty_store)
    return create_squad_link(empty_store, KESTRELS, "a test", NOW)


@pytest.fixture
def stranger(empty_store: Store) -> FlaskClient:
    """Give a browser that nobody has signed in."""
    return create_app(empty_store, Config("", ADDRESS), lambda: NOW).test_client()


def which_way(page: str) -> str:
    """Return what the page says of how the plan lies."""
    found = re.search(r"<dt>Which way</dt><dd>([^<]*)</dd>", page)
    assert found
    return found[1]


def choose(browser: FlaskClient, secret: str, facing: str) -> str:
    """Choose on the squad's page, and return the page as it is then."""
    address = f"/ground/{secret}"
    send(browser, "/facing", address, facing=facing, back=address)
    return browser.get(address).text


def test_a_chosen_way_round_is_kept_and_told(stranger: FlaskClient, secret: str) -> None:
    """The words say how the plan lies now, the next page knows it still, and it can be undone."""
    lying = stranger.get(f"/ground/{secret}").text
    assert "on the left of the plan" in which_way(lying)
    turned = choose(stranger, secret, "north")
    assert "at the bottom of the plan" in which_way(turned)
    assert 'value="north" selected' in turned
    assert "at the bottom of the plan" in which_way(stranger.get(f"/ground/{secret}").text)
    assert which_way(choose(stranger, secret, "lying")) == which_way(lying)


def test_an_unknown_way_round_changes_nothing(stranger: FlaskClient, secret: str) -> None:
    """What nobody offers is not kept."""
    assert "on the left of the plan" in which_way(choose(stranger, secret, "upside down"))
