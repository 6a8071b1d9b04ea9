"""Sunset, dusk and sunrise against published almanac rows, and against the date they belong to."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from clubplanner.domain.times.daylight import LightKind, find_light, find_sunrise, light_from

A_MINUTE = timedelta(seconds=60)

NEW_YORK = ZoneInfo("America/New_York")
CHICAGO = ZoneInfo("America/Chicago")

# USNO, "Sun or Moon Rise/Set Table", Bluffton OH and Defiance OH (UTC, whole minutes);
# London: astral's own test suite, itself taken from a published table, ± 60 s.
# USNO, "Rise/Set/Transit Table", Birmingham, Alabama, W 86°48′36.0″, N 33°31′48.0″, as reproduced
# in the documentation of the gem usno-transit 0.1.1 (17 to 21 November 2013, UTC − 6 h).
# Ithaca NY, 1 June 2023, 20:36:25 EDT: NOAA's equations, documentation of the R package suntools.
SUNSETS = [
    (date(2018, 9, 12), -83.8917, 40.8939, NEW_YORK, datetime(2018, 9, 12, 23, 50, tzinfo=UTC)),
    (date(2019, 11, 8), -84.362778, 41.281944, NEW_YORK, datetime(2019, 11, 8, 22, 25, tzinfo=UTC)),
    (
        date(2015, 12, 1),
        -0.0008,
        51.4733,
        ZoneInfo("Europe/London"),
        datetime(2015, 12, 1, 15, 55, tzinfo=UTC),
    ),
    (date(2013, 11, 17), -86.81, 33.53, CHICAGO, datetime(2013, 11, 17, 22, 43, tzinfo=UTC)),
    (date(2013, 11, 18), -86.81, 33.53, CHICAGO, datetime(2013, 11, 18, 22, 43, tzinfo=UTC)),
    (date(2013, 11, 19), -86.81, 33.53, CHICAGO, datetime(2013, 11, 19, 22, 42, tzinfo=UTC)),
    (date(2013, 11, 20), -86.81, 33.53, CHICAGO, datetime(2013, 11, 20, 22, 42, tzinfo=UTC)),
    (date(2013, 11, 21), -86.81, 33.53, CHICAGO, datetime(2013, 11, 21, 22, 42, tzinfo=UTC)),
    (date(2023, 6, 1), -76.4511, 42.48, NEW_YORK, datetime(2023, 6, 2, 0, 36, 25, tzinfo=UTC)),
]

# The same USNO and astral tables, column "end of civil twilight" or "civil dusk".
DUSKS = [
    (date(2019, 11, 8), -84.362778, 41.281944, NEW_YORK, datetime(2019, 11, 8, 22, 54, tzinfo=UTC)),
    (
        date(2015, 12, 1),
        -0.0008,
        51.4733,
        ZoneInfo("Europe/London"),
        datetime(2015, 12, 1, 16, 34, tzinfo=UTC),
    ),
    (date(2013, 11, 17), -86.81, 33.53, CHICAGO, datetime(2013, 11, 17, 23, 10, tzinfo=UTC)),
    (date(2013, 11, 19), -86.81, 33.53, CHICAGO, datetime(2013, 11, 19, 23, 9, tzinfo=UTC)),
    (date(2013, 11, 21), -86.81, 33.53, CHICAGO, datetime(2013, 11, 21, 23, 8, tzinfo=UTC)),
]

# The same USNO table of Birmingham, column "rise" (UTC − 6 h), and astral's own test suite.
SUNRISES = [
    (date(2013, 11, 17), -86.81, 33.53, CHICAGO, datetime(2013, 11, 17, 12, 21, tzinfo=UTC)),
    (date(2013, 11, 18), -86.81, 33.53, CHICAGO, datetime(2013, 11, 18, 12, 22, tzinfo=UTC)),
    (date(2013, 11, 19), -86.81, 33.53, CHICAGO, datetime(2013, 11, 19, 12, 23, tzinfo=UTC)),
    (date(2013, 11, 20), -86.81, 33.53, CHICAGO, datetime(2013, 11, 20, 12, 24, tzinfo=UTC)),
    (date(2013, 11, 21), -86.81, 33.53, CHICAGO, datetime(2013, 11, 21, 12, 25, tzinfo=UTC)),
    (
        date(2015, 12, 1),
        -0.0008,
        51.4733,
        ZoneInfo("Europe/London"),
        datetime(2015, 12, 1, 7, 43, tzinfo=UTC),
    ),
]

# Invented grounds at real places: the places and zones matter, not the clubs.
FAR_PLACES = [
    (-157.36, 1.99, "Pacific/Kiritimati"),
    (174.76, -36.85, "Pacific/Auckland"),
    (-157.86, 21.31, "Pacific/Honolulu"),
    (-171.76, -13.83, "Pacific/Apia"),
    (-83.89, 40.89, "America/New_York"),
    (-104.99, 39.74, "America/Denver"),
    (87.62, 43.83, "Asia/Shanghai"),
    (151.21, -33.87, "Australia/Sydney"),
    (-0.13, 51.51, "Europe/London"),
]
FAR_NORTH = [
    (-21.94, 64.15, "Atlantic/Reykjavik"),
    (-147.72, 64.84, "America/Anchorage"),
    (25.73, 66.50, "Europe/Helsinki"),
]


@pytest.mark.parametrize(("day", "lon", "lat", "zone", "published"), SUNSETS)
def test_sunset_agrees_with_published_tables(
    day: date, lon: float, lat: float, zone: ZoneInfo, published: datetime
) -> None:
    """Sunset is within a minute of the published row."""
    light = find_light(day, lon, lat, zone)
    assert light.kind is LightKind.SETS
    assert light.sunset_at is not None
    assert abs(light.sunset_at - published) <= A_MINUTE


@pytest.mark.parametrize(("day", "lon", "lat", "zone", "published"), DUSKS)
def test_civil_dusk_agrees_with_published_tables(
    day: date, lon: float, lat: float, zone: ZoneInfo, published: datetime
) -> None:
    """Civil dusk is within a minute of the published row."""
    light = find_light(day, lon, lat, zone)
    assert light.civil_dusk_at is not None
    assert abs(light.civil_dusk_at - published) <= A_MINUTE


@pytest.mark.parametrize(("day", "lon", "lat", "zone", "published"), SUNRISES)
def test_sunrise_agrees_with_published_tables(
    day: date, lon: float, lat: float, zone: ZoneInfo, published: datetime
) -> None:
    """Sunrise is within a minute of the published row."""
    sunrise = find_sunrise(day, lon, lat, zone)
    assert sunrise is not None
    assert abs(sunrise - published) <= A_MINUTE


@pytest.mark.parametrize(("lon", "lat", "name"), FAR_PLACES)
def test_every_date_has_its_own_morning(lon: float, lat: float, name: str) -> None:
    """Away from the poles the sun rises on every local date of four years, before it sets."""
    zone = ZoneInfo(name)
    for offset in range(4 * 365 + 1):
        day = date(2024, 1, 1) + timedelta(days=offset)
        sunrise = find_sunrise(day, lon, lat, zone)
        sunset = find_light(day, lon, lat, zone).sunset_at
        assert sunrise is not None, day
        assert sunset is not None
        assert sunrise.astimezone(zone).date() == day
        assert timedelta(hours=7) < sunset - sunrise < timedelta(hours=17)


def test_sunset_at_golden_is_of_the_evening_asked_for() -> None:
    """Golden, Colorado gets the sunset of 17 October 2003, not that of the evening before."""
    # NREL/TP-560-34302 (solar position algorithm) prints 17:20:19, in standard time UTC − 7 h, for
    # 2003-10-17: the sunset of the previous local evening. The right one, calculated for the
    # evening of the date, is about 17:18:50 (no published table at hand).
    zone = ZoneInfo("America/Denver")
    sunset = find_light(date(2003, 10, 17), -105.1786, 39.742476, zone).sunset_at
    assert sunset is not None
    assert sunset.astimezone(zone).date() == date(2003, 10, 17)
    standard = sunset - timedelta(hours=7)
    assert abs(standard - datetime(2003, 10, 17, 17, 18, 50, tzinfo=UTC)) <= timedelta(seconds=30)
    trap = datetime(2003, 10, 17, 17, 20, 19, tzinfo=UTC)
    assert abs(standard - trap) > A_MINUTE


@pytest.mark.parametrize(("lon", "lat", "name"), FAR_PLACES)
def test_every_date_has_its_own_evening(lon: float, lat: float, name: str) -> None:
    """Away from the poles the sun sets on every local date of four years, in its afternoon."""
    zone = ZoneInfo(name)
    for offset in range(4 * 365 + 1):
        day = date(2024, 1, 1) + timedelta(days=offset)
        light = find_light(day, lon, lat, zone)
        assert light.kind is LightKind.SETS, day
        assert light.sunset_at is not None
        assert light.civil_dusk_at is not None
        local = light.sunset_at.astimezone(zone)
        assert local.date() == day
        assert local.time() > time(15, 0)
        assert light.sunset_at < light.civil_dusk_at < light.sunset_at + timedelta(minutes=50)


@pytest.mark.parametrize(("lon", "lat", "name"), FAR_NORTH[:2])
def test_a_northern_summer_evening_may_end_after_midnight(
    lon: float, lat: float, name: str
) -> None:
    """Where the sun sets after midnight it is the evening before that it ends."""
    zone = ZoneInfo(name)
    day = date(2026, 6, 20)
    light = find_light(day, lon, lat, zone)
    assert light.sunset_at is not None
    local = light.sunset_at.astimezone(zone)
    assert local.date() == date(2026, 6, 21)
    assert local.time() < time(1, 0)
    assert light.civil_dusk_at is None  # the sun is never 6° down


@pytest.mark.parametrize(("lon", "lat", "name"), [*FAR_PLACES, *FAR_NORTH])
def test_sunrise_moves_by_minutes_from_morning_to_morning(
    lon: float, lat: float, name: str
) -> None:
    """No morning is skipped or given twice: the next sunrise is about a day later."""
    zone = ZoneInfo(name)
    sunrises = [
        find_sunrise(date(2026, 1, 1) + timedelta(days=n), lon, lat, zone) for n in range(366)
    ]
    for one, following in pairwise(sunrises):
        if one is not None and following is not None:
            assert abs(following - one - timedelta(days=1)) < timedelta(minutes=30)


@pytest.mark.parametrize(("lon", "lat", "name"), [*FAR_PLACES, *FAR_NORTH])
def test_sunset_moves_by_minutes_from_evening_to_evening(lon: float, lat: float, name: str) -> None:
    """No evening is skipped or given twice: the next sunset is about a day later."""
    zone = ZoneInfo(name)
    sunsets = [
        find_light(date(2026, 1, 1) + timedelta(days=n), lon, lat, zone).sunset_at
        for n in range(366)
    ]
    for one, following in pairwise(sunsets):
        if one is not None and following is not None:
            assert abs(following - one - timedelta(days=1)) < timedelta(minutes=30)


def test_the_sun_does_not_set_in_the_polar_day() -> None:
    """At Tromsø the sun stays up from about 20 May to 22 July (from memory)."""
    zone = ZoneInfo("Europe/Oslo")
    for day in (date(2026, 5, 25), date(2026, 6, 21), date(2026, 7, 17)):
        light = find_light(day, 18.96, 69.65, zone)
        assert light.kind is LightKind.ALL_DAY
        assert light.sunset_at is None
        assert light.usable_until(15) is None


def test_the_sun_stays_down_in_the_polar_night() -> None:
    """At Tromsø it stays down from about 27 November to 15 January (from memory)."""
    zone = ZoneInfo("Europe/Oslo")
    for day in (date(2026, 12, 1), date(2026, 12, 21), date(2027, 1, 12)):
        light = find_light(day, 18.96, 69.65, zone)
        assert light.kind is LightKind.NONE
        assert light.usable_until(15) is None
        assert find_sunrise(day, 18.96, 69.65, zone) is None


@pytest.mark.parametrize(
    ("lat", "winter", "summer"),
    [
        (69.65, date(2026, 12, 21), date(2026, 6, 21)),
        (-77.85, date(2026, 6, 21), date(2026, 12, 21)),
    ],
)
def test_the_year_goes_through_each_kind_of_light_once(
    lat: float, winter: date, summer: date
) -> None:
    """From midwinter to midsummer the sun is down, then sets, then stays up: no day in between."""
    zone = ZoneInfo("UTC")
    days = (summer - winter).days % 365
    kinds = [find_light(winter + timedelta(days=n), 15.0, lat, zone).kind for n in range(days)]
    changes = [kind for n, kind in enumerate(kinds) if n == 0 or kind is not kinds[n - 1]]
    assert changes == [LightKind.NONE, LightKind.SETS, LightKind.ALL_DAY]


@given(
    lon=st.floats(-180, 180),
    lat=st.floats(-65, 65),
    day=st.dates(date(2000, 1, 1), date(2099, 12, 31)),
)
def test_anywhere_the_evening_follows_the_noon_of_the_date(
    lon: float, lat: float, day: date
) -> None:
    """In a zone that keeps near the sun, sunset lies within twelve and a half hours after noon."""
    zone = ZoneInfo(f"Etc/GMT{-round(lon / 15):+d}")
    light = find_light(day, lon, lat, zone)
    assert light.sunset_at is not None
    since_noon = light.sunset_at - datetime.combine(day, time(12), zone)
    assert timedelta(hours=1) < since_noon < timedelta(hours=12, minutes=30)


@given(
    lon=st.floats(-180, 180),
    lat=st.floats(-65, 65),
    day=st.dates(date(2000, 1, 1), date(2099, 12, 31)),
)
def test_anywhere_the_morning_goes_before_the_noon_of_the_date(
    lon: float, lat: float, day: date
) -> None:
    """In a zone that keeps near the sun, sunrise lies some hours before noon."""
    zone = ZoneInfo(f"Etc/GMT{-round(lon / 15):+d}")
    sunrise = find_sunrise(day, lon, lat, zone)
    assert sunrise is not None
    until_noon = datetime.combine(day, time(12), zone) - sunrise
    assert timedelta(hours=1) < until_noon < timedelta(hours=12, minutes=30)


def test_the_margin_moves_the_beginning_of_use() -> None:
    """From sunrise less the margin in whole minutes; a negative margin begins it after."""
    sunrise = find_sunrise(date(2026, 11, 25), -1.2, 52.9, ZoneInfo("Europe/London"))
    assert sunrise is not None
    minute = sunrise.replace(second=0, microsecond=0)
    assert minute < sunrise, "rounding up is seen"
    assert light_from(sunrise, 20) == minute - timedelta(minutes=19)
    assert light_from(sunrise, -10) == minute + timedelta(minutes=11)
    assert light_from(minute, 20) == minute - timedelta(minutes=20)


def test_the_margin_moves_the_end_of_use() -> None:
    """Until sunset and the margin in whole minutes; a negative margin ends it before."""
    light = find_light(date(2026, 11, 25), -1.2, 52.9, ZoneInfo("Europe/London"))
    assert light.sunset_at is not None
    minute = light.sunset_at.replace(second=0, microsecond=0)
    assert minute < light.sunset_at, "rounding down is seen"
    assert light.usable_until(20) == minute + timedelta(minutes=20)
    assert light.usable_until(-10) == minute - timedelta(minutes=10)
