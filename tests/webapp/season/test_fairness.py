"""The page of fairness."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.stores import make_wish, put_booking
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/fairness"


def test_hours_measures_and_picture_are_shown(club_store: Store) -> None:
    """After an evening of training the page shows what each squad had, in words and drawn."""
    put_booking(club_store, make_wish(club_store), NOW)
    later = NOW + timedelta(days=12)
    desk = sign_in(create_app(club_store, Config("", ADDRESS), lambda: later), club_store)
    text = desk.get(PAGE).text
    assert "Jain&#39;s index" in text or "Jain's index" in text
    assert "Squad by squad" in text
    assert text.count("U13 Kestrels had the worst ground so far, U13 Kestrels the best.") == 2
    assert '<th scope="row">U13 Kestrels</th>' in text, "the table has each of them, too"


def test_a_club_in_which_nobody_had_anything_is_not_even(club_store: Store) -> None:
    """Before anybody trained there is no index, and each squad that asked has 0 percent."""
    later = NOW + timedelta(days=12)
    desk = sign_in(create_app(club_store, Config("", ADDRESS), lambda: later), club_store)
    text = desk.get(PAGE).text
    assert "No training has begun yet." in text
    assert 'training that a <a href="/desk/share-outs">share-out</a> booked' in text
    assert "The same as a table" not in text, "there is no picture that it could repeat"
    assert "<svg" not in text.partition("<main")[2]
    assert "perfectly even" not in text
    assert "0 %" in text
    assert "100 %" not in text


def test_before_the_season_it_says_so(club_store: Store) -> None:
    """Without a begun stretch there is a sentence, not a failure."""
    early = NOW - timedelta(days=400)
    app = create_app(club_store, Config("", ADDRESS), lambda: early)
    client: FlaskClient = sign_in(app, club_store)
    answer = client.get(PAGE)
    assert answer.status_code == 200
    assert "has not begun yet" in answer.text
