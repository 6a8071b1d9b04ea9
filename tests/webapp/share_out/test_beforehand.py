"""The pages from which a share-out is started say first what will go wrong."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import update

from clubplanner.config import Config
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import AskRow
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import SETTINGS, TOP, load_small_club
from tests.webapp.asked_runs import LIST
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store
    from tests.stores import Filled

STEPS = "/desk/first-steps"
PITCH = f"/desk/grounds/marsh-lane/{TOP}"
SPRING = """
[[stretches]]
name = "Spring"
starts = 2027-04-12
ends = 2027-06-25
"""


def two_stretches(store: Store) -> None:
    """Load the small club with a summer's stretch after that of the winter."""
    load_small_club(store, settings=SETTINGS + SPRING)


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club none of whose ground outdoors is lit, and squads too large for its hall."""
    store = filled(two_stretches)
    with store.write() as session:
        session.execute(update(PitchRow).values(is_lit=False))
        session.execute(update(AskRow).values(least_m2=1000.0, least_share=0.0))
    return store


@pytest.fixture
def desk(store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)


def test_the_page_says_who_finds_no_ground_and_where_to_change_it(desk: FlaskClient) -> None:
    """Each squad with its cause and remedies, each remedy a way to where it is done."""
    page = desk.get(LIST).text
    assert "What to expect of Winter" in page
    assert "2 squads find too little ground, whoever else goes without." in page
    assert "is light from beginning to end on Wednesday 18:00–19:15." in page
    assert f'<a href="{PITCH}">Say that Top pitch has floodlights, if it has</a>' in page
    assert "This would help 2 squads." in page
    assert desk.get(PITCH).status_code == 200


def test_another_stretch_is_one_press_away(desk: FlaskClient) -> None:
    """In summer it is light: what holds in winter is not said of it, and its form is filled in."""
    assert f'href="{LIST}?stretch=spring"' in desk.get(LIST).text
    page = desk.get(f"{LIST}?stretch=spring").text
    assert "By itself, every squad that asks finds ground." in page
    assert '<option value="spring" selected>' in page
    assert "What to expect of Winter" in desk.get(f"{LIST}?stretch=autumn").text


def test_the_first_steps_say_it_shortly(desk: FlaskClient) -> None:
    """The sentence and what helps several stand where the step is, with a way to the rest."""
    page = desk.get(STEPS).text
    assert "2 squads find too little ground, whoever else goes without." in page
    assert "This would help 2 squads." in page
    assert f'href="{LIST}?stretch=winter#beforehand"' in page
    assert "There is no place that" not in page


def test_everything_closed_leads_to_the_venue_before_and_afterwards(
    desk: FlaskClient, store: Store
) -> None:
    """The same remedy stands with the squad that the share-out refused."""
    with store.write() as session:
        session.execute(update(VenueRow).values(opening=[]))
        session.execute(update(PitchRow).values(is_lit=True))
    way = '<a href="/desk/grounds/marsh-lane">Open Marsh Lane on Wednesday 18:00–19:15</a>'
    assert way in desk.get(LIST).text
    number = run_share_out(store, "winter", Effort(seconds=1), NOW).number
    page = desk.get(f"{LIST}/{number}").text
    assert "There is no place that is open on Wednesday 18:00–19:15." in page
    assert way in page


def test_every_place_that_is_led_to_is_there(desk: FlaskClient) -> None:
    """No remedy leads nowhere."""
    page = desk.get(LIST).text
    links = re.findall(r'href="([^"]+)"', page[page.index('id="beforehand"') :])
    assert len(links) > 3
    for link in set(links):
        assert desk.get(link).status_code == 200, link
