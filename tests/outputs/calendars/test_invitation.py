"""The calendar part of a mail: the feed's event, with a method and two people."""

from __future__ import annotations

import dataclasses
import itertools
from datetime import UTC, datetime
from typing import Any

import icalendar
import pytest
import vobject

from clubplanner.outputs.calendars.feed import FeedEvent, write_feed
from clubplanner.outputs.calendars.invitation import Mailbox, Method, method_for, write_invitation
from clubplanner.outputs.mails.mail import compose_mail
from tests.outputs.calendars.test_feed import (
    assert_well_formed,
    make_event,
    make_feed,
    unescape,
    unfold,
    values_of,
)
from tests.outputs.notices import (
    CLUB,
    COACH,
    DAY,
    HOUR,
    calendars_of,
    make_notice,
    moved,
    read_back,
)


@pytest.mark.parametrize("is_withdrawn", [False, True])
def test_the_calendar_part_has_one_method(is_withdrawn: bool) -> None:
    """The MIME method equals METHOD: CANCEL with STATUS:CANCELLED for what is off, else REQUEST.

    Sources: RFC 6047, section 2.4 (the parameter); RFC 5546, sections 3.2.2 and 3.2.5 (what each
    method must carry: one ORGANIZER, DTSTAMP, UID; SUMMARY, DTSTART and ATTENDEE in a REQUEST;
    SEQUENCE in a CANCEL).
    """
    ((method, content),) = calendars_of(read_back(make_notice(moved(is_withdrawn=is_withdrawn))))
    assert_well_formed(content)
    assert values_of(content, "METHOD") == [method] == ["CANCEL" if is_withdrawn else "REQUEST"]
    assert values_of(content, "STATUS") == ["CANCELLED" if is_withdrawn else "CONFIRMED"]
    read: Any = icalendar.Calendar.from_ical(content)
    (event,) = read.walk("VEVENT")
    for name in ("ORGANIZER", "ATTENDEE", "DTSTAMP", "UID", "SEQUENCE", "SUMMARY", "DTSTART"):
        assert len(values_of(content[content.index(b"BEGIN:VEVENT") :], name)) == 1
    assert str(event["ORGANIZER"]) == "mailto:secretary@club.example"
    assert event["ORGANIZER"].params["CN"] == "Millrace Sports Club"
    assert str(event["ATTENDEE"]) == "mailto:sam@mail.example"
    assert event["ATTENDEE"].params["CN"] == "Sam Ångström"
    assert event["ATTENDEE"].params["RSVP"] == "FALSE"


@pytest.mark.parametrize("is_withdrawn", [False, True])
def test_feed_and_mail_show_the_same_event(is_withdrawn: bool) -> None:
    """Apart from the two people every line of the event is the feed's, and the zone likewise."""
    event = make_event(is_withdrawn=is_withdrawn)
    content = write_invitation(event, "Europe/London", CLUB, COACH)
    feed = unfold(write_feed(make_feed(event)))
    mail = [line for line in unfold(content) if not line.startswith(("ORGANIZER", "ATTENDEE"))]
    assert mail[mail.index("BEGIN:VTIMEZONE") :] == feed[feed.index("BEGIN:VTIMEZONE") :]
    assert mail[: mail.index("BEGIN:VTIMEZONE")] == [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//clubplanner//Calendar feed//EN",
        "CALSCALE:GREGORIAN",
        f"METHOD:{method_for(event).value}",
    ]


def test_words_like_header_lines_stay_in_the_event() -> None:
    """A title that looks like a line about a feed is not taken out of the mail's event."""
    event = make_event(title="NAME:x", lines=("a" * 70 + "NAME:y", "REFRESH-INTERVAL:z"))
    content = write_invitation(event, "Europe/London", CLUB, COACH)
    assert [unescape(value) for value in values_of(content, "SUMMARY")] == ["NAME:x"]
    (description,) = map(unescape, values_of(content, "DESCRIPTION"))
    assert description.split("\n")[:2] == ["a" * 70 + "NAME:y", "REFRESH-INTERVAL:z"]


