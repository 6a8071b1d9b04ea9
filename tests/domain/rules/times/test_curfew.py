"""The rule of lights that go out."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.domain.rules.times.curfew import curfew
from tests.builders import A_WEDNESDAY, make_pitch, make_venue
from tests.domain.rules.builders import (
    CHANGES,
    make_case,
    make_hire,
    make_match,
    make_scene,
    venue_with,
    words_of,
)

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Scene

LIT = make_scene(venues=venue_with(is_lit=True))
OFF = 21 * 60 + 30
WORDS = "The floodlights of Marsh Lane go out at 21:30."


@pytest.mark.parametrize("day", [A_WEDNESDAY, *CHANGES])
def test_it_may_end_when_the_lights_go_out_and_no_later(day: date) -> None:
    """At 21:30 by the clock on the wall, before and after it was changed."""
    assert curfew(make_case(LIT, day=day, start_min=1230, end_min=OFF)) is None
    late: dict[str, Any] = {"day": day, "start_min": 1230, "end_min": OFF + 1}
    for case in (make_case(LIT, **late), make_match(LIT, **late), make_hire(LIT, **late)):
        assert words_of(curfew, case) == WORDS


def test_past_midnight_is_late() -> None:
    """The lights of an evening stay out for the rest of its night."""
    assert words_of(curfew, make_hire(LIT, start_min=1380, end_min=1500)) == WORDS


def test_ground_without_lamps_or_with_a_roof_has_no_curfew() -> None:
    """Nor has a venue that names no time."""
    late: dict[str, Any] = {"start_min": 1320, "end_min": 1380}
    unlit, hall = make_scene(), make_scene(venues=venue_with(is_lit=True, is_indoor=True))
    pitch = make_pitch(is_lit=True)
    free = make_scene(venues=[make_venue(lights_off_min=None, pitches=(pitch,))])
    assert [curfew(make_case(scene, **late)) for scene in (unlit, hall, free)] == [None] * 3


def test_a_match_is_over_before_its_ground_is_cleared() -> None:
    """The lights are needed until the final whistle."""
    case = make_match(LIT, start_min=1200, end_min=OFF + 15)
    whistle = case.during.ends_at - timedelta(minutes=15)
    assert curfew(case) is not None
    assert curfew(make_match(LIT, during=case.during, light_until=whistle)) is None


def north(off_min: int) -> Scene:
    """Return a scene beyond the polar circle, with lamps that go out early."""
    pitch = make_pitch(is_lit=True)
    venue = make_venue(lat=69.65, lon=18.96, lights_off_min=off_min, pitches=(pitch,))
    return make_scene(venues=[venue], zone="Europe/Oslo")


def test_lamps_out_by_daylight_hurt_nobody() -> None:
    """A summer evening is light after they go out; where the sun stays up any time will do."""
    early = make_scene(venues=[make_venue(lights_off_min=1080, pitches=(make_pitch(is_lit=True),))])
    summer: dict[str, Any] = {"start_min": 1140, "end_min": 1230}
    assert curfew(make_case(early, day=date(2026, 6, 24), **summer)) is None
    assert curfew(make_case(early, **summer)) is not None
    assert curfew(make_case(north(1080), day=date(2026, 6, 21), **summer)) is None
    assert curfew(make_case(north(1080), day=date(2026, 12, 21), **summer)) is not None
