"""Lengths in metres, yards or paces, as whoever looks has chosen."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.ground.orientation.measures import (
    Measure,
    chosen_measure,
    length_in_short,
    measuring,
    size_in_short,
    size_in_words,
)
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS, book, load_small_club
from tests.webapp.conftest import ADDRESS, send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


@pytest.mark.parametrize(
    ("measure", "words", "short", "drawn"),
    [
        (Measure.BOTH, "27 × 18 m (30 × 20 yd)", "27 × 18 m", "27 m · 30 yd"),
        (Measure.METRES, "27 × 18 m", "27 × 18 m", "27 m"),
        (Measure.YARDS, "30 × 20 yd", "30 × 20 yd", "30 yd"),
        (Measure.PACES, "30 × 20 paces", "30 × 20 paces", "30 paces"),
    ],
)
def test_a_size_is_told_in_the_chosen_measure(
    measure: Measure, words: str, short: str, drawn: str
) -> None:
    """A yard is 0.9144 m (1959), a pace 0.9 m (common practice, no source)."""
    with measuring(measure):
        assert size_in_words(27.0, 18.0) == words
        assert size_in_short(27.0, 18.0) == short
        assert length_in_short(27.0) == drawn
    assert chosen_measure() is Measure.BOTH


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


def test_a_squads_page_tells_paces_once_chosen(stranger: FlaskClient, secret: str) -> None:
    """The choice is kept by the browser, for nobody else, and the page comes back."""
    page = f"/ground/{secret}"
    assert " yd" in stranger.get(page).text
    data = {"measure": "paces", "back": page, "csrf_token": token(stranger, page)}
    answer = stranger.post("/measure", data=data)
    assert answer.headers["Location"] == page
    shown = stranger.get(page).text
    assert " paces" in shown
    assert " yd)" not in shown
    assert 'value="paces" selected' in shown
    assert chosen_measure() is Measure.BOTH, "nothing is left behind in the server"
    feed = stranger.get(f"{page}/sessions.ics").text
    assert "paces" not in feed, "calendars go to many people"


def test_nonsense_is_not_kept(stranger: FlaskClient, secret: str) -> None:
    """An unknown measure changes nothing, and no page of another site is gone to."""
    page = f"/ground/{secret}"
    send(stranger, "/measure", page, measure="furlongs", back="//elsewhere.example")
    assert stranger.get_cookie("measure") is None
    stranger.set_cookie("measure", "furlongs")
    assert " yd" in stranger.get(page).text
