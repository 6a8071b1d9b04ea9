"""Tests of the sentences about light: lit, unlit, indoors, near the pole."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

import pytest

from clubplanner.domain.times.daylight import find_light
from clubplanner.domain.times.times import clock_in_zone, instant_from_wall
from clubplanner.services.showing.light_words import LightWords, light_in_words
from tests.builders import A_WEDNESDAY, LONDON, make_pitch, make_venue

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Venue

MIDSUMMER, MIDWINTER = date(2026, 6, 21), date(2026, 12, 21)
OSLO = ZoneInfo("Europe/Oslo")


def northern_venue(**changes: Any) -> Venue:
    """Return a venue north of the polar circle."""
    return make_venue(lon=18.96, lat=69.65, **changes)


def light(
    venue: Venue, day: date = A_WEDNESDAY, zone: ZoneInfo = LONDON, **pitch: Any
) -> LightWords:
    """Say the light of a pitch."""
    return light_in_words(make_pitch(**pitch), venue, day, zone)


def at(day: date, minute: int, zone: ZoneInfo = LONDON) -> datetime:
    """Return an instant by the wall clock."""
    return instant_from_wall(day, minute, zone)


def test_unlit_ground_is_of_use_until_sunset_and_the_margin() -> None:
    """Unlit ground names sunset, dusk and until when there is light enough."""
    venue = make_venue(dusk_margin_minutes=12)
    found = light(venue)
    sun = find_light(A_WEDNESDAY, venue.lon, venue.lat, LONDON)
    assert sun.sunset_at is not None
    assert sun.civil_dusk_at is not None
    minute = sun.sunset_at.replace(second=0, microsecond=0)
    assert found.usable_until == minute + timedelta(minutes=12)
    assert found.sentence == (
        f"No floodlights: light enough until {clock_in_zone(found.usable_until, LONDON)}. "
        f"Sunset {clock_in_zone(sun.sunset_at, LONDON)}, "
        f"dusk {clock_in_zone(sun.civil_dusk_at, LONDON)}."
    )


@pytest.mark.parametrize("day", [A_WEDNESDAY, MIDSUMMER, date(2027, 3, 28)])
def test_floodlit_ground_is_of_use_until_the_later_of_lights_out_and_dark(day: date) -> None:
    """Lights out counts once it is dark: on a summer evening the sun outlasts the lights."""
    venue = make_venue(lights_off_min=20 * 60)
    found = light(venue, day, is_lit=True)
    sunset = find_light(day, venue.lon, venue.lat, LONDON).sunset_at
    assert sunset is not None
    minute = sunset.replace(second=0, microsecond=0)
    assert found.usable_until == max(minute, at(day, 20 * 60))
    assert found.sentence.startswith("Floodlights until 20:00. Sunset ")


def test_floodlights_without_a_rule_have_no_end() -> None:
    """Where lights may burn all night no session ends too late."""
    found = light(make_venue(lights_off_min=None), is_lit=True)
    assert found.usable_until is None
    assert found.sentence.startswith("Floodlights. Sunset ")


def test_a_hall_knows_no_night() -> None:
    """Indoors neither sun nor lights out matter."""
    found = light(make_venue(), is_indoor=True, is_lit=True)
    assert found == LightWords("Lit all evening.", None)


def test_in_the_polar_night_unlit_ground_is_dark_all_day() -> None:
    """Where the sun does not rise every session on unlit ground is in the dark."""
    venue = northern_venue()
    found = light(venue, MIDWINTER, OSLO)
    assert found.sentence == "No floodlights. The sun does not rise."
    lit = light(venue, MIDWINTER, OSLO, is_lit=True)
    assert lit.sentence == "Floodlights until 21:30. The sun does not rise."


def test_under_the_midnight_sun_no_ground_gets_dark() -> None:
    """Where the sun does not set neither darkness nor lights out end a session."""
    venue = northern_venue()
    for is_lit in (False, True):
        found = light(venue, MIDSUMMER, OSLO, is_lit=is_lit)
        assert found.sentence.endswith("The sun does not set.")


def test_where_it_never_gets_dark_after_sunset_no_dusk_is_named() -> None:
    """In white nights the sun sets without ever being low enough for dusk."""
    venue = make_venue(lon=24.9, lat=65.5)
    found = light(venue, MIDSUMMER, ZoneInfo("Europe/Helsinki"))
    assert "Sunset " in found.sentence
    assert "dusk" not in found.sentence


def test_a_venue_without_a_place_says_that_darkness_is_not_known() -> None:
    """Nobody takes silence for light."""
    nowhere = make_venue(lon=None, lat=None)
    told = light_in_words(make_pitch(is_lit=False), nowhere, A_WEDNESDAY, LONDON)
    assert told.usable_until is None
    assert told.sentence == (
        "No floodlights. When it gets dark is not known: nobody has said yet where the venue lies."
    )
