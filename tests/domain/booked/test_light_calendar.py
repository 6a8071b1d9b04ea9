"""The light of many evenings."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from clubplanner.domain.booked.light_calendar import (
    EveningLight,
    Span,
    dark_spans,
    lamp_minutes,
    list_evenings,
    sun_spans,
)
from clubplanner.domain.times.daylight import Light, LightKind
from clubplanner.domain.times.times import range_from_wall
from tests.builders import LONDON

GREENWICH = (-0.0008, 51.4733)
OSLO = ZoneInfo("Europe/Oslo")
TROMSO = (18.9553, 69.6492)
A_MINUTE = timedelta(seconds=60)


def whole_minute(instant: datetime) -> datetime:
    """Return the minute in which an instant lies."""
    return instant.replace(second=0, microsecond=0)


def test_the_published_row_is_in_the_table_on_its_own_date() -> None:
    """London, 1 December 2015: sunset 15:55, civil dusk 16:34 UTC (astral's own tests, ± 60 s)."""
    evenings = list_evenings(date(2015, 11, 30), date(2015, 12, 2), *GREENWICH, 20, LONDON)
    row = evenings[1]
    assert row.day == date(2015, 12, 1)
    assert row.light.sunset_at is not None
    assert row.light.civil_dusk_at is not None
    assert abs(row.light.sunset_at - datetime(2015, 12, 1, 15, 55, tzinfo=UTC)) <= A_MINUTE
    assert abs(row.light.civil_dusk_at - datetime(2015, 12, 1, 16, 34, tzinfo=UTC)) <= A_MINUTE
    assert row.usable_until == whole_minute(row.light.sunset_at + timedelta(minutes=20))


def test_the_club_margin_may_lie_before_sunset() -> None:
    """A negative margin ends use before the sun sets."""
    (row,) = list_evenings(date(2015, 12, 1), date(2015, 12, 1), *GREENWICH, -15, LONDON)
    assert row.light.sunset_at is not None
    assert row.usable_until == whole_minute(row.light.sunset_at - timedelta(minutes=15))


def test_polar_summer_and_winter_have_rows_like_any_other() -> None:
    """Tromsø: no dark evening in June, no light one in December (from memory: 20 May, 27 Nov)."""
    june = list_evenings(date(2026, 6, 10), date(2026, 6, 20), *TROMSO, 0, OSLO)
    assert {row.light.kind for row in june} == {LightKind.ALL_DAY}
    assert dark_spans(june, 23 * 60, OSLO) == ()
    december = list_evenings(date(2026, 12, 10), date(2026, 12, 20), *TROMSO, 0, OSLO)
    assert {row.light.kind for row in december} == {LightKind.NONE}
    assert dark_spans(december, 13 * 60, OSLO) == (Span(date(2026, 12, 10), date(2026, 12, 20)),)


def test_the_clock_change_makes_a_session_dark_from_one_week_to_the_next() -> None:
    """London, an end at 17:45: light on 24 October 2026, dark from the 25th when clocks go back.

    IANA tz database: Europe/London, 2026-10-25 at 01:00 UTC. Sunset there falls at about 16:45.
    """
    year = list_evenings(date(2026, 7, 1), date(2027, 6, 30), *GREENWICH, 0, LONDON)
    (dark,) = dark_spans(year, 17 * 60 + 30, LONDON)
    assert dark.first == date(2026, 10, 25)
    assert dark.last.month in (2, 3)
    (longer,) = dark_spans(year, 18 * 60 + 30, LONDON)
    assert longer.first < dark.first
    assert longer.last > dark.last
    assert dark_spans(year, 15 * 60 + 30, LONDON) == ()


@pytest.mark.parametrize(
    ("bookings", "minutes"),
    [
        ([], 0),
        ([(15, 16)], 0),  # over before it is dark
        ([(16, 18)], 60),  # dark from 17:00 on
        ([(17, 18), (17, 19)], 120),  # two squads share the lamps
        ([(17, 18), (20, 21)], 120),  # lamps are put out in between
    ],
)
def test_lamps_burn_while_it_is_dark_and_somebody_is_there(
    bookings: list[tuple[int, int]], minutes: int
) -> None:
    """Shared light counts once; daylight and empty pitches count for nothing."""
    day = date(2026, 11, 25)
    (evening,) = list_evenings(day, day, *GREENWICH, 0, LONDON)
    at_five = datetime(2026, 11, 25, 17, tzinfo=UTC)
    evening = EveningLight(day, evening.light, at_five)
    held = [range_from_wall(day, 60 * start, 60 * end, LONDON) for start, end in bookings]
    whole_day = range_from_wall(day, 0, 24 * 60, LONDON)
    assert lamp_minutes(held, evening, whole_day, None) == minutes


@pytest.mark.parametrize(("out", "minutes"), [(16, 0), (18, 60), (20, 120), (21, 180), (23, 240)])
def test_lamps_that_are_out_burn_for_nobody(out: int, minutes: int) -> None:
    """Dark from 17:00, one squad until 19:00, another from 20:00 to 22:00 whatever the lamps do."""
    day = date(2026, 11, 25)
    (evening,) = list_evenings(day, day, *GREENWICH, 0, LONDON)
    evening = EveningLight(day, evening.light, datetime(2026, 11, 25, 17, tzinfo=UTC))
    held = [
        range_from_wall(day, 60 * start, 60 * end, LONDON) for start, end in [(16, 19), (20, 22)]
    ]
    whole_day = range_from_wall(day, 0, 24 * 60, LONDON)
    goes_out = datetime(2026, 11, 25, out, tzinfo=UTC)
    assert lamp_minutes(held, evening, whole_day, goes_out) == minutes


def test_where_the_sun_does_not_set_no_lamps_burn_through_the_night() -> None:
    """Tromsø in June, from 22:00 to 06:00; nor are any counted where nobody knows the place."""
    day = date(2027, 6, 19)
    night = range_from_wall(day, 22 * 60, 30 * 60, OSLO)
    whole_day = range_from_wall(day, 0, 24 * 60, OSLO)
    (evening,) = list_evenings(day, day, *TROMSO, 0, OSLO)
    assert lamp_minutes([night], evening, whole_day, None) == 0
    unknown = EveningLight(day, Light(LightKind.UNKNOWN), None)
    assert lamp_minutes([night], unknown, whole_day, None) == 0


def test_the_dates_without_a_sunset_are_runs() -> None:
    """Tromsø, a year from July on (from memory: up from 18 May, down from 27 November)."""
    year = list_evenings(date(2026, 7, 1), date(2027, 6, 30), *TROMSO, 0, OSLO)
    down = sun_spans(year, LightKind.NONE)
    assert [(one.first.month, one.last.month) for one in down] == [(11, 1)]
    up = sun_spans(year, LightKind.ALL_DAY)
    assert [(one.first.month, one.last.month) for one in up] == [(7, 7), (5, 6)]
