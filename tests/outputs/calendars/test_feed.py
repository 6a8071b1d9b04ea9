"""Tests of the calendar feed: bytes out, read back by readers that share no code with it."""

from __future__ import annotations

import dataclasses
import re
from datetime import UTC, date, datetime, time, timedelta
from time import tzset
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest
import recurring_ical_events
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.outputs.calendars import feed as feed_module
from clubplanner.outputs.calendars.feed import Feed, FeedEvent, feed_digest, write_feed

ZONES = (
    "Europe/London",
    "Europe/Dublin",
    "America/New_York",
    "Australia/Sydney",
    "Pacific/Chatham",
)
SEASON = (date(2026, 2, 3), date(2027, 5, 4))
"""From a Tuesday to a Tuesday, across three clock changes in every zone above."""
HOSTILE = (
    "U12 Kestrels\r\nEND:VEVENT\r\nBEGIN:VEVENT\r\nSUMMARY:Free beer",
    "semi;colon, comma: \"quote\" 'single' ^caret ^n",
    "back\\slash C:\\North \\n \\, \\;",
    "👨‍👩‍👧‍👦🏴󠁧󠁢󠁳󠁣󠁴󠁿🇮🇪 Kestrels 🏑",
    "נערים U12 \u202eegdirb\u202c 3 فريق",
    "\x00\x01\x07bell\x1b[31m\x7f\x85next\u2028line\u2029par\x0bvt\x0cff",
    "half \ud83d a pair",
    "Ü" * 10_000,
    "e\u0301" * 10_000,
    "a" + "\u0301" * 10_000,
    "👨‍👩‍👧‍👦" * 2_000,
    "word " * 2_000,
    "",
    " \t\r\n ",
)


def make_event(**changes: Any) -> FeedEvent:
    """Build an event; what is not said is a training session."""
    values: dict[str, Any] = {
        "uid": "booking-17@club.example",
        "sequence": 2,
        "starts_at": datetime(2026, 9, 8, 17, 30, tzinfo=UTC),
        "ends_at": datetime(2026, 9, 8, 19, 0, tzinfo=UTC),
        "changed_at": datetime(2026, 8, 1, 9, 5, 7, tzinfo=UTC),
        "is_withdrawn": False,
        "title": "U12 Kestrels: north third",
        "place": "Meadow Lane, main pitch, north third",
        "lon": -1.234567,
        "lat": 52.5,
        "lines": ("North third, clubhouse end", "33 × 60 m"),
        "url": "https://club.example/b/17",
        "picture_url": "https://club.example/b/17.png",
    }
    return FeedEvent(**(values | changes))


def make_feed(*events: FeedEvent, **changes: Any) -> Feed:
    """Build a feed of some events."""
    values: dict[str, Any] = {
        "name": "U12 Kestrels",
        "zone": "Europe/London",
        "source_url": "https://club.example/feed/abc.ics",
        "events": events,
        "colour": "seagreen",
    }
    return Feed(**(values | changes))


def unfold(content: bytes) -> list[str]:
    """Undo the folding of RFC 5545, section 3.1, and return the content lines."""
    assert content.endswith(b"\r\n")
    return content.decode().removesuffix("\r\n").replace("\r\n ", "").split("\r\n")


def values_of(content: bytes, name: str) -> list[str]:
    """Return the raw values of a property, with parameters dropped."""
    lines = (line for line in unfold(content) if re.match(rf"{re.escape(name)}[;:]", line))
    quoted = r'(?:[^":]|"[^"]*")*'
    return [re.sub(rf"\A{quoted}:", "", line, count=1) for line in lines]


def unescape(value: str) -> str:
    """Read a TEXT value from left to right, one escape at a time (RFC 5545, section 3.3.11)."""
    meanings = {"n": "\n", "N": "\n"}
    return re.sub(r"\\(.)", lambda found: meanings.get(found[1], found[1]), value)


def assert_well_formed(content: bytes) -> None:
    """Check what every content line must keep to."""
    assert content.count(b"\r") == content.count(b"\n") == content.count(b"\r\n")
    for line in content.split(b"\r\n"):
        assert len(line) <= 75
        text = line.decode("utf-8")  # fails if folding cut a character in two
        assert not re.search("[\x00-\x1f\x7f-\x9f\u2028\u2029]", text)
    names = [line.partition(":")[0].partition(";")[0] for line in unfold(content)]
    assert all(re.fullmatch(r"[A-Z-]+", name) for name in names)


