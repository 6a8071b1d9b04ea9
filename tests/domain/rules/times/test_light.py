"""The rule of light, and until when ground is of use."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest

from clubplanner.domain.rules.times.light import (
    begins_in_the_dark,
    ends_in_the_dark,
    light,
    usable_from,
    usable_until,
)
from clubplanner.domain.times.daylight import find_light, find_sunrise
from clubplanner.domain.times.times import TimeRange, clock_in_zone, instant_from_wall
from tests.builders import A_WEDNESDAY, LONDON, make_pitch, make_range, make_venue
from tests.domain.rules.builders import (
    CHANGES,
    make_case,
    make_hire,
    make_match,
    make_scene,
    venue_with,
    words_of,
)

MARGIN = timedelta(minutes=10)
DUSKY = make_scene(venues=[make_venue(dusk_margin_minutes=10)])


@pytest.mark.parametrize("day", [A_WEDNESDAY, *CHANGES])
def test_it_may_end_when_it_gets_too_dark_and_no_later(day: date) -> None:
    """Sunset and the club's margin, in whole minutes, on the days of clock changes too."""
    sunset = find_light(day, -1.2, 52.9, LONDON).sunset_at
    assert sunset is not None
    until = (sunset + MARGIN).replace(second=0, microsecond=0)
    hour = TimeRange(until - timedelta(hours=1), until)
    assert light(make_case(DUSKY, day=day, during=hour)) is None
    longer = replace(hour, ends_at=until + timedelta(seconds=1))
    words = f"Top pitch has no lights; it is too dark from {clock_in_zone(until, LONDON)}."
    for case in (make_case(DUSKY), make_match(DUSKY), make_hire(DUSKY)):
        assert words_of(light, replace(case, during=longer)) == words
    assert light(make_case(DUSKY, day=day, during=longer, ask=None)) is not None


@pytest.mark.parametrize("day", [A_WEDNESDAY, *CHANGES])
def test_it_may_begin_when_it_gets_light_enough_and_no_earlier(day: date) -> None:
    """As long before sunrise as after sunset, in whole minutes, on days of clock changes too."""
    sunrise = find_sunrise(day, -1.2, 52.9, LONDON)
    assert sunrise is not None
    dawn = (sunrise - MARGIN).replace(second=0, microsecond=0) + timedelta(minutes=1)
    hour = TimeRange(dawn, dawn + timedelta(hours=1))
    assert light(make_case(DUSKY, day=day, during=hour)) is None
    earlier = replace(hour, starts_at=dawn - timedelta(seconds=1))
    words = f"Top pitch has no lights; it is too dark until {clock_in_zone(dawn, LONDON)}."
    for case in (make_case(DUSKY), make_match(DUSKY), make_hire(DUSKY)):
        assert words_of(light, replace(case, during=earlier)) == words
    ground, venue = make_pitch(), make_venue(dusk_margin_minutes=10)
    assert begins_in_the_dark(ground, venue, earlier, LONDON)
    assert not begins_in_the_dark(ground, venue, hour, LONDON)


def test_a_night_is_dark_and_a_lit_morning_is_not() -> None:
    """Before dawn unlit ground is of no use; lamps are switched on, and the far north is light."""
    small_hours = make_range(A_WEDNESDAY, 120, 180)
    assert light(make_case(during=small_hours)) is not None
    lit = make_scene(venues=venue_with(is_lit=True))
    assert light(make_case(lit, during=small_hours)) is None
    north = make_venue(lat=69.65, lon=18.96)
    for day in (MIDWINTER, MIDSUMMER):
        assert usable_from(make_pitch(), north, day, OSLO) is None
    assert usable_from(make_pitch(is_indoor=True), make_venue(), A_WEDNESDAY, LONDON) is None


def test_lamps_and_roofs_make_no_difference_between_day_and_night() -> None:
    """Lit and indoor ground passes at any time; when lamps go out is another rule."""
    for changes in ({"is_lit": True}, {"is_indoor": True}):
        scene = make_scene(venues=venue_with(**changes))
        assert light(make_case(scene, start_min=1380, end_min=1500)) is None


