"""Published rules for calendars and clock changes, each with its source beside it."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import vobject
from dateutil.rrule import rrulestr  # type: ignore[import-untyped]

from clubplanner.outputs.calendars.feed import Feed, FeedEvent, write_feed
from clubplanner.outputs.calendars.timezones import build_timezone, wall_time


def make_event(**changes: Any) -> FeedEvent:
    """Build an event; what is not said does not matter to the rule under test."""
    values: dict[str, Any] = {
        "uid": "booking-1@club.example",
        "sequence": 0,
        "starts_at": datetime(2026, 9, 8, 17, tzinfo=UTC),
        "ends_at": datetime(2026, 9, 8, 18, tzinfo=UTC),
        "changed_at": datetime(2026, 8, 1, tzinfo=UTC),
        "is_withdrawn": False,
        "title": "Training",
        "place": "",
        "url": "https://club.example/b/1",
    }
    return FeedEvent(**(values | changes))


def content_lines(event: FeedEvent, **changes: Any) -> list[str]:
    """Write a feed of one event and return its lines, unfolded."""
    values: dict[str, Any] = {"name": "Training", "zone": "Europe/London", "source_url": None}
    content = write_feed(Feed(events=(event,), **(values | changes)))
    return content.decode().replace("\r\n ", "").split("\r\n")


def onsets(zone: str, kind: str, years: tuple[int, ...]) -> list[datetime]:
    """Return when a description starts STANDARD or DAYLIGHT time, worked out by dateutil."""
    component: Any = build_timezone(zone)
    (part,) = (part for part in component.subcomponents if part.name == kind)
    rule = rrulestr(part["RRULE"].to_ical().decode(), dtstart=part["DTSTART"].dt)
    found = []
    for year in years:
        january = datetime.fromisoformat(f"{year}-01-01")
        found += rule.between(january, january.replace(year=year + 1), inc=True)
    return [(wall - part["TZOFFSETFROM"].td).replace(tzinfo=UTC) for wall in found]


# Source: IANA time zone database.
CLOCK_CHANGES = [
    ("Europe/London", "DAYLIGHT", "2026-03-29T01:00Z", "2027-03-28T01:00Z"),
    ("Europe/London", "STANDARD", "2026-10-25T01:00Z", "2027-10-31T01:00Z"),
    ("America/New_York", "DAYLIGHT", "2026-03-08T07:00Z", "2027-03-14T07:00Z"),
    ("America/New_York", "STANDARD", "2026-11-01T06:00Z", "2027-11-07T06:00Z"),
    ("Australia/Sydney", "DAYLIGHT", "2026-10-03T16:00Z", None),
    ("Australia/Sydney", "STANDARD", "2026-04-04T16:00Z", None),
]


@pytest.mark.parametrize(("zone", "kind", "in_2026", "in_2027"), CLOCK_CHANGES)
def test_clock_changes_are_those_of_the_database(
    zone: str, kind: str, in_2026: str, in_2027: str | None
) -> None:
    """A zone's description changes the clocks at the published instants."""
    published = [datetime.fromisoformat(text) for text in (in_2026, in_2027) if text]
    assert onsets(zone, kind, (2026, 2027)[: len(published)]) == published


@pytest.mark.parametrize(("zone", "kind", "in_2026", "in_2027"), CLOCK_CHANGES)
def test_the_wall_clock_jumps_an_hour_at_each_change(
    zone: str, kind: str, in_2026: str, in_2027: str | None
) -> None:
    """The wall clock gains or loses exactly the hour between three hours before and after."""
    step = timedelta(hours=3)
    for text in filter(None, (in_2026, in_2027)):
        change = datetime.fromisoformat(text)
        before, after = wall_time(zone, change - step), wall_time(zone, change + step)
        assert before is not None
        assert after is not None
        jump = timedelta(hours=1 if kind == "DAYLIGHT" else -1)
        assert after - before == 2 * step + jump


