"""Light: ground without floodlights is of use from some time before sunrise until after sunset.

Here is also from when and until when a pitch is of use at all, which pages tell and other rules
ask.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Hindrance
from clubplanner.domain.times.daylight import LightKind, find_light, find_sunrise, light_from
from clubplanner.domain.times.times import clock_in_zone, instant_from_wall
from clubplanner.language import _, marked

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.ground.grounds import Pitch, Venue
    from clubplanner.domain.rules.case import Case
    from clubplanner.domain.times.times import TimeRange

NAME = marked("light")


def light(case: Case) -> Hindrance | None:
    """Refuse what is on unlit ground before sunrise or after sunset, by more than the margin."""
    if not case.pitch.needs_daylight:
        return None
    dawn = usable_from(case.pitch, case.venue, case.day, case.zone)
    if dawn is not None and case.during.starts_at < dawn:
        return Hindrance(
            NAME,
            _(
                "%(pitch)s has no lights; it is too dark until %(dawn)s.",
                pitch=case.pitch.name,
                dawn=clock_in_zone(dawn, case.zone),
            ),
        )
    until = usable_until(case.pitch, case.venue, case.day, case.zone)
    if until is None or case.dark_after <= until:
        return None
    if _is_dark_all_day(case.venue, case.day, case.zone):
        return Hindrance(
            NAME,
            _(
                "%(pitch)s has no lights, and the sun does not rise on that day.",
                pitch=case.pitch.name,
            ),
        )
    return Hindrance(
        NAME,
        _(
            "%(pitch)s has no lights; it is too dark from %(until)s.",
            pitch=case.pitch.name,
            until=clock_in_zone(until, case.zone),
        ),
    )


def may_be_dark(pitch: Pitch, venue: Venue) -> bool:
    """Tell whether it ever gets too dark: outdoors, without floodlights that stay on."""
    return not pitch.is_indoor and (not pitch.is_lit or venue.lights_off_min is not None)


def usable_until(pitch: Pitch, venue: Venue, day: date, zone: ZoneInfo) -> datetime | None:
    """Return until when there is light enough on a pitch.

    Without floodlights until sunset and the venue's margin; with floodlights that go out until
    then, or until it is dark outside if that is later: lights out by day hurt nobody.

    Args:
        pitch: The pitch.
        venue: Its venue.
        day: The local date.
        zone: The club's time zone.

    Returns:
        The instant, UTC; the first of the local date where it is dark all day; None where it never
        gets too dark (indoors, with lights that stay on, under a sun that does not set), or nobody
        can tell, because nobody has said where the venue lies.
    """
    if not may_be_dark(pitch, venue):
        return None
    sun = find_light(day, venue.lon, venue.lat, zone)
    if sun.kind is LightKind.ALL_DAY:
        return None
    if sun.kind is LightKind.UNKNOWN:
        return _lights_out(pitch, venue, day, zone)
    daylight = sun.usable_until(venue.dusk_margin_minutes)
    dark_from = instant_from_wall(day, 0, zone) if daylight is None else daylight
    lights_out = _lights_out(pitch, venue, day, zone)
    return dark_from if lights_out is None else max(lights_out, dark_from)


def _lights_out(pitch: Pitch, venue: Venue, day: date, zone: ZoneInfo) -> datetime | None:
    """Return when a pitch's floodlights go out; None without them, or without such a rule."""
    if not pitch.is_lit or venue.lights_off_min is None:
        return None
    return instant_from_wall(day, venue.lights_off_min, zone)


def usable_from(pitch: Pitch, venue: Venue, day: date, zone: ZoneInfo) -> datetime | None:
    """Return from when there is light enough on a pitch in the morning.

    Without floodlights as long before sunrise as it is of use after sunset; with them whenever
    somebody comes.

    Args:
        pitch: The pitch.
        venue: Its venue.
        day: The local date.
        zone: The club's time zone.

    Returns:
        The instant, UTC; None where no morning is too dark (indoors, with floodlights, under a sun
        that does not set), where none gets light (`usable_until` says so), or nobody can tell.
    """
    if not pitch.needs_daylight:
        return None
    sunrise = find_sunrise(day, venue.lon, venue.lat, zone)
    return None if sunrise is None else light_from(sunrise, venue.dusk_margin_minutes)


def begins_in_the_dark(pitch: Pitch, venue: Venue, during: TimeRange, zone: ZoneInfo) -> bool:
    """Tell whether a session begins before there is light enough on its pitch."""
    dawn = usable_from(pitch, venue, _day_of(during, zone), zone)
    return dawn is not None and during.starts_at < dawn


def ends_in_the_dark(pitch: Pitch, venue: Venue, during: TimeRange, zone: ZoneInfo) -> bool:
    """Tell whether a session ends after there is light enough on its pitch."""
    until = usable_until(pitch, venue, _day_of(during, zone), zone)
    return until is not None and until < during.ends_at


def _day_of(during: TimeRange, zone: ZoneInfo) -> date:
    return during.starts_at.astimezone(zone).date()


def _is_dark_all_day(venue: Venue, day: date, zone: ZoneInfo) -> bool:
    return find_light(day, venue.lon, venue.lat, zone).kind is LightKind.NONE