def test_a_match_is_over_before_its_ground_is_cleared() -> None:
    """It has to be light until the final whistle, not until the nets are in."""
    sunset = find_light(A_WEDNESDAY, -1.2, 52.9, LONDON).sunset_at
    assert sunset is not None
    during = TimeRange(sunset - timedelta(hours=2), sunset + timedelta(minutes=30))
    assert light(make_match(during=during)) is not None
    assert (
        light(make_match(during=during, light_until=sunset.replace(second=0, microsecond=0)))
        is None
    )


def test_far_in_the_north_it_is_dark_all_day_or_light_all_night() -> None:
    """Where the sun does not rise nothing will do, and where it does not set everything."""
    north = make_venue(lat=69.65, lon=18.96, pitches=(make_pitch("Nord"),))
    scene = make_scene(venues=[north], zone="Europe/Oslo")
    noon = make_case(scene, day=date(2026, 12, 21), start_min=700, end_min=730)
    assert words_of(light, noon) == "Nord has no lights, and the sun does not rise on that day."
    assert light(make_case(scene, day=date(2026, 6, 21), start_min=1380, end_min=1440)) is None


OSLO = ZoneInfo("Europe/Oslo")
MIDWINTER, MIDSUMMER = date(2026, 12, 21), date(2026, 6, 21)


@pytest.mark.parametrize(
    ("pitch", "day", "end_min", "is_dark"),
    [
        ({}, MIDWINTER, 720, True),  # dark at noon
        ({}, MIDSUMMER, 1440, False),
        ({"is_lit": True}, MIDWINTER, 1290, False),  # the lights of the tests go out at 21:30
        ({"is_lit": True}, MIDWINTER, 1291, True),
        ({"is_lit": True}, MIDSUMMER, 1440, False),
        ({"is_indoor": True}, MIDWINTER, 1440, False),
    ],
)
def test_pages_ask_whether_a_session_ends_in_the_dark(
    pitch: dict[str, bool], day: date, end_min: int, *, is_dark: bool
) -> None:
    """Of sun and lamps together, here where the sun does neither rise nor set for weeks."""
    ground = make_pitch(is_lit=pitch.get("is_lit", False), is_indoor=pitch.get("is_indoor", False))
    north = make_venue(lat=69.65, lon=18.96, pitches=(ground,))
    during = make_range(day, 600, end_min, OSLO)
    assert ends_in_the_dark(ground, north, during, OSLO) == is_dark


def test_ground_is_of_use_until_the_later_of_lights_out_and_dark() -> None:
    """Lights that burn all night have no end; unlit ground in the polar night has no beginning."""
    lit, venue = make_pitch(is_lit=True), make_venue()
    sunset = find_light(MIDSUMMER, -1.2, 52.9, LONDON).sunset_at
    off = instant_from_wall(A_WEDNESDAY, 21 * 60 + 30, LONDON)
    assert usable_until(lit, venue, A_WEDNESDAY, LONDON) == off
    early = make_venue(lights_off_min=20 * 60)
    assert sunset is not None
    minute = sunset.replace(second=0, microsecond=0)
    assert usable_until(lit, early, MIDSUMMER, LONDON) == minute
    assert usable_until(lit, make_venue(lights_off_min=None), A_WEDNESDAY, LONDON) is None
    north = make_venue(lat=69.65, lon=18.96)
    midnight = instant_from_wall(MIDWINTER, 0, OSLO)
    assert usable_until(make_pitch(), north, MIDWINTER, OSLO) == midnight


def test_without_a_place_only_floodlights_that_go_out_are_known() -> None:
    """Nobody can tell when the sun sets, so no session is refused for it."""
    nowhere = make_venue(lon=None, lat=None)
    unlit, lit = make_pitch(is_lit=False), make_pitch(is_lit=True)
    assert usable_until(unlit, nowhere, A_WEDNESDAY, LONDON) is None
    out = instant_from_wall(A_WEDNESDAY, 21 * 60 + 30, LONDON)
    assert usable_until(lit, nowhere, A_WEDNESDAY, LONDON) == out
    assert not ends_in_the_dark(unlit, nowhere, make_range(A_WEDNESDAY, 1320, 1380), LONDON)
    late = make_range(A_WEDNESDAY, 22 * 60, 23 * 60)
    assert light(make_case(make_scene(venues=[nowhere]), during=late)) is None