@pytest.mark.parametrize("words", ["CALSCALE:GREGORIAN", "END:VEVENT", "METHOD:CANCEL"])
def test_words_like_header_lines_at_the_end_of_a_folded_line_stay_there(words: str) -> None:
    """However far in they stand, METHOD comes once, before the event; all else stays as it is."""
    for before in range(76):
        event = make_event(title="x" * before + words + "y" * 80)
        content = write_invitation(event, "Europe/London", CLUB, COACH)
        lines = unfold(content)
        assert lines.index("METHOD:REQUEST") == lines.index("CALSCALE:GREGORIAN") + 1
        assert [line for line in lines if line.startswith("METHOD")] == ["METHOD:REQUEST"]
        assert values_of(content, "SUMMARY") == [event.title]
        assert lines[-3].startswith("ATTENDEE")
        assert lines[-2:] == ["END:VEVENT", "END:VCALENDAR"]


def test_signs_that_a_name_cannot_carry_are_put_otherwise() -> None:
    """Quotes, carets and backslashes become signs that look like them (RFC 6868 tells why)."""
    club = Mailbox('"Old" Mill ^2 \\ North', CLUB.address)
    lines = unfold(write_invitation(make_event(), "Europe/London", club, COACH))
    (told,) = [line for line in lines if line.startswith("ORGANIZER")]
    assert told == f"ORGANIZER;CN=\"'Old' Mill ˆ2 / North\":mailto:{CLUB.address}"


def test_who_is_told_takes_part_and_is_not_asked_to_answer() -> None:
    """The whole line, its parameters as in RFC 5545, sections 3.2.12, 3.2.16 and 3.2.17."""
    lines = unfold(write_invitation(make_event(), "Europe/London", CLUB, Mailbox("Sam", "s@b")))
    (told,) = [line for line in lines if line.startswith("ATTENDEE")]
    head, *parameters = told.removesuffix(":mailto:s@b").split(";")
    assert head == "ATTENDEE"
    assert sorted(parameters) == [
        "CN=Sam",
        "PARTSTAT=NEEDS-ACTION",
        "ROLE=REQ-PARTICIPANT",
        "RSVP=FALSE",
    ]


def test_a_zone_in_utc_is_mailed_too() -> None:
    """Where the zone has no description the event goes out in UTC, with people and method."""
    content = write_invitation(make_event(), "Africa/Cairo", CLUB, COACH)
    assert values_of(content, "DTSTART") == ["20260908T173000Z"]
    assert values_of(content, "METHOD") == ["REQUEST"]
    assert len(values_of(content, "ATTENDEE")) == 1


def test_feed_and_mails_in_any_order_end_alike() -> None:
    """Mails and feeds met in any order lead to the last state, by the rule for versions.

    Source: RFC 5546, section 2.1.5: the higher SEQUENCE, then the later DTSTAMP.
    """
    first = make_event(sequence=0)
    second = dataclasses.replace(
        first, starts_at=first.starts_at + DAY, ends_at=first.ends_at + DAY, sequence=1,
        changed_at=first.changed_at + HOUR,
    )  # fmt: skip
    third = dataclasses.replace(
        second, is_withdrawn=True, sequence=2, changed_at=second.changed_at + HOUR
    )
    met: list[bytes] = []
    for event in (first, second, third):
        met.append(write_feed(make_feed(event)))
        met.append(write_invitation(event, "Europe/London", CLUB, COACH))
    versions = [version_of(content) for content in met]
    for order in itertools.permutations(versions):
        assert max(order, key=lambda version: version[:2])[2:] == versions[-1][2:]
    assert versions[0] == versions[1]
    assert Method(values_of(met[-1], "METHOD")[0]) is Method.CANCEL


def version_of(content: bytes) -> tuple[int, datetime, str, datetime, str]:
    """Return rank and state of the event in a calendar, as vobject reads it."""
    (event,) = vobject.readOne(content.decode()).contents["vevent"]
    return (
        int(event.sequence.value),
        event.dtstamp.value,
        event.uid.value,
        event.dtstart.value.astimezone(UTC),
        event.status.value,
    )


def test_an_unknown_zone_is_refused() -> None:
    """A zone that does not exist is refused in words."""
    with pytest.raises(ValueError, match="There is no time zone called"):
        compose_mail(make_notice(zone="Europe/Nowhere"))


def test_events_are_those_of_the_feed() -> None:
    """The change carries the feed's own event, nothing in between could differ."""
    event: FeedEvent = moved().event
    ((_, content),) = calendars_of(read_back(make_notice()))
    assert values_of(content, "UID") == [event.uid]
    assert values_of(content, "SEQUENCE") == [str(event.sequence)]
