"""Series in calendars of others: dates left out, added, moved."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from clubplanner.domain.times.times import TimeRange
from tests.inputs.foreign_calendars import (
    event,
    read,
    stretches,
)

WEEKLY = (
    "DTSTART;TZID=Europe/London:20260901T183000\nDTEND;TZID=Europe/London:20260901T200000\n"
    "RRULE:FREQ=WEEKLY;COUNT=10\nSUMMARY:Hire"
)


def test_a_series_keeps_its_wall_clock_time() -> None:
    """Half past six stays half past six over the clock change, ten times."""
    found = stretches(read(event(WEEKLY)))
    assert found[0] == "2026-09-01T17:30/19:00"
    assert found[-1] == "2026-11-03T18:30/20:00"
    assert len(found) == 10


@pytest.mark.parametrize(
    "line",
    [
        "EXDATE;TZID=Europe/London:20260908T183000,20260915T183000",
        "EXDATE:20260908T173000Z\nEXDATE:20260915T173000Z",
        "EXDATE;VALUE=DATE:20260908,20260915",
    ],
)
def test_dates_left_out_are_free(line: str) -> None:
    """EXDATE takes dates out of a series, given in its zone, in UTC, or as whole days."""
    found = stretches(read(event(f"{WEEKLY}\n{line}")))
    assert found[:2] == ["2026-09-01T17:30/19:00", "2026-09-22T17:30/19:00"]
    assert len(found) == 8


def test_added_dates_are_busy_once() -> None:
    """RDATE adds times and periods to a series; a date that it has already is not doubled."""
    lines = (
        f"{WEEKLY}\nRDATE;TZID=Europe/London:20260901T183000,20260903T183000\n"
        "RDATE;VALUE=PERIOD:20260904T100000Z/PT30M,20260905T100000Z/20260905T103000Z"
    )
    found = stretches(read(event(lines)))
    assert found[:4] == [
        "2026-09-01T17:30/19:00",
        "2026-09-03T17:30/19:00",
        "2026-09-04T10:00/10:30",
        "2026-09-05T10:00/10:30",
    ]
    assert len(found) == 13


MOVED = (
    "RECURRENCE-ID;TZID=Europe/London:20260908T183000\n"
    "DTSTART;TZID=Europe/London:20260909T190000\nDURATION:PT1H"
)


@pytest.mark.parametrize(
    ("changed", "wanted"),
    [
        (MOVED, ["2026-09-09T18:00/19:00", "2026-09-15T17:30/19:00"]),
        (MOVED.replace("ID;TZID=Europe/London:20260908T183000", "ID:20260908T173000Z"),
         ["2026-09-09T18:00/19:00", "2026-09-15T17:30/19:00"]),
        (f"{MOVED}\nSTATUS:CANCELLED", ["2026-09-15T17:30/19:00", "2026-09-22T17:30/19:00"]),
        (
            MOVED.replace("ID;", "ID;RANGE=THISANDFUTURE;"),
            ["2026-09-09T18:00/19:00", "2026-09-16T18:00/19:00"],
        ),
        (f"{MOVED.replace('ID;', 'ID;RANGE=THISANDFUTURE;')}\nSTATUS:CANCELLED", []),
    ],
)  # fmt: skip
@pytest.mark.parametrize("is_first", [True, False])
def test_one_changed_date_stands_for_its_own(
    changed: str, wanted: list[str], is_first: bool
) -> None:
    """A date of a series that was moved or called off counts instead, wherever it stands."""
    events = [event(WEEKLY), event(changed)]
    found = stretches(read(*(reversed(events) if is_first else events)))
    assert found[0] == "2026-09-01T17:30/19:00"
    assert found[1 : 1 + len(wanted)] == wanted or not wanted
    if not wanted:
        assert len(found) == 1


def test_the_newest_version_of_a_change_holds() -> None:
    """Of two changes of the same date the higher SEQUENCE counts, then the later stamp."""
    old = MOVED.replace("190000", "210000")
    for first, second in ((0, 1), (1, 0)):
        found = read(
            event(WEEKLY), event(f"{(MOVED, old)[first]}\nSEQUENCE:{3 - first}"),
            event(f"{(MOVED, old)[second]}\nSEQUENCE:{3 - second}"),
        )  # fmt: skip
        assert "2026-09-09T18:00/19:00" in stretches(found)
        assert len(found.times) == 10


def test_a_date_moved_from_outside_is_found() -> None:
    """A date moved into the stretch counts, one moved out of it does not, one alone counts."""
    during = TimeRange(datetime(2026, 9, 9, tzinfo=UTC), datetime(2026, 9, 10, tzinfo=UTC))
    assert stretches(read(event(WEEKLY), event(MOVED), during=during)) == ["2026-09-09T18:00/19:00"]
    assert stretches(read(event(MOVED), during=during)) == ["2026-09-09T18:00/19:00"]
    eighth = TimeRange(datetime(2026, 9, 8, tzinfo=UTC), datetime(2026, 9, 9, tzinfo=UTC))
    assert stretches(read(event(WEEKLY), event(MOVED), during=eighth)) == []


@pytest.mark.parametrize(
    ("moved_to", "wanted"),
    [
        # The change lies behind a clock change that its date lies before; or only later dates do.
        (
            "20261026T120000",
            ["2026-10-17T11:00/12:00", "2026-10-26T12:00/13:00", "2026-11-02T12:00/13:00"],
        ),
        (
            "20261024T090000",
            ["2026-10-17T11:00/12:00", "2026-10-24T08:00/09:00", "2026-10-31T09:00/10:00"],
        ),
    ],
)
def test_later_dates_keep_the_changed_time_of_day(moved_to: str, wanted: list[str]) -> None:
    """A change for all later dates moves each on the wall clock, also over a clock change.

    Source: RFC 5545, section 3.8.4.4; recurring_ical_events agrees.
    """
    first = "DTSTART;TZID=Europe/London:20261017T120000\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=3"
    changed = (
        "RECURRENCE-ID;RANGE=THISANDFUTURE;TZID=Europe/London:20261024T120000\n"
        f"DTSTART;TZID=Europe/London:{moved_to}\nDURATION:PT1H"
    )
    assert stretches(read(event(first), event(changed))) == wanted


def test_later_dates_of_a_change_in_another_zone_move_by_its_length() -> None:
    """Where a change is told on another clock than its series, each later date moves as far."""
    first = "DTSTART;TZID=Europe/London:20260905T120000\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=3"
    changed = (
        "RECURRENCE-ID;RANGE=THISANDFUTURE:20260912T110000Z\n"
        "DTSTART:20260912T130000Z\nDURATION:PT3H"
    )
    assert stretches(read(event(first), event(changed))) == [
        "2026-09-05T11:00/12:00",
        "2026-09-12T13:00/16:00",
        "2026-09-19T13:00/16:00",
    ]


@pytest.mark.parametrize(
    ("rule", "count"),
    [
        ("FREQ=DAILY;BYHOUR=9,14;BYMINUTE=30;BYSECOND=1;COUNT=4", 4),
        ("FREQ=HOURLY;INTERVAL=6;UNTIL=20260206", 4),
        ("FREQ=MINUTELY;INTERVAL=720;BYHOUR=12;UNTIL=20260205", 3),
    ],
)
def test_whole_days_repeat_by_days(rule: str, count: int) -> None:
    """Hours, minutes and seconds of a rule do not count where the event is a whole day.

    Source: RFC 5545, section 3.3.10: such parts "MUST be ignored".
    """
    found = stretches(read(event(f"DTSTART;VALUE=DATE:20260203\nRRULE:{rule}")))
    assert found == [
        f"2026-02-0{day}T00:00/2026-02-0{day + 1}T00:00" for day in range(3, 3 + count)
    ]