@pytest.mark.parametrize("zone", ["Europe/London", "Europe/Dublin", "Europe/Lisbon"])
def test_european_summer_time(zone: str) -> None:
    """Summer time runs from 01:00 GMT on March's last Sunday to the same on October's.

    Source: Directive 2000/84/EC, articles 2 and 3 (from memory); London keeps to the same days
    by the Summer Time Order 2002, SI 2002/262 (from memory).
    """
    years = tuple(range(2026, 2037))
    for kind, month in (("DAYLIGHT", 3), ("STANDARD", 10)):
        found = onsets(zone, kind, years)
        assert [onset.year for onset in found] == list(years)
        for onset in found:
            assert (onset.month, onset.hour, onset.minute) == (month, 1, 0)
            assert onset.isoweekday() == 7
            assert (onset + timedelta(days=7)).month == month + 1


def test_new_york_is_described_as_in_the_standard() -> None:
    """The rules and offsets are those of the standard's own example for New York.

    Source: RFC 5545, section 3.6.5, the description that starts in 2007.
    """
    component: Any = build_timezone("America/New_York")
    parts = {part.name: part for part in component.subcomponents}
    published = {
        "DAYLIGHT": ("BYMONTH=3;BYDAY=2SU", "-0500", "-0400", "EDT", "2007-03-11T02:00"),
        "STANDARD": ("BYMONTH=11;BYDAY=1SU", "-0400", "-0500", "EST", "2007-11-04T02:00"),
    }
    for kind, (rule, offset_from, offset_to, name, first) in published.items():
        part = parts[kind]
        text = part["RRULE"].to_ical().decode()
        assert set(text.split(";")) == {"FREQ=YEARLY", *rule.split(";")}
        assert part["TZOFFSETFROM"].to_ical() == offset_from
        assert part["TZOFFSETTO"].to_ical() == offset_to
        assert part["TZNAME"] == name
        onset = datetime.fromisoformat(first)
        assert (
            rrulestr(text, dtstart=part["DTSTART"].dt).after(datetime.fromisoformat("2007-01-01"))
            == onset
        )


@pytest.mark.parametrize("instant", ["2007-11-04T05:30Z", "2007-11-04T06:30Z"])
def test_both_times_of_the_doubled_hour_come_back(instant: str) -> None:
    """Half past one comes twice on 4 November 2007 in New York, and each is told from the other.

    Source: RFC 5545, section 3.3.5: the local form would mean the first, 1:30 EDT (UTC-04:00).
    """
    starts_at = datetime.fromisoformat(instant)
    event = make_event(starts_at=starts_at, ends_at=starts_at + timedelta(minutes=30))
    lines = content_lines(event, zone="America/New_York")
    read = vobject.readOne("\r\n".join(lines)).vevent
    assert read.dtstart.value == starts_at
    assert read.dtend.value == starts_at + timedelta(minutes=30)


def test_text_is_escaped_as_in_the_standard() -> None:
    """The standard's own examples of TEXT come out to the letter.

    Sources: RFC 5545, section 3.3.11 (three lines) and section 3.8.1.7 (a place with a comma).
    """
    lines = content_lines(
        make_event(
            lines=("Project XYZ Final Review", "Conference Room - 3B", "Come Prepared."),
            place="Conference Room - F123, Bldg. 002",
        )
    )
    wanted = r"DESCRIPTION:Project XYZ Final Review\nConference Room - 3B\nCome Prepared."
    assert [line for line in lines if line.startswith(wanted)]
    assert r"LOCATION:Conference Room - F123\, Bldg. 002" in lines


def test_every_sign_that_has_to_be_is_escaped() -> None:
    """Backslash, semicolon, comma and line break, and no other. Source: RFC 5545, 3.3.11."""
    lines = content_lines(make_event(title="a;b,c:d", lines=("e\\f", 'g"h')))
    assert r"SUMMARY:a\;b\,c:d" in lines
    assert [line for line in lines if line.startswith('DESCRIPTION:e\\\\f\\ng"h')]


