"""Light: ground without floodlights is of use until some time after sunset."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.daylight import LightKind, find_light
from clubplanner.domain.times.times import clock_in_zone
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("light")


def light(case: Case) -> Hindrance | None:
    """Refuse what ends on unlit ground after sunset and the club's margin."""
    if not case.pitch.needs_daylight:
        return None
    venue = case.venue
    sun = find_light(case.day, venue.lon, venue.lat, case.zone)
    if sun.kind is LightKind.NONE:
        return Hindrance(
            NAME,
            _(
                "%(pitch)s has no lights, and the sun does not rise on that day.",
                pitch=case.pitch.name,
            ),
        )
    until = sun.usable_until(venue.dusk_margin_minutes)
    if until is None or case.dark_after <= until:
        return None
    return Hindrance(
        NAME,
        _(
            "%(pitch)s has no lights; it is too dark from %(until)s.",
            pitch=case.pitch.name,
            until=clock_in_zone(until, case.zone),
        ),
    )
