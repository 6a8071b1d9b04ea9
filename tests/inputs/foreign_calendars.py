"""Builders of foreign calendars, and the season that the tests ask for."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from clubplanner.domain.times.times import TimeRange
from clubplanner.inputs.calendars.busy import BusyReading, read_busy

LONDON = ZoneInfo("Europe/London")
YEAR_2026 = TimeRange(datetime(2026, 1, 1, tzinfo=UTC), datetime(2027, 1, 1, tzinfo=UTC))


def calendar(*lines: str) -> bytes:
    """Put lines of components into a calendar."""
    inside = [line for text in lines for line in text.strip().splitlines()]
    return "\r\n".join(
        ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//x//x//EN", *inside, "END:VCALENDAR", ""]
    ).encode()


def event(text: str, uid: str = "one@venue.example") -> str:
    """Put lines into an event."""
    return f"BEGIN:VEVENT\nUID:{uid}\nDTSTAMP:20260101T000000Z\n{text.strip()}\nEND:VEVENT"


def read(*lines: str, during: TimeRange = YEAR_2026) -> BusyReading:
    """Read a calendar of some components."""
    return read_busy(calendar(*lines), "hall.ics", during, LONDON)


def stretches(reading: BusyReading) -> list[str]:
    """Return the times as "2026-09-08T17:30/19:00" in UTC; the end with its day if it differs."""
    found = []
    for time in reading.times:
        start, end = time.during.starts_at, time.during.ends_at
        assert start.utcoffset() == end.utcoffset() == UTC.utcoffset(None)
        last = f"{end:%H:%M}" if end.date() == start.date() else f"{end:%Y-%m-%dT%H:%M}"
        found.append(f"{start:%Y-%m-%dT%H:%M}/{last}")
    return found


def codes(reading: BusyReading) -> list[str]:
    """Return the codes of the problems."""
    return [problem.code for problem in reading.problems]
