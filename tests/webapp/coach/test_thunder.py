"""The thunder clock's page, as far as it is not the browser's (see `tests/browser`)."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.club.people import Role
from clubplanner.domain.times.thunder import FLASH_TO_THUNDER_S, SECONDS_A_KM, WAIT_MINUTES
from tests.webapp.conftest import sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


def test_the_rule_stands_there_in_words(stranger: FlaskClient) -> None:
    """Without a script the clock is hidden, and the rule with its sources is all there is."""
    page = stranger.get("/thunder").text
    assert re.search(r"<section class=\"thunder-clock\" hidden", page)
    for words in (
        "Thunder within 30 seconds of the flash: stop at once",
        "until 30 minutes have gone by since the last thunder or lightning",
        "The referee, the rule of the place and qualified people come first",
        "NCAA Sports Medicine Handbook",
    ):
        assert words in page


def test_nothing_of_a_person_or_a_club_is_in_it(app: Flask, club_store: Store) -> None:
    """Phones keep it for whoever holds them next."""
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels", name="Maren Holloway")
    page = coach.get("/thunder").text
    assert "Maren" not in page
    assert "Tarnholt" not in page
    assert "csrf" not in page


def test_everybody_who_has_an_address_is_led_there(
    app: Flask, club_store: Store, secret: str
) -> None:
    """From a coach's start page and squad's page, and from a squad's address; kept with them."""
    link = 'href="/thunder" data-keep="first"'
    coach = sign_in(app, club_store, Role.COACH, "u13-kestrels")
    assert link in coach.get("/coach").text
    assert link in coach.get("/coach/squads/u13-kestrels").text
    assert link in app.test_client().get(f"/ground/{secret}").text


def test_clock_and_cautions_tell_the_same_numbers() -> None:
    """30 seconds and 30 minutes: decided in one place.

    American Orthopaedic Society for Sports Medicine, Athletic Health Handbook: "a clap of thunder
    approximately 30 seconds after a visible lightning bolt means that the thunderstorm is within
    six miles"; "wait 30 minutes"; a mile every five seconds. 1 mile = 1,609.344 m exactly.
    """
    assert (FLASH_TO_THUNDER_S, WAIT_MINUTES) == (30, 30)
    assert round(5 / 1.609344) == SECONDS_A_KM
    assert abs(FLASH_TO_THUNDER_S / SECONDS_A_KM - 6 * 1.609344) < 0.5