def instants_by_icalendar(content: bytes) -> dict[str, tuple[datetime, datetime]]:
    """Read the events with icalendar, which takes the zone from Python's database."""
    events: list[Any] = list(icalendar.Calendar.from_ical(content).walk("VEVENT"))
    return {
        str(event["UID"]): (event.start.astimezone(UTC), event.end.astimezone(UTC))
        for event in events
    }


def instants_by_recurring(content: bytes) -> dict[str, tuple[datetime, datetime]]:
    """Read the events with recurring_ical_events, over a stretch of years."""
    found = recurring_ical_events.of(icalendar.Calendar.from_ical(content)).between(
        datetime(2000, 1, 1, tzinfo=UTC), datetime(2040, 1, 1, tzinfo=UTC)
    )
    return {
        str(e["UID"]): (e["DTSTART"].dt.astimezone(UTC), e["DTEND"].dt.astimezone(UTC))
        for e in found
    }


def instants_by_vobject(content: bytes) -> dict[str, tuple[datetime, datetime]]:
    """Read the events with vobject, which takes the zone from the file's own description."""
    vobject.icalendar.__tzidMap = {"UTC": vobject.icalendar.utc}  # it remembers zones by name
    events = vobject.readOne(content.decode()).contents.get("vevent", [])
    for event in events:
        # Its own zones come from dateutil; others would be the machine's.
        assert type(event.dtstart.value.tzinfo).__module__.startswith("dateutil.tz")
    return {
        event.uid.value: (
            event.dtstart.value.astimezone(UTC),
            event.dtend.value.astimezone(UTC),
        )
        for event in events
    }


READERS = (instants_by_icalendar, instants_by_recurring, instants_by_vobject)


def season_events(zone: str) -> list[FeedEvent]:
    """Return a session each Tuesday from 18:30 to 20:00 on the wall."""
    info = ZoneInfo(zone)
    weeks = (SEASON[1] - SEASON[0]).days // 7
    days = [SEASON[0] + timedelta(weeks=week) for week in range(weeks)]
    return [
        make_event(
            uid=f"{day}@club.example",
            starts_at=datetime.combine(day, time(18, 30), info),
            ends_at=datetime.combine(day, time(20), info),
        )
        for day in days
    ]


def change_nights(zone: str) -> list[datetime]:
    """Return the hours in 2026 just before which the clocks of a zone change."""
    info = ZoneInfo(zone)
    hours = [datetime(2026, 1, 1, tzinfo=UTC) + timedelta(hours=h) for h in range(365 * 24)]
    hour = timedelta(hours=1)
    return [
        h
        for h in hours
        if (h - hour).astimezone(info).utcoffset() != h.astimezone(info).utcoffset()
    ]


def night_events(zone: str) -> list[FeedEvent]:
    """Return events of 40 minutes every 20 minutes, through both nights of the clock changes."""
    step = timedelta(minutes=20)
    starts = [night + step * k for night in change_nights(zone) for k in range(-15, 16)]
    return [
        make_event(uid=f"{start:%m%dT%H%M}@club.example", starts_at=start, ends_at=start + 2 * step)
        for start in starts
    ]


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("read", READERS)
def test_readers_find_the_same_instants(zone: str, read: Any) -> None:
    """Three readers find every instant of a season and of both nights of the clock changes."""
    events = season_events(zone) + night_events(zone)
    assert len(change_nights(zone)) == 2
    expected = {e.uid: (e.starts_at.astimezone(UTC), e.ends_at.astimezone(UTC)) for e in events}
    assert read(write_feed(make_feed(*events, zone=zone))) == expected


@pytest.mark.parametrize("zone", ZONES)
def test_a_weekly_session_keeps_its_wall_clock_time(zone: str) -> None:
    """Half past six stays half past six in the file, summer and winter."""
    content = write_feed(make_feed(*season_events(zone), zone=zone))
    lines = [line for line in unfold(content) if line.startswith("DTSTART;")]
    assert len(lines) == 65
    assert all(re.fullmatch(rf"DTSTART;TZID={zone}:\d{{8}}T183000", line) for line in lines)


