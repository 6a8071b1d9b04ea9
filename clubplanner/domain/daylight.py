"""Until when there is light, from the sun's place in the sky."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from astral import Depression, Observer
from astral import sun as astral_sun

if TYPE_CHECKING:
    from collections.abc import Callable
    from zoneinfo import ZoneInfo


class LightKind(StrEnum):
    """What the sun does on a date."""

    SETS = "sets"
    ALL_DAY = "all day"
    NONE = "none"


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

        None when the sun does not set; ask `kind` whether that means always or never.
        """
        if self.sunset_at is None:
            return None
        return self.sunset_at + timedelta(minutes=margin_minutes)


def find_light(day: date, lon: float, lat: float, zone: ZoneInfo) -> Light:
    """Find sunset and civil dusk of a local date.

    Sunset is the sun's centre 90°50′ from the zenith, civil dusk 96° (USNO, Almanac for
    Computers, 1990).

    Args:
        day: The local date; the sunset returned falls on it.
        lon: Degrees east.
        lat: Degrees north.
        zone: Time zone that says which instants belong to the date.
    """
    observer = Observer(latitude=lat, longitude=lon)
    sunset = _on_local_date(lambda d: astral_sun.sunset(observer, d), day, zone)
    if sunset is None:
        noon = astral_sun.noon(observer, day)
        is_up = astral_sun.elevation(observer, noon) > -0.833
        return Light(LightKind.ALL_DAY if is_up else LightKind.NONE)
    dusk = _on_local_date(
        lambda d: astral_sun.dusk(observer, d, depression=Depression.CIVIL), day, zone
    )
    return Light(LightKind.SETS, sunset, dusk)


def _on_local_date(
    compute: Callable[[date], datetime], day: date, zone: ZoneInfo
) -> datetime | None:
    """Return the event that falls on the local date: far from Greenwich UTC dates differ."""
    for offset in (0, -1, 1):
        try:
            instant = compute(day + timedelta(days=offset))
        except ValueError:  # astral: the sun does not get there on that date
            continue
        if instant.astimezone(zone).date() == day:
            return instant.astimezone(UTC)
    return None
