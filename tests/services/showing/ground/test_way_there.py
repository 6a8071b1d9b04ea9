"""How to get to a venue: what the club typed, to whom it is shown, links that need no service."""

from __future__ import annotations

import re

import pytest

from clubplanner.services.showing.ground.way_there import way_to
from tests.builders import make_pitch, make_venue

TYPED = {
    "way_in": "Gate by the willow",
    "parking": "Gravel lot.",
    "contact": "Ines Varley",
    "contact_phone": "01632 960 417",
}


def test_what_the_club_typed_is_told_as_it_stands() -> None:
    """Address, way in, parking and whom to call, for who is signed in."""
    way = way_to(make_venue(**TYPED), is_member=True)
    assert (way.venue_name, way.address) == ("Marsh Lane", "Marsh Lane, Alderby")
    assert (way.way_in, way.parking) == ("Gate by the willow", "Gravel lot.")
    assert (way.contact, way.phone, way.call) == (
        "Ines Varley",
        "01632 960 417",
        "tel:01632960417",
    )


def test_whom_to_call_is_for_others_only_where_the_club_says_so() -> None:
    """Neither name nor number, and no link that would give it away."""
    hidden = way_to(make_venue(**TYPED))
    assert (hidden.contact, hidden.phone, hidden.call) == ("", "", "")
    shown = way_to(make_venue(**TYPED, phone_for_parents=True))
    assert (shown.contact, shown.call) == ("Ines Varley", "tel:01632960417")


def test_calendars_get_the_way_and_nobody_to_ring() -> None:
    """Sentences, each ended once; nothing where nothing was typed."""
    way = way_to(make_venue(**TYPED), is_member=True)
    assert way.lines == ("Way in: Gate by the willow.", "Parking: Gravel lot.")
    assert way_to(make_venue()).lines == ()


def test_without_typed_words_the_side_of_the_pitch_is_the_way_in() -> None:
    """The side that the entrance lies at; the club's own words come first."""
    pitch = make_pitch(entrance=(50.0, 0.0))
    assert way_to(make_venue(), pitch).way_in == pitch.edges.right.capitalize()
    assert way_to(make_venue(way_in="Over the stile"), pitch).way_in == "Over the stile"
    assert way_to(make_venue(), make_pitch()).way_in == ""


@pytest.mark.parametrize(
    ("lat", "lon", "written"),
    [
        (52.3146, -2.612, "52.3146,-2.612"),
        (0.0, -0.0, "0,0"),
        (-33.0, 151.2093001, "-33,151.2093"),
        (10.0, 100.0, "10,100"),
        (-0.0000001, 7e-7, "0,0.000001"),
    ],
)
def test_the_map_link_is_a_geo_uri(lat: float, lon: float, written: str) -> None:
    """Latitude first, a point, no exponent: the grammar of RFC 5870, section 3.3."""
    way = way_to(make_venue(lat=lat, lon=lon))
    assert way.map_address == f"geo:{written}"
    number = r"-?[0-9]+(?:\.[0-9]+)?"
    assert re.fullmatch(f"geo:{number},{number}", way.map_address)
    assert way.coordinates == written.replace(",", ", ")
