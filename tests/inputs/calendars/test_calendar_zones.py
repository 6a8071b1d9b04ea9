"""Zones that a calendar brings with it, and zones that nobody knows."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest

from clubplanner.inputs.calendars import busy as busy_module
from tests.inputs.foreign_calendars import (
    codes,
    event,
    read,
    stretches,
)

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
TIMES = "DTSTART:20260908T183000Z\nDTEND:20260908T200000Z"
OWN_ZONE = """BEGIN:VTIMEZONE
TZID:Our own hour
BEGIN:STANDARD
DTSTART:19701025T030000
RRULE:FREQ=YEARLY;BYMONTH=10;BYDAY=-1SU
TZOFFSETFROM:+0200
TZOFFSETTO:+0100
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19700329T020000
RRULE:FREQ=YEARLY;BYMONTH=3;BYDAY=-1SU
TZOFFSETFROM:+0100
TZOFFSETTO:+0200
END:DAYLIGHT
END:VTIMEZONE"""


def test_a_zone_of_its_own_goes_by_its_description() -> None:
    """A zone that only the file knows is read from there, at every hour of a year."""
    berlin = ZoneInfo("Europe/Berlin")
    walls = [datetime(2026, 1, 1) + HOUR * number for number in range(365 * 24)]  # noqa: DTZ001
    events = [
        event(f"DTSTART;TZID=Our own hour:{wall:%Y%m%dT%H%M%S}\nDURATION:PT1M", str(wall))
        for wall in walls
    ]
    reading = read(OWN_ZONE, *events)
    assert reading.problems == ()
    found = {each.uid: each.during.starts_at for each in reading.times}
    wanted = {str(wall): wall.replace(tzinfo=berlin).astimezone(UTC) for wall in walls}
    # The first hour of the year lies before the stretch asked for.
    assert found == {uid: at for uid, at in wanted.items() if uid != str(walls[0])}


def test_a_description_with_dates_and_an_end_is_read() -> None:
    """Clock changes listed by date, and rules that ended long ago, still tell the offset."""
    described = """BEGIN:VTIMEZONE
TZID:Isle
BEGIN:DAYLIGHT
DTSTART:19800406T020000
RRULE:FREQ=YEARLY;BYMONTH=4;BYDAY=1SU;UNTIL=19900401T070000Z
TZOFFSETFROM:-0500
TZOFFSETTO:-0400
END:DAYLIGHT
BEGIN:STANDARD
DTSTART:19801026T020000
RDATE:20260601T000000,20270101T000000
TZOFFSETFROM:-0400
TZOFFSETTO:-0500
END:STANDARD
END:VTIMEZONE"""
    at = "DTSTART;TZID=Isle:2026{}T120000\nDURATION:PT1H"
    reading = read(described, event(at.format("0301"), "a"), event(at.format("0701"), "b"))
    assert reading.problems == ()
    assert stretches(reading) == ["2026-03-01T16:00/17:00", "2026-07-01T17:00/18:00"]


@pytest.mark.parametrize(
    "description",
    [
        "",
        "BEGIN:VTIMEZONE\nTZID:Nowhere\nEND:VTIMEZONE",
        OWN_ZONE.replace("Our own hour", "Nowhere").replace("+0100", "east"),
        OWN_ZONE.replace("Our own hour", "Nowhere").replace("DTSTART", "X-START"),
        OWN_ZONE.replace("Our own hour", "Nowhere").replace("FREQ=YEARLY", "FREQ=OFTEN"),
        OWN_ZONE.replace("Our own hour", "Nowhere").replace("FREQ=YEARLY", "FREQ=SECONDLY"),
    ],
)
def test_an_unknown_zone_is_told_and_read_as_the_venues(description: str) -> None:
    """A zone that nobody knows is a problem with the event's place; its time is the venue's."""
    lines = "SUMMARY:Hire\nDTSTART;TZID=Nowhere:20260708T100000\nDURATION:PT1H"
    reading = read(description, event(lines), event(TIMES, "other"))
    assert stretches(reading) == ["2026-07-08T09:00/10:00", "2026-09-08T18:30/20:00"]
    assert "unknown-zone" in codes(reading)
    (problem,) = (each for each in reading.problems if each.code == "unknown-zone")
    assert "(Hire)" in problem.where
    assert "“Nowhere” is not known" in problem.message


def test_descriptions_of_zones_share_the_budget(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ever more zones that a file describes are not worked out; their times are the venue's."""
    monkeypatch.setattr(busy_module, "WORK_LIMIT", 40_000)
    zones = [OWN_ZONE.replace("Our own hour", f"Zone {number}") for number in range(60)]
    lines = "DTSTART;TZID=Zone {}:20260708T100000\nDURATION:PT1H"
    events = [event(lines.format(number), str(number)) for number in range(60)]
    reading = read(*zones, *events)
    found = stretches(reading)
    described = found.count("2026-07-08T08:00/09:00")
    assert 2 < described < 30
    assert found.count("2026-07-08T09:00/10:00") == 60 - described
    assert codes(reading) == ["faulty-zone", "unknown-zone"] * (60 - described)
