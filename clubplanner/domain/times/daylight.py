"""From when and until when there is light, from the sun's place in the sky."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

from astral import Depression, Observer
from astral import sun as astral_sun

if TYPE_CHECKING:
    from collections.abc import Callable
    from zoneinfo import ZoneInfo

A_DAY = timedelta(days=1)
SUNSET_ELEVATION_DEG = -(50 / 60)
"""Place of the sun's centre at sunset: zenith 90°50′ (USNO, Almanac for Computers, 1990)."""


class LightKind(StrEnum):
    """What the sun does on a date; unknown where nobody has said yet where the place lies."""

    SETS = "sets"
    ALL_DAY = "all day"
    NONE = "none"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Light:
    """The light of one local date at one place.

    Attributes:
        kind: Whether the sun sets, stays up, or stays down.
        sunset_at: Aware instant in UTC; None unless the sun sets.
        civil_dusk_at: When the sun is 6° down; None where it never gets that low or high.
    """

    kind: LightKind
    sunset_at: datetime | None = None
    civil_dusk_at: datetime | None = None

    def usable_until(self, margin_minutes: int) -> datetime | None:
        """Return when unlit ground stops being usable: sunset plus the club's margin.

        In whole minutes, rounded down: the same minute is shown, shared out by and held to.
        None when the sun does not set; ask `kind` whether that means always or never.
        """
        if self.sunset_at is None:
            return None
        until = self.sunset_at + timedelta(minutes=margin_minutes)
        return until.replace(second=0, microsecond=0)


@lru_cache(maxsize=20_000)
def find_light(day: date, lon: float | None, lat: float | None, zone: ZoneInfo) -> Light:
    """Find sunset and civil dusk of a local date: of the evening that follows its noon.

    Sunset is the sun's centre 90°50′ from the zenith, civil dusk 96° (USNO, Almanac for
    Computers, 1990).

    Args:
        day: The local date. Sunset and dusk fall on it, except near the polar circles, where a
            summer evening may end after midnight; it is still the evening of this date.
        lon: Degrees east; None where the place is not known, of which nothing is found.
        lat: Degrees north; None together with `lon`.
        zone: Time zone that says when it is noon on the date.
    """
    if lon is None or lat is None:
        return Light(LightKind.UNKNOWN)
    observer = Observer(latitude=lat, longitude=lon)
    # In this zone the sun is highest at about 06:00, so no evening anywhere lies near its midnight
    # and every evening belongs to one of its dates. Dates of UTC will not do: when the sun sets
    # about 00:00 UTC, a date of UTC can hold two sunsets or none.
    solar = _solar_zone(lon, highest_at=6)
    solar_day = _noon_of(day, zone).astimezone(solar).date()
    sunset = _or_none(lambda: astral_sun.sunset(observer, solar_day, tzinfo=solar))
    if sunset is None:
        # Six hours after noon the sun is half-way between its highest and its lowest, so this is
        # far from both cases except at the poles themselves.
        half_way = astral_sun.noon(observer, solar_day) + timedelta(hours=6)
        is_up = astral_sun.elevation(observer, half_way) > SUNSET_ELEVATION_DEG
        return Light(LightKind.ALL_DAY if is_up else LightKind.NONE)
    dusk = _or_none(lambda: astral_sun.dusk(observer, solar_day, Depression.CIVIL, tzinfo=solar))
    return Light(LightKind.SETS, sunset, dusk)


@lru_cache(maxsize=20_000)
def find_sunrise(
    day: date, lon: float | None, lat: float | None, zone: ZoneInfo
) -> datetime | None:
    """Find the sunrise of a local date: of the morning that goes before its noon.

    The sun's centre is 90°50′ from the zenith then, as at sunset. Arguments as of `find_light`.

    Returns:
        The instant, UTC; None where the sun does not rise that morning, because it stays up or
        down, and where nobody has said where the place lies.
    """
    if lon is None or lat is None:
        return None
    # Here the sun is highest at about 18:00, so no morning lies near midnight (see `find_light`).
    observer, solar = Observer(latitude=lat, longitude=lon), _solar_zone(lon, highest_at=18)
    solar_day = _noon_of(day, zone).astimezone(solar).date()

    def rise(of: date) -> datetime | None:
        return _or_none(lambda: astral_sun.sunrise(observer, of, tzinfo=solar))

    found = rise(solar_day)
    if found is not None:
        return found
    # Where the sun rises about 00:00 UTC, astral skips the morning on which that crosses midnight:
    # it lies half-way between those beside it.
    before, after = rise(solar_day - A_DAY), rise(solar_day + A_DAY)
    return None if before is None or after is None else before + (after - before) / 2


def light_from(sunrise: datetime, margin_minutes: int) -> datetime:
    """Return when unlit ground starts being usable: as long before sunrise as after sunset.

    In whole minutes, rounded up: the same minute is shown, shared out by and held to.
    """
    at = sunrise - timedelta(minutes=margin_minutes)
    minute = at.replace(second=0, microsecond=0)
    return minute if minute == at else minute + timedelta(minutes=1)


def _solar_zone(lon: float, highest_at: int) -> timezone:
    """Return a zone in which the sun is highest at about some full hour."""
    return timezone(timedelta(minutes=round(lon * 4) + 60 * (highest_at - 12)))


def _noon_of(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(12), zone)


def _or_none(compute: Callable[[], datetime]) -> datetime | None:
    """Return the instant in UTC, or None where the sun does not get there then."""
    try:
        return compute().astimezone(UTC)
    except ValueError:
        return None
