"""A club with more squads, ground and venues than a page lists: its forms find, and stay light."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.rules.book import hindrances
from clubplanner.services.places.scenes import load_scenes
from clubplanner.services.season.standing import load_standing
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from tests.benchmarks.planned import propose_as_booked
from tests.builders import NOW
from tests.large_club import make_large_club, noting_statements

if TYPE_CHECKING:
    from collections.abc import Iterator

    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store
    from tests.large_club import LargeClub

SQUADS, PITCHES, VENUES = 320, 42, 14
MOST_BYTES = 110_000
LIGHT = {
    "/desk/people": 60_000,
    "/desk/addresses": 12_000,
    "/desk/addresses/all": 12_000,
    "/desk/share-outs/again": 14_000,
    "/desk/share-outs/turns": 10_000,
    "/desk/share-outs/tonight": MOST_BYTES,
    "/desk/money/tariffs": 25_000,
    "/desk/new-squad": 30_000,
    "/desk/evening?venue=marsh-lane": MOST_BYTES,
    "/desk/season/closures": 20_000,
    "/desk/season/hires": 20_000,
    "/desk/season/matches": 20_000,
    "/desk/season/ahead": 45_000,
    "/desk/bookings": 20_000,
    "/desk/season/squads/{squad}/begin": 25_000,
}
"""The most bytes of each page; with a list of all squads or areas in it, each would be heavier."""
MOST_STATEMENTS = 68


@pytest.fixture(scope="module")
def records(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    """Open an empty store for the club."""
    store = open_store(f"sqlite:///{tmp_path_factory.mktemp('spread') / 'spread.sqlite'}")
    migrate(store)
    yield store
    store.close()


@pytest.fixture(scope="module")
def club(records: Store) -> LargeClub:
    """Make a club of 320 squads on 42 pitches at 14 venues."""
    return make_large_club(
        records, SQUADS, PITCHES, 13, venues=VENUES, propose=propose_as_booked, squads_a_coach=4
    )


@pytest.fixture
def desk(club: LargeClub) -> FlaskClient:
    """Sign the secretary in."""
    client = club.app.test_client()
    client.set_cookie("person", club.secrets["secretary"])
    return client


def sent(desk: FlaskClient, page: str, to: str = "", **fields: object) -> TestResponse:
    """Send a form of a page with its tokens."""
    html = desk.get(page).text
    tokens = dict(re.findall(r'name="(csrf_token|once)" value="([^"]+)"', html))
    return desk.post(to or page, data={**tokens, **fields})


@pytest.mark.parametrize("page", LIGHT)
def test_pages_stay_light(club: LargeClub, records: Store, desk: FlaskClient, page: str) -> None:
    """Neither bytes nor statements grow with what a page does not show."""
    path = page.format(squad=club.values["key"])
    desk.get(path)
    with noting_statements(records) as statements:
        answer = desk.get(path)
    assert answer.status_code == 200
    assert len(answer.data) <= LIGHT[page]
    assert len(statements) <= MOST_STATEMENTS


def test_looking_for_squads_loses_nothing_and_does_nothing(desk: FlaskClient) -> None:
    """What was typed and ticked comes back with what is found; only then somebody is added."""
    first = sent(
        desk,
        "/desk/people",
        name="Robin Hale",
        role="coach",
        squads="u8-larks-000",
        **{"find-squads": "finches 001", "found-squads": "", "look-for": "squads"},
    )
    assert first.status_code == 200
    assert 'value="Robin Hale"' in first.text
    assert re.search(r'value="u8-larks-000" checked', first.text)
    assert re.search(r'value="u9-finches-001">', first.text)
    assert "1 found." in first.text
    assert "Robin Hale</th>" not in desk.get("/desk/people").text
    done = sent(
        desk,
        "/desk/people",
        name="Robin Hale",
        role="coach",
        squads=["u8-larks-000", "u9-finches-001"],
        **{"find-squads": "finches 001", "found-squads": "finches 001"},
    )
    assert done.status_code == 302
    page = desk.get(done.location).text
    assert page.count(" checked> <span><bdi>U") == 2


def test_enter_in_the_field_looks(desk: FlaskClient) -> None:
    """Words that nobody has looked for yet are looked for first, whichever button is pressed."""
    answer = sent(desk, "/desk/share-outs/turns", stretch="winter", **{"find-still": "rooks 002"})
    assert answer.status_code == 200
    assert 'value="u10-rooks-002">' in answer.text
    assert re.search(r'id="find-still"[^>]* autofocus', answer.text)


def test_a_form_that_looked_can_be_sent_again_from_the_page_before(desk: FlaskClient) -> None:
    """A look leaves the form's token unused: who goes back and sends the old page may."""
    html = desk.get("/desk/addresses").text
    tokens = dict(re.findall(r'name="(csrf_token|once)" value="([^"]+)"', html))
    asked = {**tokens, "holder": "Pat", "reminder": "0", "about": ""}
    look = desk.post("/desk/addresses", data={**asked, "find-about": "larks 000"})
    assert 'value="squad:u8-larks-000"' in look.text
    assert 'value="Pat"' in look.text
    made = desk.post("/desk/addresses", data={**asked, "about": "squad:u8-larks-000"})
    assert made.status_code == 200
    assert "webcal://" in made.text