def test_the_hour_shown_twice_is_written_in_utc() -> None:
    """An event with an end in the doubled hour has both ends in UTC; its neighbours have none."""
    back = datetime(2026, 10, 25, 1, tzinfo=UTC)
    half = timedelta(minutes=30)
    written = {}
    for steps in (-4, -3, -1, 0, 1, 2):
        start = back + steps * half
        content = write_feed(make_feed(make_event(starts_at=start, ends_at=start + half)))
        ends = (values_of(content, "DTSTART")[-1], values_of(content, "DTEND")[-1])
        written[steps] = [value.endswith("Z") for value in ends]
    assert written == {
        -4: [False, False],
        -3: [True, True],
        -1: [True, True],
        0: [True, True],
        1: [True, True],
        2: [False, False],
    }


def test_a_zone_without_description_goes_out_in_utc() -> None:
    """Where no rule describes the zone there is no VTIMEZONE, and readers still agree."""
    event = make_event()
    content = write_feed(make_feed(event, zone="Africa/Cairo"))
    assert b"VTIMEZONE" not in content
    assert values_of(content, "DTSTART") == ["20260908T173000Z"]
    for read in READERS:
        assert read(content) == {event.uid: (event.starts_at, event.ends_at)}


def test_an_unknown_zone_is_refused() -> None:
    """A feed in a zone that does not exist is refused in words."""
    with pytest.raises(ValueError, match="There is no time zone called"):
        write_feed(make_feed(make_event(), zone="Europe/Nowhere"))


