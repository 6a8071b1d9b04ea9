"""Tests of foreign calendars as busy times."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta
from typing import Any

import icalendar
import pytest
import recurring_ical_events
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.domain.times.times import TimeRange
from clubplanner.inputs.calendars import busy as busy_module
from clubplanner.inputs.calendars.busy import BusyReading, read_busy
from clubplanner.inputs.calendars.calendar_lines import SIZE_LIMIT
from clubplanner.outputs.calendars.feed import write_feed
from tests.inputs.foreign_calendars import (
    LONDON,
    YEAR_2026,
    calendar,
    codes,
    event,
    read,
    stretches,
)
from tests.outputs.calendars.test_feed import (
    ZONES,
    make_event,
    make_feed,
    night_events,
    season_events,
)

HOUR, DAY = timedelta(hours=1), timedelta(days=1)
TIMES = "DTSTART:20260908T183000Z\nDTEND:20260908T200000Z"


def test_a_plain_event_is_busy_time() -> None:
    """An event gives its stretch, its title on one line and its uid, and no problem."""
    reading = read(event(f"{TIMES}\nSUMMARY:Rovers\\, hire\\n of \x07pitch 1"))
    (found,) = reading.times
    assert stretches(reading) == ["2026-09-08T18:30/20:00"]
    assert found.title == "Rovers, hire of pitch 1"
    assert found.uid == "one@venue.example"
    assert reading.problems == ()


@pytest.mark.parametrize(
    "line", ["STATUS:CANCELLED", "TRANSP:TRANSPARENT", "transp:transparent", "STATUS;X=1:cancelled"]
)
def test_what_leaves_the_time_free_is_left_out(line: str) -> None:
    """Cancelled and transparent events take no time."""
    assert read(event(f"{TIMES}\n{line}")) == BusyReading((), ())


@pytest.mark.parametrize("line", ["STATUS:TENTATIVE", "TRANSP:OPAQUE", "STATUS:CONFIRMED"])
def test_what_may_be_is_busy(line: str) -> None:
    """Tentative, opaque and confirmed events take their time."""
    assert len(read(event(f"{TIMES}\n{line}")).times) == 1


@pytest.mark.parametrize(
    ("lines", "wanted"),
    [
        # A time in the venue's zone, summer and winter.
        ("DTSTART:20260708T100000\nDTEND:20260708T110000", ["2026-07-08T09:00/10:00"]),
        ("DTSTART:20261208T100000\nDTEND:20261208T110000", ["2026-12-08T10:00/11:00"]),
        # A zone of the database, with and without a path or quotes.
        (
            "DTSTART;TZID=America/New_York:20260708T100000\nDURATION:PT90M",
            ["2026-07-08T14:00/15:30"],
        ),
        (
            'DTSTART;TZID="/x.example/2020_1/America/New_York":20260708T100000\nDURATION:PT1H',
            ["2026-07-08T14:00/15:00"],
        ),
        ("DTSTART;TZID=UTC:20260708T100000\nDURATION:PT1H", ["2026-07-08T10:00/11:00"]),
        # One of the names that Windows gives.
        (
            "DTSTART;TZID=Eastern Standard Time:20260708T100000\nDURATION:PT1H",
            ["2026-07-08T14:00/15:00"],
        ),
        # A whole day is the venue's day, 23 to 25 hours; its end is the next day.
        ("DTSTART;VALUE=DATE:20260708", ["2026-07-07T23:00/2026-07-08T23:00"]),
        ("DTSTART;VALUE=DATE:20260329", ["2026-03-29T00:00/23:00"]),
        ("DTSTART;VALUE=DATE:20261025", ["2026-10-24T23:00/2026-10-26T00:00"]),
        (
            "DTSTART;VALUE=DATE:20260708\nDTEND;VALUE=DATE:20260710",
            ["2026-07-07T23:00/2026-07-09T23:00"],
        ),
        ("DTSTART;VALUE=DATE:20260708\nDURATION:P1W", ["2026-07-07T23:00/2026-07-14T23:00"]),
        # Days on the calendar, hours on the clock.
        (
            "DTSTART;TZID=Europe/London:20260328T120000\nDURATION:P1DT1H",
            ["2026-03-28T12:00/2026-03-29T12:00"],
        ),
        # No length, no time.
        ("DTSTART:20260708T100000Z", []),
        ("DTSTART:20260708T100000Z\nDTEND:20260708T100000Z", []),
        # A leap second.
        ("DTSTART:20260630T235960Z\nDTEND:20260701T000100Z", ["2026-06-30T23:59/2026-07-01T00:01"]),
        # Folded in the middle of a value.
        ("DTSTART:202607\n 08T100000Z\nDURATION:PT\n\t1H", ["2026-07-08T10:00/11:00"]),
    ],
)
def test_times_are_read(lines: str, wanted: list[str]) -> None:
    """Zones, floating times, whole days, lengths and folds are read as the standard has them."""
    reading = read(event(lines))
    assert stretches(reading) == wanted
    assert reading.problems == ()


FAULTS = [
    ("DTEND:20260708T100000Z", "does not say when it starts"),
    ("DTSTART:20261308T100000Z", "no date or time that exists"),
    ("DTSTART:next Tuesday", "no date or time such as"),
    ("DTSTART:20260708T100000Z\nDTEND:20260708T090000Z", "ends before it starts"),
    ("DTSTART:20260708T100000Z\nDURATION:-PT1H", "no length of time such as"),
    ("DTSTART:20260708T100000Z\nDURATION:P", "no length of time such as"),
    ("DTSTART:20260708T100000Z\nDTEND;VALUE=DATE:20260709", "starts on a date and ends at a time"),
    ("DTSTART;TZID=x 20260708T100000Z", "cannot be read"),
    (f"{TIMES}\nRRULE:FREQ=OFTEN", "does not say how often"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;BYDAY=XX", "cannot be read at “XX”"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;BYHOUR=24", "out of range"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;BYHOUR=x", "cannot be read at “X”"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;INTERVAL=0", "1 or more"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;RSCALE=HEBREW", "cannot be read at"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;WKST=XX", "cannot be read at"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;BYWEEKNO=3", "do not go together"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;COUNT=3;UNTIL=20261001", "do not go together"),
    (f"{TIMES}\nRRULE:FREQ=DAILY;UNTIL=never", "no date or time such as"),
    (f"{TIMES}\nRDATE:20260708T100000Z,", "no date or time such as"),
    (f"{TIMES}\nRDATE;VALUE=PERIOD:20260708T100000Z/20260708T090000Z", "ends before it starts"),
    (f"{TIMES}\nEXDATE:x", "no date or time such as"),
    (f"{TIMES}\nRECURRENCE-ID:x", "no date or time such as"),
    (f"{TIMES}\nEXDATE:" + ",".join(["20260708T100000Z"] * 2000), "is too long"),
    ("DTSTART:00010101T000000\nDTEND:00010101T010000\nRRULE:FREQ=DAILY", ""),
    ("DTSTART:99991231T235900\nDURATION:P900000W", "out of reach"),
]


@pytest.mark.parametrize(("lines", "words"), FAULTS)
def test_a_fault_costs_its_own_event_only(lines: str, words: str) -> None:
    """Each faulty event is one problem with its place, between two that are read."""
    before, after = event(TIMES, "a"), event(TIMES.replace("0908", "0909"), "c")
    faulty = event(f"SUMMARY:Odd one\n{lines}", "b")
    reading = read(before, faulty, after)
    others = [each for each in reading.times if each.uid != "b"]
    assert [each.uid for each in others] == ["a", "c"]
    if words:
        assert len(reading.times) == 2
        (problem,) = reading.problems
        assert problem.where.startswith("hall.ics, event 2")
        assert words in problem.message


def test_an_event_cut_off_is_told() -> None:
    """A file that ends in the middle of an event gives the events before it and a problem."""
    content = calendar(event(TIMES, "a"), event(TIMES, "b"))
    reading = read_busy(content[: content.rindex(b"END:VEVENT")], "hall.ics", YEAR_2026, LONDON)
    assert [each.uid for each in reading.times] == ["a"]
    assert "cut off" in reading.problems[0].message
    opened = calendar(event(TIMES, "a").removesuffix("END:VEVENT"), event(TIMES, "b"))
    reading = read_busy(opened, "hall.ics", YEAR_2026, LONDON)
    assert [each.uid for each in reading.times] == ["b"]
    assert codes(reading) == ["faulty-event"]


def test_reminders_and_other_parts_are_passed_over() -> None:
    """The lines of a reminder are not those of its event, nor those of a to-do."""
    alarm = "BEGIN:VALARM\nTRIGGER:-PT1H\nDURATION:PT5H\nSUMMARY:Ring\nEND:VALARM"
    todo = "BEGIN:VTODO\nUID:t\nDTSTART:20260708T100000Z\nDUE:20260708T110000Z\nEND:VTODO"
    reading = read(todo, event(f"{alarm}\n{TIMES}\nSUMMARY:Hire"))
    assert stretches(reading) == ["2026-09-08T18:30/20:00"]
    assert reading.times[0].title == "Hire"


def test_ranges_are_half_open() -> None:
    """What ends when the stretch begins, or starts when it ends, is not in it."""
    start, end = datetime(2026, 9, 8, 18, 30, tzinfo=UTC), datetime(2026, 9, 8, 20, tzinfo=UTC)
    text = event(TIMES)
    for stretch, count in (
        (TimeRange(start - HOUR, start), 0),
        (TimeRange(end, end + HOUR), 0),
        (TimeRange(start - HOUR, start + timedelta(seconds=1)), 1),
        (TimeRange(end - timedelta(seconds=1), end + HOUR), 1),
        (TimeRange(start + timedelta(minutes=1), end - timedelta(minutes=1)), 1),
    ):
        assert len(read(text, during=stretch).times) == count


def test_a_long_event_reaches_in() -> None:
    """An event of many days that began before the stretch is found, also one of a series."""
    long = "DTSTART:20250101T000000Z\nDURATION:P20D\nRRULE:FREQ=YEARLY"
    during = TimeRange(datetime(2026, 1, 20, tzinfo=UTC), datetime(2026, 1, 21, tzinfo=UTC))
    assert stretches(read(event(long), during=during)) == ["2026-01-01T00:00/2026-01-21T00:00"]


EVERY = ",".join(map(str, range(60)))
ABSURD = [
    "FREQ=SECONDLY",
    "FREQ=SECONDLY;COUNT=999999999",
    "FREQ=MINUTELY;BYMONTH=2;BYMONTHDAY=30",
    "FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30",
    "FREQ=HOURLY;BYMONTH=2;BYMONTHDAY=30",
    "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30;COUNT=5",
    "FREQ=YEARLY;BYYEARDAY=366;INTERVAL=999999",
    "FREQ=YEARLY;BYWEEKNO=53;BYMONTH=6",
    "FREQ=MONTHLY;BYSETPOS=300",
    f"FREQ=DAILY;BYHOUR={EVERY[:61]};BYMINUTE={EVERY};BYSECOND={EVERY}",
]


@pytest.mark.parametrize("rule", ABSURD)
@pytest.mark.parametrize("start", ["19000101", "20260105", "00010103"])
def test_absurd_rules_end_quickly(rule: str, start: str) -> None:
    """Rules that never come true, or every second, end soon and cost no other event."""
    begin = time.process_time()
    absurd = event(f"DTSTART:{start}T000000Z\nDURATION:PT1S\nRRULE:{rule}", "absurd")
    reading = read(absurd, event(TIMES))
    assert time.process_time() - begin < 5
    assert "2026-09-08T18:30/20:00" in stretches(reading)
    assert codes(reading) in ([], ["too-often"], ["faulty-event"])


def test_a_whole_calendar_of_absurd_rules_ends() -> None:
    """Hundreds of such events share one budget: what comes after it is told, not worked out."""
    begin = time.process_time()
    rule = "DTSTART:20260101T000000Z\nDURATION:PT1S\nRRULE:FREQ=SECONDLY"
    reading = read(*(event(rule, str(number)) for number in range(500)))
    assert time.process_time() - begin < 20
    assert reading.times == ()
    assert set(codes(reading)) == {"too-often", "too-much"}


def test_what_is_too_large_is_not_read(monkeypatch: pytest.MonkeyPatch) -> None:
    """Too many octets, events or busy times are told, with what to do."""
    huge = read_busy(b"x" * (SIZE_LIMIT + 1), "hall.ics", YEAR_2026, LONDON)
    assert codes(huge) == ["too-large"]
    monkeypatch.setattr(busy_module, "EVENTS_LIMIT", 3)
    many = read(*(event(TIMES, str(number)) for number in range(5)))
    assert len(many.times) == 3
    assert codes(many) == ["too-many-events"]
    monkeypatch.setattr(busy_module, "TIMES_LIMIT", 20)
    series = read(event("DTSTART:20260101T000000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY"))
    assert len(series.times) == 20
    assert codes(series) == ["too-many-times"]


@pytest.mark.parametrize("content", [b"", b"<html>", b"\xff\xfe\x00", b"BEGIN:VEVENT\r\n"])
def test_what_is_no_calendar_is_told(content: bytes) -> None:
    """A page, an empty file or noise is one problem."""
    reading = read_busy(content, "hall.ics", YEAR_2026, LONDON)
    assert codes(reading) == ["no-calendar"]
    assert reading.times == ()


FRAGMENTS = st.sampled_from(
    [
        b"BEGIN:VCALENDAR", b"END:VCALENDAR", b"BEGIN:VEVENT", b"END:VEVENT", b"BEGIN:VTIMEZONE",
        b"END:VTIMEZONE", b"BEGIN:STANDARD", b"END:STANDARD", b"TZID:x", b"TZOFFSETFROM:+0100",
        b"TZOFFSETTO:+0000", b"DTSTART:20260708T100000Z", b"DTSTART;TZID=x:20260708T100000",
        b"DTSTART;VALUE=DATE:20260708", b"DURATION:PT1H", b"RRULE:FREQ=DAILY", b"UID:a",
        b"RRULE:FREQ=MONTHLY;BYDAY=-1SU;BYSETPOS=1", b"EXDATE:20260709T100000Z", b" folded",
        b"RECURRENCE-ID;RANGE=THISANDFUTURE:20260709T100000Z", b"RDATE:20260710T100000Z",
        b"SUMMARY:\xff\xfe;:\"", b"DTEND:20260708T110000Z", b";=:\"", b"DTSTART;X=\"a:b\":20260708",
        b"DTSTART:00010101T000000", b"DTSTART:99991231T235959", b"BEGIN:VALARM", b"END:VALARM",
        b"BEGIN:VFREEBUSY", b"END:VFREEBUSY", b"FREEBUSY:20260708T100000Z/PT1H,x",
        b"FREEBUSY;TZID=x:99991231T235959/P999999W", b"FREEBUSY:00010101T000000/20260101T000000Z",
    ]
)  # fmt: skip


def check_answer(content: bytes) -> None:
    """Look at what reading gives: times inside the stretch, and problems with place and words."""
    reading = read_busy(content, "hall.ics", YEAR_2026, LONDON)
    for found in reading.times:
        assert found.during.overlaps(YEAR_2026)
    for problem in reading.problems:
        assert problem.where.startswith("hall.ics")
        assert problem.message.endswith(".")


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.one_of(FRAGMENTS, st.binary(max_size=30)), max_size=30).map(
        lambda lines: b"BEGIN:VCALENDAR\r\n" + b"\r\n".join(lines)
    )
)
def test_any_bytes_are_answered(content: bytes) -> None:
    """Random lines and noise give times inside the stretch and problems with words, never more."""
    check_answer(content)


@settings(max_examples=80, deadline=None)
@given(st.binary(max_size=400))
def test_noise_is_answered(content: bytes) -> None:
    """Pure noise is answered, with and without a calendar's first line."""
    for start in (b"", b"BEGIN:VCALENDAR\n", b"BEGIN:VCALENDAR\nBEGIN:VEVENT\nDTSTART:"):
        check_answer(start + content)