def test_position_is_written_as_in_the_standard() -> None:
    """Latitude, a semicolon, longitude. Source: RFC 5545, section 3.8.1.6, its example."""
    assert "GEO:37.386013;-122.082932" in content_lines(make_event(lat=37.386013, lon=-122.082932))


@pytest.mark.parametrize("character", ["x", "é", "—", "🏑", ";"])
def test_no_line_is_longer_than_75_octets(character: str) -> None:
    """Lines fold at 75 octets without the line end, and no character is cut in two.

    Source: RFC 5545, section 3.1.
    """
    for length in range(150):
        event = make_event(title=character * length + "!")
        content = write_feed(Feed("Training", "Europe/London", None, (event,)))
        assert max(len(line) for line in content.split(b"\r\n")) <= 75
        for line in content.split(b"\r\n"):
            line.decode("utf-8")


def test_refresh_and_colour_are_written_as_in_their_standard() -> None:
    """A week between refreshes and a CSS colour read as the published examples do.

    Source: RFC 7986, section 5.7 (`REFRESH-INTERVAL;VALUE=DURATION:P1W`) and section 5.9
    (`COLOR:turquoise`).
    """
    lines = content_lines(make_event(), refresh_hours=168, colour="turquoise")
    (refresh,) = (line for line in lines if line.startswith("REFRESH-INTERVAL"))
    prefix, _, value = refresh.partition(":")
    assert prefix == "REFRESH-INTERVAL;VALUE=DURATION"
    read = vobject.icalendar.stringToDurations
    assert read(value) == read("P1W") == [timedelta(weeks=1)]
    assert "COLOR:turquoise" in lines


def test_picture_is_written_as_in_its_standard() -> None:
    """The picture has the parameters of the published example, apart from where it is shown.

    Source: RFC 7986, section 5.10
    (`IMAGE;VALUE=URI;DISPLAY=BADGE;FMTTYPE=image/png:http://example.com/images/party.png`);
    section 6.1 lists GRAPHIC among the values of DISPLAY.
    """
    lines = content_lines(make_event(picture_url="http://example.com/images/party.png"))
    published = (
        "IMAGE;VALUE=URI;DISPLAY=BADGE;FMTTYPE=image/png:http://example.com/images/party.png"
    )
    assert published.replace("BADGE", "GRAPHIC") in lines


def test_what_the_standard_demands_is_there() -> None:
    """Everything a calendar and an event must have is there once, and nothing twice.

    Source: RFC 5545, section 3.6 (PRODID and VERSION) and section 3.6.1 (UID and DTSTAMP, DTSTART
    without METHOD, and the list of what must not occur twice).
    """
    lines = content_lines(make_event(lat=1.0, lon=2.0, place="Meadow Lane"))
    names = [re.split("[;:]", line)[0] for line in lines]
    start = names.index("VERSION")
    assert sorted(names[start : start + 2]) == ["PRODID", "VERSION"]
    begin, end = lines.index("BEGIN:VEVENT"), lines.index("END:VEVENT")
    event = names[begin:end]
    assert {"UID", "DTSTAMP", "DTSTART"} <= set(event)
    for name in ("UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "LOCATION", "GEO",
                 "STATUS", "SEQUENCE", "TRANSP", "URL", "LAST-MODIFIED"):  # fmt: skip
        assert event.count(name) == 1


def test_a_change_outranks_what_was_sent_before() -> None:
    """A changed booking has the higher SEQUENCE, and of two alike the later DTSTAMP.

    Source: RFC 5546, section 2.1.5.
    """

    def rank(event: FeedEvent) -> tuple[int, datetime]:
        read = vobject.readOne("\r\n".join(content_lines(event))).vevent
        return int(read.sequence.value), read.dtstamp.value

    later = datetime(2026, 8, 2, tzinfo=UTC)
    first = make_event(sequence=9)
    assert rank(first) < rank(make_event(sequence=9, changed_at=later))
    assert rank(first) < rank(make_event(sequence=10))