EXPECTED_FEED = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//clubplanner//Calendar feed//EN
CALSCALE:GREGORIAN
NAME:U12 Kestrels
X-WR-CALNAME:U12 Kestrels
REFRESH-INTERVAL;VALUE=DURATION:PT4H
X-PUBLISHED-TTL:PT4H
SOURCE;VALUE=URI:https://club.example/feed/abc.ics
COLOR:seagreen
BEGIN:VTIMEZONE
TZID:Europe/London
BEGIN:STANDARD
DTSTART:19701025T020000
RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=10
TZOFFSETFROM:+0100
TZOFFSETTO:+0000
TZNAME:GMT
END:STANDARD
BEGIN:DAYLIGHT
DTSTART:19700329T010000
RRULE:FREQ=YEARLY;BYDAY=-1SU;BYMONTH=3
TZOFFSETFROM:+0000
TZOFFSETTO:+0100
TZNAME:BST
END:DAYLIGHT
END:VTIMEZONE
BEGIN:VEVENT
UID:booking-17@club.example
SEQUENCE:2
DTSTAMP:20260801T090507Z
LAST-MODIFIED:20260801T090507Z
DTSTART;TZID=Europe/London:20260908T183000
DTEND;TZID=Europe/London:20260908T200000
SUMMARY:U12 Kestrels: north third
STATUS:CONFIRMED
TRANSP:OPAQUE
LOCATION:Meadow Lane\\, main pitch\\, north third
GEO:52.500000;-1.234567
X-APPLE-STRUCTURED-LOCATION;VALUE=URI;X-TITLE="Meadow Lane, main pitch, north third":geo:52.500000,-1.234567
DESCRIPTION:North third\\, clubhouse end\\n33 × 60 m\\nhttps://club.example/b/17
URL:https://club.example/b/17
ATTACH;FMTTYPE=image/png:https://club.example/b/17.png
IMAGE;VALUE=URI;DISPLAY=GRAPHIC;FMTTYPE=image/png:https://club.example/b/17.png
END:VEVENT
END:VCALENDAR"""  # noqa: E501 - one content line is one line


def test_the_bytes_are_those_of_this_layout() -> None:
    """A known feed gives known lines; whoever changes them raises LAYOUT with them."""
    content = write_feed(make_feed(make_event()))
    assert unfold(content) == EXPECTED_FEED.split("\n")
    assert feed_module.LAYOUT == 4


def test_a_withdrawn_booking_stays_cancelled() -> None:
    """It leaves the time free; its words are those that it is given."""
    content = write_feed(make_feed(make_event(is_withdrawn=True)))
    assert values_of(content, "STATUS") == ["CANCELLED"]
    assert values_of(content, "TRANSP") == ["TRANSPARENT"]
    assert values_of(content, "SUMMARY") == ["U12 Kestrels: north third"]
    assert values_of(content, "UID") == ["booking-17@club.example"]


def test_a_reminder_shows_before_each_booking_that_stands() -> None:
    """One DISPLAY alarm an event (RFC 5545, section 3.6.6); a withdrawn one reminds nobody."""
    gone = make_event(uid="gone@club.example", is_withdrawn=True)
    content = write_feed(make_feed(make_event(), gone, reminder_minutes=90))
    events = icalendar.Calendar.from_ical(content).walk("VEVENT")
    alarms = {str(event["UID"]): event.walk("VALARM") for event in events}
    assert alarms.pop("gone@club.example") == []
    alarm: Any = next(iter(alarms.values()))[0]
    assert (alarm["ACTION"], alarm["TRIGGER"].dt) == ("DISPLAY", timedelta(minutes=-90))
    assert alarm["DESCRIPTION"] == "U12 Kestrels: north third"
    assert b"VALARM" not in write_feed(make_feed(make_event()))
    for minutes in (-1, 10_081):
        with pytest.raises(ValueError, match="a week at most"):
            make_feed(reminder_minutes=minutes)


def test_a_feed_carries_no_method() -> None:
    """METHOD belongs to mail and never to a feed."""
    assert not values_of(write_feed(make_feed(make_event())), "METHOD")


@pytest.mark.parametrize(
    ("zone", "tzid"), [("Europe/London", "Europe/London"), ("Asia/Gaza", "Etc/UTC")]
)
def test_an_empty_feed_is_still_a_calendar(zone: str, tzid: str) -> None:
    """Without events there is one component, a time zone, as the grammar wants at least one."""
    content = write_feed(make_feed(zone=zone))
    (component,) = icalendar.Calendar.from_ical(content).subcomponents
    assert component["TZID"] == tzid
    assert instants_by_vobject(content) == {}


def test_what_is_not_known_is_left_out() -> None:
    """Without position, picture, place, colour or address of its own a feed has no such lines."""
    event = make_event(lon=None, lat=None, picture_url=None, place="", lines=())
    content = write_feed(make_feed(event, source_url=None, colour=None))
    for name in ("GEO", "X-APPLE-STRUCTURED-LOCATION", "ATTACH", "IMAGE", "LOCATION", "SOURCE",
                 "COLOR"):  # fmt: skip
        assert not values_of(content, name)
    assert values_of(content, "DESCRIPTION") == [event.url]


def test_the_address_is_not_said_twice() -> None:
    """A description that names the page already gets no second line for it."""
    content = write_feed(make_feed(make_event(lines=("Plan: https://club.example/b/17",))))
    assert values_of(content, "DESCRIPTION") == ["Plan: https://club.example/b/17"]


@pytest.mark.parametrize("text", HOSTILE)
@pytest.mark.parametrize("is_withdrawn", [False, True])
def test_hostile_texts_stay_inside_their_line(text: str, is_withdrawn: bool) -> None:
    """Whatever a person types, there is one well-formed event, and readers see one title."""
    event = make_event(title=text, place=text, lines=(text, text), is_withdrawn=is_withdrawn)
    content = write_feed(make_feed(event, name=text))
    assert_well_formed(content)
    assert len(content) < 20_000
    (title,) = map(unescape, values_of(content, "SUMMARY"))
    assert "\n" not in title
    read = vobject.readOne(content.decode())
    assert [e.summary.value for e in read.contents["vevent"]] == [title]
    assert len(icalendar.Calendar.from_ical(content).walk("VEVENT")) == 1


@pytest.mark.parametrize("text", HOSTILE)
def test_title_and_location_of_the_map_are_the_same(text: str) -> None:
    """LOCATION and X-TITLE are equal to the letter for two readers, or no map would show."""
    content = write_feed(make_feed(make_event(place=text)))
    places = [unescape(value) for value in values_of(content, "LOCATION")]
    (read,) = vobject.readOne(content.decode()).contents["vevent"]
    titles = [
        line.params["X-TITLE"][0] for line in read.contents.get("x-apple-structured-location", ())
    ]
    assert titles == places
    (event,) = icalendar.Calendar.from_ical(content).walk("VEVENT")
    if places:
        assert event["X-APPLE-STRUCTURED-LOCATION"].params["X-TITLE"] == places[0]
    assert bool(places) == bool(text.strip())


@settings(max_examples=50, deadline=None)
@given(
    title=st.text(),
    place=st.text(),
    lines=st.lists(st.text(), max_size=3).map(tuple),
    name=st.text(max_size=120),
)
def test_any_text_survives(title: str, place: str, lines: tuple[str, ...], name: str) -> None:
    """All visible characters of any title and description come back, and nothing breaks out."""
    content = write_feed(make_feed(make_event(title=title, place=place, lines=lines), name=name))
    assert_well_formed(content)
    assert [len(values_of(content, p)) for p in ("SUMMARY", "UID", "DESCRIPTION")] == [1, 1, 1]
    (read,) = map(unescape, values_of(content, "SUMMARY"))
    if title.isprintable() and title.strip() and len(title) <= feed_module.TITLE_LIMIT:
        assert read.split() == title.split()
    (description,) = map(unescape, values_of(content, "DESCRIPTION"))
    for line in lines:
        if line.isprintable() and line.strip():
            assert " ".join(line.split()) in " ".join(description.split())
    vobject.readOne(content.decode())


def test_backslashes_come_back() -> None:
    """A backslash before any letter is a backslash to a reader, not a line break."""
    text = "C:\\North, \\new; \\\\double"
    content = write_feed(make_feed(make_event(title=text)))
    assert [unescape(value) for value in values_of(content, "SUMMARY")] == [text]
    assert vobject.readOne(content.decode()).vevent.summary.value == text


def test_long_texts_end_at_their_limits() -> None:
    """Names, titles, places and lines are cut to their limits, and say so with "…"."""
    long = "Ü" * 10_000
    event = make_event(title=long, place=long, lines=(long,) * 100)
    content = write_feed(make_feed(event, name=long))
    lengths = {
        "NAME": feed_module.NAME_LIMIT,
        "SUMMARY": feed_module.TITLE_LIMIT,
        "LOCATION": feed_module.PLACE_LIMIT,
    }
    for name, limit in lengths.items():
        (value,) = values_of(content, name)
        assert value == "Ü" * (limit - 1) + "…"
    (description,) = map(unescape, values_of(content, "DESCRIPTION"))
    lines = description.split("\n")
    assert lines[-2:] == ["…", event.url]
    assert len(lines) == feed_module.LINES_LIMIT + 2
    assert {len(line) for line in lines[:-2]} == {feed_module.LINE_LIMIT}


@pytest.mark.parametrize("shift", range(9))
def test_a_cut_keeps_emoji_and_accents_whole(shift: int) -> None:
    """Wherever the limit falls, no family of emoji and no accented letter is cut in two."""
    family, accented, thumb = "👨‍👩‍👧‍👦", "e\u0301", "👍🏽"
    for whole in (family, accented, thumb):
        content = write_feed(make_feed(make_event(title="x" * shift + whole * 300)))
        (title,) = values_of(content, "SUMMARY")
        assert len(title) <= feed_module.TITLE_LIMIT
        rest = title.removesuffix("…")[shift:]
        assert rest == whole * (len(rest) // len(whole))


def test_a_letter_under_a_heap_of_accents_is_not_lost() -> None:
    """A single letter with more accents than fit keeps the letter and as many as do."""
    content = write_feed(make_feed(make_event(title="a" + "\u0301" * 10_000)))
    wanted = "a" + "\u0301" * (feed_module.TITLE_LIMIT - 2) + "…"
    assert values_of(content, "SUMMARY") == [wanted]


def test_a_name_cannot_turn_round_the_words_after_it() -> None:
    """Controls that change the direction of later text go; right-to-left letters stay."""
    title = "\u202e\u2067נערים\u2069 U12\u202c \u200fفريق"
    content = write_feed(make_feed(make_event(title=title)))
    assert values_of(content, "SUMMARY") == ["נערים U12 \u200fفريق"]


def test_empty_names_get_a_plain_one() -> None:
    """A nameless feed and an untitled event are still called something."""
    content = write_feed(make_feed(make_event(title=" \n"), name="\x07"))
    assert values_of(content, "NAME") == values_of(content, "X-WR-CALNAME") == ["Calendar"]
    assert values_of(content, "SUMMARY") == ["Booking"]
    reminding = write_feed(make_feed(make_event(title=" \n", lines=()), reminder_minutes=5))
    assert values_of(reminding, "DESCRIPTION")[1:] == ["Booking"]


@pytest.mark.parametrize(
    ("lon", "lat", "geo"),
    [
        (0.0000001, -0.0000001, "0.000000;0.000000"),
        (-180, 90, "90.000000;-180.000000"),
        (0.00001, 1e-06, "0.000001;0.000010"),
    ],
)
def test_positions_are_plain_decimals(lon: float, lat: float, geo: str) -> None:
    """Latitude comes first, with six decimals, never with an exponent."""
    content = write_feed(make_feed(make_event(lon=lon, lat=lat)))
    assert values_of(content, "GEO") == [geo]
    assert values_of(content, "X-APPLE-STRUCTURED-LOCATION") == ["geo:" + geo.replace(";", ",")]


def test_the_order_of_events_does_not_matter() -> None:
    """Events given in any order make the same bytes and the same digest."""
    events = night_events("Europe/London")
    there, back = make_feed(*events), make_feed(*reversed(events))
    assert write_feed(there) == write_feed(back)
    assert feed_digest(there) == feed_digest(back)


def test_events_come_in_the_order_of_their_times() -> None:
    """The file lists the earliest event first, whatever the uids."""
    late = make_event(uid="a")
    day = timedelta(days=1)
    early = make_event(uid="b", starts_at=late.starts_at - day, ends_at=late.ends_at - day)
    assert values_of(write_feed(make_feed(late, early)), "UID") == ["b", "a"]


def test_the_zone_an_instant_is_given_in_does_not_matter() -> None:
    """The same instants given in another zone make the same bytes and the same digest."""
    event = make_event()
    other = ZoneInfo("Asia/Tokyo")
    moved = dataclasses.replace(
        event,
        starts_at=event.starts_at.astimezone(other),
        ends_at=event.ends_at.astimezone(other),
        changed_at=event.changed_at.astimezone(other),
    )
    assert write_feed(make_feed(moved)) == write_feed(make_feed(event))
    assert feed_digest(make_feed(moved)) == feed_digest(make_feed(event))


def test_the_machines_own_zone_does_not_matter(monkeypatch: pytest.MonkeyPatch) -> None:
    """A server in Tokyo writes the bytes, and gives the digest, of one in Greenwich."""
    feed = make_feed(make_event())
    before = write_feed(feed), feed_digest(feed)
    with monkeypatch.context() as elsewhere:
        elsewhere.setenv("TZ", "Asia/Tokyo")
        tzset()
        try:
            assert (write_feed(feed), feed_digest(feed)) == before
        finally:
            elsewhere.undo()
            tzset()


def test_parts_of_a_second_are_dropped() -> None:
    """Microseconds make no difference to the bytes and do not push a time into UTC."""
    event = make_event(changed_at=datetime(2026, 8, 1, 9, 5, 7, 999_999, tzinfo=UTC))
    event = dataclasses.replace(event, starts_at=event.starts_at.replace(microsecond=5))
    assert write_feed(make_feed(event)) == write_feed(make_feed(make_event()))


EVENT_CHANGES: dict[str, Any] = {
    "uid": "booking-18@club.example",
    "sequence": 3,
    "starts_at": datetime(2026, 9, 8, 17, 31, tzinfo=UTC),
    "ends_at": datetime(2026, 9, 8, 19, 1, tzinfo=UTC),
    "changed_at": datetime(2026, 8, 1, 9, 5, 8, tzinfo=UTC),
    "is_withdrawn": True,
    "title": "U13 Kestrels: north third",
    "place": "Elsewhere",
    "lon": -1.234568,
    "lat": 52.500001,
    "lines": ("North third, clubhouse end", "33 × 61 m"),
    "url": "https://club.example/b/18",
    "picture_url": None,
}
FEED_CHANGES: dict[str, Any] = {
    "name": "U13 Kestrels",
    "description": "Ended in March.",
    "zone": "Europe/Dublin",
    "source_url": None,
    "events": (),
    "refresh_hours": 5,
    "colour": None,
    "reminder_minutes": 60,
}


def test_every_field_changes_bytes_and_digest() -> None:
    """No field can change without the digest changing with the bytes."""
    assert set(EVENT_CHANGES) == {field.name for field in dataclasses.fields(FeedEvent)}
    assert set(FEED_CHANGES) == {field.name for field in dataclasses.fields(Feed)}
    feeds = [make_feed(make_event())]
    feeds += [make_feed(make_event(**{name: new})) for name, new in EVENT_CHANGES.items()]
    feeds += [make_feed(make_event(), **{name: new}) for name, new in FEED_CHANGES.items()]
    assert len({write_feed(feed) for feed in feeds}) == len(feeds)
    assert len({feed_digest(feed) for feed in feeds}) == len(feeds)


@pytest.mark.parametrize("name", ["LAYOUT", "DATA_RELEASE"])
def test_the_digest_knows_how_the_bytes_were_made(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another layout or another release of the time zones gives another digest."""
    before = feed_digest(make_feed(make_event()))
    monkeypatch.setattr(feed_module, name, "2099z")
    assert feed_digest(make_feed(make_event())) != before


