"""From when and until when there is light on a pitch, in words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.rules.times.light import usable_from, usable_until
from clubplanner.domain.times.daylight import LightKind, find_light
from clubplanner.domain.times.times import clock_from_minute, clock_in_zone
from clubplanner.language import _

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.ground.grounds import Pitch, Venue


@dataclass(frozen=True, slots=True)
class LightWords:
    """What to know about light on a pitch and date.

    Attributes:
        sentence: One or two sentences.
        usable_until: When the pitch stops being usable for want of light; None for no limit, and
            where it is dark all day.
        usable_from: When it starts to be usable in the morning; None for no limit.
    """

    sentence: str
    usable_until: datetime | None
    usable_from: datetime | None = None


def light_in_words(pitch: Pitch, venue: Venue, day: date, zone: ZoneInfo) -> LightWords:
    """Say until when there is light on a pitch on a local date."""
    if pitch.is_indoor:
        return LightWords(_("Lit all evening."), None)
    light = find_light(day, venue.lon, venue.lat, zone)
    sun = _sun_in_words(light.kind, light.sunset_at, light.civil_dusk_at, zone)
    until = usable_until(pitch, venue, day, zone)
    if pitch.is_lit:
        if venue.lights_off_min is None:
            return LightWords(_("Floodlights. %(sun)s", sun=sun), None)
        words = _(
            "Floodlights until %(lights_off_min)s. %(sun)s",
            lights_off_min=clock_from_minute(venue.lights_off_min),
            sun=sun,
        )
        return LightWords(words, until)
    if until is None or light.kind is LightKind.NONE:
        return LightWords(_("No floodlights. %(sun)s", sun=sun), None)
    words = _(
        "No floodlights: light enough until %(usable)s. %(sun)s",
        usable=clock_in_zone(until, zone),
        sun=sun,
    )
    return LightWords(words, until, usable_from(pitch, venue, day, zone))


def _sun_in_words(
    kind: LightKind, sunset: datetime | None, dusk: datetime | None, zone: ZoneInfo
) -> str:
    if kind is LightKind.UNKNOWN:
        return _("When it gets dark is not known: nobody has said yet where the venue lies.")
    if kind is LightKind.ALL_DAY:
        return _("The sun does not set.")
    if kind is LightKind.NONE or sunset is None:
        return _("The sun does not rise.")
    words = _("Sunset %(sunset)s", sunset=clock_in_zone(sunset, zone))
    return (
        _("%(words)s, dusk %(dusk)s.", words=words, dusk=clock_in_zone(dusk, zone))
        if dusk is not None
        else f"{words}."
    )
