"""Calendars that give busy times alone, and Exchange's own mark."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

import icalendar
import pytest

from clubplanner.domain.times.times import TimeRange
from clubplanner.inputs.calendars import busy as busy_module
from clubplanner.inputs.calendars.busy import read_busy
from tests.inputs.foreign_calendars import (
    LONDON,
    YEAR_2026,
    calendar,
    codes,
    event,
    read,
    stretches,
)

TIMES = "DTSTART:20260908T183000Z\nDTEND:20260908T200000Z"
EXCHANGE = "X-MICROSOFT-CDO-BUSYSTATUS"


def busy_list(*lines: str) -> str:
    """Put lines into a list of busy times."""
    inside = "\n".join(lines)
    return (
        f"BEGIN:VFREEBUSY\nUID:list@hall.example\nDTSTAMP:20260101T000000Z\n{inside}\nEND:VFREEBUSY"
    )


def test_the_standards_example_is_read() -> None:
    """Source: RFC 5545, section 3.6.4, the published busy times (from memory)."""
    published = busy_list(
        "DTSTART:19980313T141711Z",
        "DTEND:19980410T141711Z",
        "FREEBUSY:19980314T233000Z/19980315T003000Z",
        "FREEBUSY:19980316T153000Z/19980316T163000Z",
        "FREEBUSY:19980318T030000Z/19980318T040000Z",
    )
    during = TimeRange(datetime(1998, 3, 1, tzinfo=UTC), datetime(1998, 4, 1, tzinfo=UTC))
    reading = read(published, during=during)
    assert reading.problems == ()
    assert stretches(reading) == [
        "1998-03-14T23:30/1998-03-15T00:30",
        "1998-03-16T15:30/16:30",
        "1998-03-18T03:00/04:00",
    ]
    other: Any = icalendar.Calendar.from_ical(calendar(published)).walk("VFREEBUSY")[0]
    assert [line.dt for line in other["FREEBUSY"]] == [
        (time.during.starts_at, time.during.ends_at) for time in reading.times
    ]
    assert {(time.title, time.uid) for time in reading.times} == {("", "list@hall.example")}


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        # RFC 5545, section 3.8.2.6 (from memory)
        (
            "FREEBUSY;FBTYPE=BUSY-UNAVAILABLE:20260308T160000Z/PT8H30M",
            ["2026-03-08T16:00/2026-03-09T00:30"],
        ),
        ("FREEBUSY;FBTYPE=FREE:20260308T160000Z/PT3H,20260308T200000Z/PT1H", []),
        ("FREEBUSY;FBTYPE=free:20260308T160000Z/PT3H", []),
        (
            "FREEBUSY:20260308T160000Z/PT3H,20260308T200000Z/20260308T210000Z",
            ["2026-03-08T16:00/19:00", "2026-03-08T20:00/21:00"],
        ),
        # tentative takes its time as a tentative event does; so do unknown kinds (section 3.2.9)
        ("FREEBUSY;FBTYPE=BUSY-TENTATIVE:20260308T160000Z/PT1H", ["2026-03-08T16:00/17:00"]),
        ('FREEBUSY;FBTYPE="BUSY":20260308T160000Z/PT1H', ["2026-03-08T16:00/17:00"]),
        ("FREEBUSY;FBTYPE=X-LOCKED:20260308T160000Z/PT1H", ["2026-03-08T16:00/17:00"]),
        # against the standard, but met: times on the wall
        ("FREEBUSY:20260708T160000/PT1H", ["2026-07-08T15:00/16:00"]),
        ("FREEBUSY;TZID=Europe/Paris:20260708T160000/20260708T170000", ["2026-07-08T14:00/15:00"]),
        ("FREEBUSY:20260708T160000Z/P1D", ["2026-07-08T16:00/2026-07-09T16:00"]),
    ],
)  # fmt: skip
def test_periods_are_read(line: str, wanted: list[str]) -> None:
    """With an end or a length, several on a line; what is free is left out."""
    reading = read(busy_list(line))
    assert reading.problems == ()
    assert stretches(reading) == wanted


@pytest.mark.parametrize(
    "value",
    ["20260308T160000Z", "20260308/P1D", "x/PT1H", "20260308T160000Z/-PT1H", "",
     "20260308T160000Z/20260308T150000Z", "99991231T235959Z/P999999D"],
)  # fmt: skip
def test_a_faulty_period_costs_itself_alone(value: str) -> None:
    """The others on its line, and other lines, are read; where it stands is told."""
    reading = read(
        busy_list(f"FREEBUSY:{value},20260308T200000Z/PT1H", "FREEBUSY:20260309T200000Z/PT1H")
    )
    assert stretches(reading) == ["2026-03-08T20:00/21:00", "2026-03-09T20:00/21:00"]
    assert codes(reading) == ["faulty-event"]
    assert reading.problems[0].where == "hall.ics, busy times 1"


def test_events_and_busy_times_of_one_file_both_count() -> None:
    """Also where a list is cut off, which is told."""
    reading = read(event(TIMES), busy_list("FREEBUSY:20260308T160000Z/PT1H"))
    assert len(reading.times) == 2
    cut = calendar(busy_list("FREEBUSY:20260308T160000Z/PT1H")).partition(b"END:VFREEBUSY")[0]
    reading = read_busy(cut, "hall.ics", YEAR_2026, LONDON)
    assert len(reading.times) == 1
    assert codes(reading) == ["faulty-event"]


def test_a_year_on_one_line_is_read() -> None:
    """A line may be long; how many times are read, and how much work is done, has its limit."""
    days = [f"2026{month:02}{day:02}T{hour:02}0000Z/PT30M" for month in range(1, 13)
            for day in range(1, 29) for hour in range(8, 20)]  # fmt: skip
    reading = read(busy_list("FREEBUSY:" + ",".join(days)))
    assert (len(reading.times), reading.problems) == (len(days), ())


def test_work_has_its_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was read until then counts."""
    monkeypatch.setattr(busy_module, "WORK_LIMIT", 2)
    periods = ",".join(f"202603{day:02}T160000Z/PT1H" for day in range(1, 9))
    reading = read(busy_list(f"FREEBUSY:{periods}"))
    assert len(reading.times) == 2
    assert codes(reading) == ["too-much"]