@pytest.mark.parametrize("zone", ZONES)
def test_our_own_feeds_are_read_back(zone: str) -> None:
    """A season and the nights of clock changes written by the feed come back as busy times."""
    events = season_events(zone) + night_events(zone)
    content = write_feed(make_feed(*events, make_event(is_withdrawn=True), zone=zone))
    during = TimeRange(datetime(2026, 1, 1, tzinfo=UTC), datetime(2028, 1, 1, tzinfo=UTC))
    reading = read_busy(content, "club.ics", during, LONDON)
    assert reading.problems == ()
    wanted = {(e.uid, e.starts_at.astimezone(UTC), e.ends_at.astimezone(UTC)) for e in events}
    found = {(each.uid, each.during.starts_at, each.during.ends_at) for each in reading.times}
    assert found == wanted


SERIES = st.sampled_from(
    [
        "RRULE:FREQ=WEEKLY;BYDAY=TU,TH",
        "RRULE:FREQ=MONTHLY;BYDAY=2TU",
        "RRULE:FREQ=DAILY;INTERVAL=3;UNTIL=20261101T000000Z",
        "RRULE:FREQ=WEEKLY;COUNT=7\nEXDATE;TZID={zone}:20260908T183000",
        "RRULE:FREQ=WEEKLY;INTERVAL=2\nRDATE;TZID={zone}:20260902T183000",
        "RRULE:FREQ=MONTHLY;BYMONTHDAY=-1",
    ]
)


