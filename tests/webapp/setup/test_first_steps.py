"""The first hour: what is done is seen from the records, and each step leads to its page."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.setup.first_steps import see_first_steps
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.problem import Effort
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import load_small_club
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/first-steps"
NEXT = re.compile(r'aria-current="step">\s*<h2>([^<]+)')


@pytest.fixture
def desk(empty_store: Store) -> FlaskClient:
    """Give the secretary's browser of a club with nothing in it."""
    return sign_in(create_app(empty_store, Config("", ADDRESS), lambda: NOW), empty_store)


def _next(desk: FlaskClient) -> str:
    found = NEXT.search(desk.get(PAGE).text)
    return found[1].strip() if found else ""


def test_each_step_is_seen_from_the_records(desk: FlaskClient, empty_store: Store) -> None:
    """From nothing to a published plan, one step after the other."""
    assert desk.get("/").headers["Location"] == PAGE
    assert _next(desk) == "Name the club"
    club = {"name": "Weir Rangers", "time_zone": "Europe/London", "step_minutes": "15",
            "changeover_minutes": "0", "travel_minutes": "30"}  # fmt: skip
    seen = re.search(r'name="seen" value="([^"]*)"', desk.get("/desk/club").text)
    assert seen is not None
    page = send(desk, "/desk/club", "/me", seen=seen[1], **club)
    assert "1 of 7 done" in page
    assert "next: Add a venue" in page
    venue = {"name": "Weir Park", "opening": "Mon-Fri 16:00-21:00", "lon": "-2.6", "lat": "52.3"}
    send(desk, "/desk/new-venue", "/me", **venue)
    assert _next(desk) == "Draw a pitch"
    assert 'href="/desk/grounds/weir-park/by-kind"' in desk.get(PAGE).text
    pitch = {"name": "Top", "surface": "grass", "length": "90", "width": "60", "cut_halves": "yes",
             "floodlights": "yes", "act": "save"}  # fmt: skip
    send(desk, "/desk/grounds/weir-park/new-pitch", "/me", **pitch)
    assert _next(desk) == "Say who asks for what"
    squad = {
        "squad": "U9 Terns",
        "age_group": "U9",
        "players": "12",
        "goalkeepers": "1",
        "sessions_a_week_1": "1",
        "minutes_1": "60",
        "possible_1": "Tue 17:00-19:00",
    }
    send(desk, "/desk/new-squad", "/me", **squad)  # fmt: skip
    assert _next(desk) == "Name a stretch of the season"
    stretch = {
        "stretch_name": "Spring",
        "stretch_first": "2027-03-01",
        "stretch_last": "2027-05-01",
    }
    send(desk, "/desk/season/year/stretches", "/me", **stretch)
    assert _next(desk) == "Share out, look at it, publish it"
    number = run_share_out(empty_store, "spring", Effort(seconds=2), NOW).number
    assert "a proposal, not published yet" in desk.get(PAGE).text
    assert f'href="/desk/share-outs/{number}"' in desk.get(PAGE).text
    publish_share_out(empty_store, number, NOW)
    assert _next(desk) == "Hand out the squads’ addresses"
    create_squad_link(empty_store, "u9-terns", "the squad", NOW)
    assert _next(desk) == ""
    over = desk.get(PAGE).text
    assert "All is done" in over
    assert over.count("look or change") == 7, "what is done can still be looked at"
    assert desk.get("/").headers["Location"] == "/desk/evening"
    assert "way-back" not in desk.get("/desk/squads").text


def test_every_page_works_on_the_way(desk: FlaskClient, empty_store: Store) -> None:
    """With a club alone, no page of the desk fails; it says what is missing."""
    seen = re.search(r'name="seen" value="([^"]*)"', desk.get("/desk/club").text)
    assert seen is not None
    send(desk, "/desk/club", "/me", name="Weir Rangers", time_zone="Europe/London", seen=seen[1])
    rules = [
        rule.rule
        for rule in desk.application.url_map.iter_rules()
        if "GET" in (rule.methods or ()) and not rule.arguments and rule.rule.startswith("/desk")
    ]
    assert len(rules) > 20
    for rule in rules:
        assert desk.get(rule, follow_redirects=True).status_code in (200, 404, 422), rule


def test_only_the_secretary_is_led_along(empty_store: Store) -> None:
    """A groundskeeper goes to the evening, and sees no steps."""
    load_small_club(empty_store)
    app = create_app(empty_store, Config("", ADDRESS), lambda: NOW)
    keeper = sign_in(app, empty_store, Role.GROUNDSKEEPER)
    assert keeper.get("/").headers["Location"] == "/desk/evening"
    assert "way-back" not in keeper.get("/desk/evening").text
    assert keeper.get(PAGE).status_code == 403
    assert see_first_steps(empty_store).done_count == 5