@pytest.mark.parametrize(
    "lines", [[], ["BEGIN:VTODO\nUID:a\nEND:VTODO"], ["BEGIN:VTIMEZONE\nTZID:x\nEND:VTIMEZONE"]]
)
def test_a_calendar_without_anything_to_read_says_so(lines: list[str]) -> None:
    """No event and no list of busy times: perhaps it is the wrong calendar."""
    reading = read(*lines)
    assert reading.times == ()
    assert codes(reading) == ["nothing-inside"]
    assert "check that it is the right calendar" in reading.problems[0].message


@pytest.mark.parametrize(
    ("lines", "is_busy"),
    [
        # MS-OXCICAL, sections 2.1.3.1.1.20.25 and 2.1.3.1.1.20.31: TRANSP counts only where
        # Exchange's own mark is not there or not known.
        (f"{EXCHANGE}:FREE", False),
        (f"{EXCHANGE};X=1:free", False),
        (f"{EXCHANGE}:BUSY", True),
        (f"{EXCHANGE}:TENTATIVE", True),
        (f"{EXCHANGE}:OOF", True),
        (f"{EXCHANGE}:FREE\nTRANSP:OPAQUE", False),
        (f"TRANSP:TRANSPARENT\n{EXCHANGE}:BUSY", True),
        (f"TRANSP:TRANSPARENT\n{EXCHANGE}:TENTATIVE", True),
        (f"{EXCHANGE}:FREE\nTRANSP:TRANSPARENT", False),
        (f"{EXCHANGE}:WORKINGELSEWHERE\nTRANSP:TRANSPARENT", False),
        (f"{EXCHANGE}:WORKINGELSEWHERE\nTRANSP:OPAQUE", True),
        (f"{EXCHANGE}:BUSY\nSTATUS:CANCELLED", False),
    ],
)
def test_exchange_says_what_is_free(lines: str, is_busy: bool) -> None:
    """Its own mark counts before the standard's, which is a rough translation of it."""
    assert bool(read(event(f"{TIMES}\n{lines}")).times) is is_busy