def test_the_digest_stands_for_any_text() -> None:
    """Even half a surrogate pair can be hashed, and a digest is 64 hexadecimal digits."""
    assert re.fullmatch("[0-9a-f]{64}", feed_digest(make_feed(make_event(title="\ud83d"))))


def test_addresses_stay_out_of_messages() -> None:
    """Neither the printed form of a feed nor a refusal repeats an address, which may be secret."""
    feed = make_feed(make_event(), source_url="https://club.example/feed/secret.ics")
    assert "https://" not in repr(feed)
    with pytest.raises(ValueError, match="starts with http") as refusal:
        make_event(url="gopher://secret")
    assert "secret" not in str(refusal.value)


NAIVE = datetime(2026, 9, 8, 18)  # noqa: DTZ001 - the fault under test


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"uid": ""}, "uid of 1 to 255"),
        ({"uid": "a b"}, "uid of 1 to 255"),
        ({"uid": "x\r\nATTENDEE:y"}, "uid of 1 to 255"),
        ({"uid": "x" * 256}, "uid of 1 to 255"),
        ({"sequence": -1}, "count the sequence from 0"),
        ({"starts_at": NAIVE}, "with a zone"),
        ({"ends_at": NAIVE}, "with a zone"),
        ({"changed_at": NAIVE}, "with a zone"),
        ({"ends_at": datetime(2026, 9, 8, 17, 30, 0, 500, tzinfo=UTC)}, "end after it starts"),
        ({"lon": None}, "both longitude and latitude"),
        ({"lat": None}, "both longitude and latitude"),
        ({"lat": 90.1}, "latitude within"),
        ({"lat": -90.1}, "latitude within"),
        ({"lon": 180.1}, "longitude within"),
        ({"lon": -180.1}, "longitude within"),
        ({"lon": float("nan")}, "longitude within"),
        ({"url": ""}, "starts with http"),
        ({"url": "javascript:alert(1)"}, "starts with http"),
        ({"url": "https://club.example/a b"}, "starts with http"),
        ({"url": "https://club.example/\r\nX:1"}, "starts with http"),
        ({"url": "https://club.example/\n"}, "starts with http"),
        ({"url": "https://club.example/ü"}, "starts with http"),
        ({"picture_url": "https://club.example/" + "x" * 2000}, "at most 2000 characters"),
        ({"url": "https://club.example/" + "x" * 1980}, "at most 2000 characters"),
        ({"picture_url": "ftp://club.example/1.png"}, "starts with http"),
    ],
)
def test_faulty_events_are_refused(changes: dict[str, Any], words: str) -> None:
    """An event no calendar could carry is refused with what to do."""
    with pytest.raises(ValueError, match=words):
        make_event(**changes)