@settings(max_examples=30, deadline=None)
@given(
    zone=st.sampled_from(ZONES),
    series=SERIES,
    hours=st.integers(1, 5),
    move=st.one_of(st.none(), st.integers(-50, 50)),
    onward=st.one_of(st.none(), st.sampled_from([-50, -26, -2, 1, 3, 24, 47])),
)
def test_another_reader_finds_the_same(
    zone: str, series: str, hours: int, move: int | None, onward: int | None
) -> None:
    """Series with exceptions and moved dates agree with recurring_ical_events over a season.

    None ends in the night of a clock change: there it takes an hour on the clock for an hour.
    """
    first = datetime(2026, 9, 1, 18, 30)  # noqa: DTZ001 - a wall clock's
    text = f"DTSTART;TZID={zone}:{first:%Y%m%dT%H%M%S}\nDURATION:PT{hours}H\n"
    events = [event(text + series.format(zone=zone))]
    if move is not None:
        moved = first + timedelta(hours=move)
        events.append(
            event(
                f"RECURRENCE-ID;TZID={zone}:{first:%Y%m%dT%H%M%S}\nSEQUENCE:1\n"
                f"DTSTART;TZID={zone}:{moved:%Y%m%dT%H%M%S}\nDURATION:PT2H"
            )
        )
    if onward is not None:
        changed_from = datetime(2026, 10, 24, 18, 30)  # noqa: DTZ001 - a wall clock's
        moved = changed_from + timedelta(hours=onward)
        events.append(
            event(
                f"RECURRENCE-ID;RANGE=THISANDFUTURE;TZID={zone}:{changed_from:%Y%m%dT%H%M%S}\n"
                f"SEQUENCE:1\nDTSTART;TZID={zone}:{moved:%Y%m%dT%H%M%S}\nDURATION:PT2H"
            )
        )
    during = TimeRange(datetime(2026, 8, 1, tzinfo=UTC), datetime(2027, 5, 1, tzinfo=UTC))
    content = calendar(*events)
    other: Any = recurring_ical_events.of(icalendar.Calendar.from_ical(content))
    wanted = sorted(
        (each["DTSTART"].dt.astimezone(UTC), each.end.astimezone(UTC))
        for each in other.between(during.starts_at, during.ends_at)
    )
    reading = read_busy(content, "hall.ics", during, LONDON)
    assert reading.problems == ()
    found = [(each.during.starts_at, each.during.ends_at) for each in reading.times]
    assert found == wanted
