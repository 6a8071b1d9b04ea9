"""Curfew: at some venues the floodlights go out, as neighbours or the council want it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.daylight import LightKind, find_light
from clubplanner.domain.times.times import clock_from_minute, instant_from_wall
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("floodlights out")


def curfew(case: Case) -> Hindrance | None:
    """Refuse what ends on lit ground after the lights are out, unless the day is that long."""
    venue, pitch = case.venue, case.pitch
    if pitch.is_indoor or not pitch.is_lit or venue.lights_off_min is None:
        return None
    off = instant_from_wall(case.day, venue.lights_off_min, case.zone)
    if case.dark_after <= off:
        return None
    sun = find_light(case.day, venue.lon, venue.lat, case.zone)
    daylight = sun.usable_until(venue.dusk_margin_minutes)
    is_day = daylight is not None and case.dark_after <= daylight
    if is_day or sun.kind is LightKind.ALL_DAY:
        return None
    return Hindrance(
        NAME,
        _(
            "The floodlights of %(venue)s go out at %(off)s.",
            venue=venue.name,
            off=clock_from_minute(venue.lights_off_min),
        ),
    )
