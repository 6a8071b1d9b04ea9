"""Curfew: at some venues the floodlights go out, as neighbours or the council want it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.rules.times.light import usable_until
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from clubplanner.domain.rules.case import Case

NAME = marked("floodlights out")


def curfew(case: Case) -> Hindrance | None:
    """Refuse what ends on lit ground after the lights are out, unless the day is that long."""
    venue, pitch = case.venue, case.pitch
    if pitch.is_indoor or not pitch.is_lit or venue.lights_off_min is None:
        return None
    until = usable_until(pitch, venue, case.day, case.zone)
    if until is None or case.dark_after <= until:
        return None
    return Hindrance(
        NAME,
        _(
            "The floodlights of %(venue)s go out at %(off)s.",
            venue=venue.name,
            off=clock_from_minute(venue.lights_off_min),
        ),
    )