def test_a_refusal_says_which_event_or_that_it_is_the_feed() -> None:
    """By its uid, so that one among hundreds is found."""
    with pytest.raises(ValueError, match=r"^Event x@y: give both longitude"):
        make_event(uid="x@y", lon=None)
    with pytest.raises(ValueError, match=r"^Event x@y: give longitude within"):
        make_event(uid="x@y", lon=181)
    with pytest.raises(ValueError, match=r"^Event x@y: give an address that starts"):
        make_event(uid="x@y", url="gopher://x")
    with pytest.raises(ValueError, match=r"^Event x@y: let it end"):
        make_event(uid="x@y", ends_at=datetime(2026, 9, 8, 17, 30, tzinfo=UTC))
    with pytest.raises(ValueError, match=r"^Feed: give an address that starts"):
        make_feed(source_url="gopher://x")


@pytest.mark.parametrize(
    "changes",
    [
        {"uid": "!"},
        {"uid": "~" * 255},
        {"sequence": 0},
        {"ends_at": datetime(2026, 9, 8, 17, 30, 1, tzinfo=UTC)},
        {"lon": 180, "lat": 90},
        {"lon": -180, "lat": -90},
        {"url": "http://!"},
        {"url": "https://club.example/" + "~" * 1979},
    ],
)
def test_events_at_the_edge_of_what_is_allowed_are_taken(changes: dict[str, Any]) -> None:
    """The last value that is allowed goes out as it is."""
    content = write_feed(make_feed(make_event(**changes)))
    assert_well_formed(content)
    event = make_event(**changes)
    assert values_of(content, "UID") == [event.uid]
    assert values_of(content, "URL") == [event.url]
    assert values_of(content, "SEQUENCE") == [str(event.sequence)]


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"refresh_hours": 1}, "REFRESH-INTERVAL;VALUE=DURATION:PT1H"),
        ({"refresh_hours": 168}, "REFRESH-INTERVAL;VALUE=DURATION:PT168H"),
        ({"colour": "red"}, "COLOR:red"),
        ({"colour": "lightgoldenrodyellow"}, "COLOR:lightgoldenrodyellow"),
        ({"reminder_minutes": 0}, "TRIGGER:-PT0M"),
        ({"reminder_minutes": 10_080}, "TRIGGER:-PT10080M"),
    ],
)
def test_feeds_at_the_edge_of_what_is_allowed_are_taken(changes: dict[str, Any], line: str) -> None:
    """An hour and a week of hours, the shortest and the longest colour, no time and a week."""
    assert line in unfold(write_feed(make_feed(make_event(), **changes)))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"reminder_minutes": -1}, "Remind 0 to 10,080 minutes"),
        ({"reminder_minutes": 10_081}, "Remind 0 to 10,080 minutes"),
        ({"colour": "ab"}, "CSS name"),
        ({"colour": "a" * 21}, "CSS name"),
        ({"refresh_hours": 0}, "1 to 168 hours"),
        ({"refresh_hours": 169}, "1 to 168 hours"),
        ({"colour": "#2e8b57"}, "CSS name"),
        ({"colour": "sea green"}, "CSS name"),
        ({"colour": "red\n"}, "CSS name"),
        ({"source_url": "webcal://club.example/feed.ics"}, "starts with http"),
        ({"events": (make_event(), make_event(title="Another"))}, "uid of its own"),
    ],
)
def test_faulty_feeds_are_refused(changes: dict[str, Any], words: str) -> None:
    """A feed no calendar could carry is refused with what to do."""
    with pytest.raises(ValueError, match=words):
        make_feed(**changes)


def test_limits_are_those_the_manual_of_the_feed_gives() -> None:
    """In figures: 100 for a name, 200 for a title and a place, 60 lines of 1000."""
    long = make_event(title="t" * 999, place="p" * 999, lines=("l" * 9999,) * 99)
    content = write_feed(make_feed(long, name="n" * 999))
    assert len(values_of(content, "NAME")[0]) == 100
    assert len(values_of(content, "SUMMARY")[0]) == 200
    assert len(values_of(content, "LOCATION")[0]) == 200
    lines = unescape(values_of(content, "DESCRIPTION")[0]).split("\n")
    assert [len(line) for line in lines[:60]] == [1000] * 60
    assert lines[60:] == ["…", long.url]
    just = make_event(lines=("l",) * 60)
    (told,) = values_of(write_feed(make_feed(just)), "DESCRIPTION")
    assert unescape(told).split("\n") == ["l"] * 60 + [just.url]


def test_signs_that_a_map_cannot_carry_are_put_otherwise() -> None:
    """Quotes, carets and backslashes of a place become signs that look like them."""
    content = write_feed(make_feed(make_event(place='"Old" ground ^2 \\ north')))
    (place,) = values_of(content, "LOCATION")
    assert place == "'Old' ground ˆ2 / north"