def test_ground_is_found_by_pitch_and_venue(desk: FlaskClient) -> None:
    """Of all areas those of the pitch that was looked for are offered, under its name."""
    query = {"find-area": "pitch 05 marsh", "found-area": "", "look-for": "area", "reason": "frost"}
    assert "</optgroup>" not in desk.get("/desk/season/closures").text
    page = desk.get("/desk/season/closures/look", query_string=query)
    assert page.status_code == 200
    assert 'value="frost"' in page.text
    assert "</optgroup>" not in page.text  # it lies elsewhere
    query["find-area"] = "ground 02 pitch 04"
    page = desk.get("/desk/season/closures/look", query_string=query)
    assert re.findall(r'<optgroup label="([^"]+)"', page.text) == ["Ground 02, Pitch 04"]


def test_tonight_carries_what_is_not_shown(desk: FlaskClient) -> None:
    """Another leaf and another venue: numbers typed and ground closed go along to the end."""
    page = "/desk/share-outs/tonight"
    html = desk.get(page).text
    was = dict(re.findall(r'name="was-([^"]+)" value="([^"]*)"', html))
    key = next(iter(was))
    fields = {
        f"was-{key}": was[key],
        f"on-{key}": "on",
        f"players-{key}": "7",
        "closed-marsh-lane-pitch-01": "marsh-lane-pitch-01/whole",
        "reason-marsh-lane-pitch-01": "frost",
        "venue": "ground-02",
    }
    leaf = sent(desk, page, f"{page}?squad=51", **fields, **{"look-for": "leaf"})
    assert leaf.status_code == 200
    assert f'<input type="hidden" name="players-{key}" value="7">' in leaf.text
    assert 'type="hidden" name="reason-marsh-lane-pitch-01" value="frost"' in leaf.text
    assert "Closed at other venues, too: Pitch 01, Marsh Lane." in leaf.text
    assert 'name="closed-ground-02-pitch-04"' in leaf.text
    faulty = sent(desk, page, f"{page}?squad=51", **{**fields, f"players-{key}": "many"})
    assert faulty.status_code == 422
    assert f'id="fault-players-{key}"' in faulty.text  # its leaf is shown


def test_a_beginning_squad_sees_a_venue_at_a_time(club: LargeClub, desk: FlaskClient) -> None:
    """First the one where it is most often; another one on request."""
    page = f"/desk/season/squads/{club.values['key']}/begin"
    usual = desk.get(page).text
    assert re.search(r'value="marsh-lane" selected', usual)
    other = desk.get(f"{page}?venue=ground-03").text
    assert re.search(r'value="ground-03" selected', other)
    places = re.findall(r"<b>\w+ [\d:–]+, ([^<]+)</b>", other)
    assert all(place.endswith("Ground 03") for place in places)


def test_many_venues_are_a_selection(desk: FlaskClient) -> None:
    """Fourteen links would fill a screen of a phone."""
    page = desk.get("/desk/evening?venue=ground-02").text
    assert re.search(r'<option value="ground-02" selected>', page)
    assert '<nav class="venues"' not in page


def test_rules_see_no_difference_in_a_scene_of_one_venue(club: LargeClub, records: Store) -> None:
    """What is read of one venue and its people holds each session to the same rules."""
    assert club.values
    first, last = NOW.date(), NOW.date() + timedelta(days=13)
    with records.read() as session:
        whole = load_scenes(session, first, last)
        for venue in ("marsh-lane", "ground-07"):
            part = load_scenes(session, first, last, venue)
            assert len(part.bookings) < len(whole.bookings) / 2
            told = []
            for scene in (whole, part):
                standing = load_standing(session, scene, first, last, NOW, venue)
                told.append([(one.booking.number, hindrances(one.case)) for one in standing])
            assert told[0] == told[1]
            assert told[0]
