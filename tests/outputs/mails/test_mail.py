"""Tests of mails about changes: composed, sent through the wire form, and read back by others."""

from __future__ import annotations

import dataclasses
import email
import itertools
import re
from datetime import UTC, datetime, timedelta
from email import policy
from email.header import decode_header, make_header
from email.message import EmailMessage
from email.utils import parseaddr
from html.parser import HTMLParser
from typing import Any

import icalendar
import pytest
import vobject
from hypothesis import given, settings
from hypothesis import strategies as st

from clubplanner.outputs.calendars.feed import FeedEvent, write_feed
from clubplanner.outputs.calendars.invitation import Mailbox, Method, method_for, write_invitation
from clubplanner.outputs.mails import mail as mail_module
from clubplanner.outputs.mails.mail import Notice, compose_mail
from clubplanner.outputs.mails.mail_words import ChangeNotice, Holding
from clubplanner.outputs.plain_text import one_line
from tests.outputs.calendars.test_feed import (
    HOSTILE,
    assert_well_formed,
    make_event,
    make_feed,
    unescape,
    unfold,
    values_of,
)

CLUB = Mailbox("Millrace Sports Club", "secretary@club.example")
COACH = Mailbox("Sam Ångström", "sam@mail.example")
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
NORTH = "North third of Main pitch, Meadow Lane"
SOUTH = "South third of Main pitch, Meadow Lane"


def moved(**changes: Any) -> ChangeNotice:
    """Build a change: the session of 18:30 on a Tuesday was at 17:30 on other ground."""
    event = make_event(**changes)
    was = Holding(event.starts_at - HOUR, event.ends_at - HOUR, SOUTH)
    return ChangeNotice(event, NORTH, was)


def make_notice(*changes: ChangeNotice, **values: Any) -> Notice:
    """Build a notice of some changes, or of one move."""
    given_values: dict[str, Any] = {
        "squad_name": "U12 Kestrels",
        "sender": CLUB,
        "recipient": COACH,
        "zone": "Europe/London",
        "changes": changes or (moved(),),
        "page_url": "https://club.example/ground/abc",
        "mail_off_url": "https://club.example/mail-off/def",
        "message_id": "<notice-17@club.example>",
        "sent_at": datetime(2026, 9, 7, 20, 15, tzinfo=UTC),
    }
    return Notice(**(given_values | values))


def wire_of(notice: Notice) -> bytes:
    """Compose a mail, write it as it goes over the wire, and check its lines."""
    content = compose_mail(notice).as_bytes()
    assert content.isascii()
    assert content.count(b"\r") == content.count(b"\n") == content.count(b"\r\n")
    assert max(map(len, content.split(b"\r\n"))) <= 998
    return content


def read_back(notice: Notice) -> EmailMessage:
    """Compose a mail and parse it anew from the wire."""
    read = email.message_from_bytes(wire_of(notice), policy=policy.default)
    assert isinstance(read, EmailMessage)
    for part in read.walk():
        assert not part.defects
    return read


def name_in(notice: Notice, header: str) -> str:
    """Return the name in an address header, its encoded words decoded by the older decoder.

    The newer one of Python 3.11 leaves blanks between the pieces of a name (RFC 2047, 6.2).
    """
    older = email.message_from_bytes(wire_of(notice), policy=policy.compat32)
    name, address = parseaddr(" ".join(str(older[header]).split()))
    assert address in {CLUB.address, COACH.address, "a@b.example"}
    return str(make_header(decode_header(name)))


def parts_of(message: EmailMessage) -> dict[str, list[EmailMessage]]:
    """Return the leaves of a mail by their type."""
    found: dict[str, list[EmailMessage]] = {}
    for part in message.walk():
        if not part.is_multipart():
            found.setdefault(part.get_content_type(), []).append(part)
    return found


def calendars_of(message: EmailMessage) -> list[tuple[str, bytes]]:
    """Return MIME method and content of each calendar part."""
    parts = parts_of(message).get("text/calendar", [])
    found = [(part.get_param("method"), part.get_payload(decode=True)) for part in parts]
    return [(str(method), content) for method, content in found if isinstance(content, bytes)]


def words_of(message: EmailMessage) -> str:
    """Return the plain text."""
    ((part,),) = [parts_of(message)["text/plain"]]
    return str(part.get_content()).replace("\r\n", "\n")


class Page(HTMLParser):
    """Collects what a reader of HTML would show, and what it would fetch or run."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []
        self.links: list[str] = []
        self.tags: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note a tag and where it leads."""
        self.tags.add(tag)
        assert {name for name, _ in attrs} <= {"lang", "charset", "style", "href"}
        self.links += [value or "" for name, value in attrs if name == "href"]

    def handle_data(self, data: str) -> None:
        """Note words."""
        self.words.append(data)


def page_of(message: EmailMessage) -> Page:
    """Return the HTML part, read."""
    ((part,),) = [parts_of(message)["text/html"]]
    page = Page()
    page.feed(part.get_content())
    page.close()
    assert page.tags <= {"html", "head", "meta", "title", "body", "p", "strong", "br", "bdi", "a"}
    return page


def test_one_change_is_three_alternatives() -> None:
    """Text, HTML and calendar part are alternatives, the richest last, and none is attached."""
    message = read_back(make_notice())
    assert message.get_content_type() == "multipart/alternative"
    kinds = [part.get_content_type() for part in message.iter_parts()]
    assert kinds == ["text/plain", "text/html", "text/calendar"]
    assert not list(message.iter_attachments())
    assert all(part.get_filename() is None for part in message.walk())


def test_the_text_says_what_was_and_what_is() -> None:
    """The words tell day, times and exact ground before and after, in the venue's time."""
    words = words_of(read_back(make_notice()))
    assert words == (
        "U12 Kestrels: 1 booking changed.\n\n"
        "Tuesday 8 September 2026: changed\n"
        f"  was: Tuesday 8 September 2026, 17:30–19:00, {SOUTH}\n"
        f"  is: Tuesday 8 September 2026, 18:30–20:00, {NORTH}\n\n"
        "The page shows how things stand now:\nhttps://club.example/ground/abc\n\n"
        "This went to sam@mail.example because it is noted for U12 Kestrels. "
        "Mails to this address can be turned off:\nhttps://club.example/mail-off/def\n"
    )


def test_html_says_the_same() -> None:
    """Every line of the text stands in the HTML, whose only links are the page and turning off."""
    message = read_back(make_notice(moved(), dataclasses.replace(moved(uid="b"), was=None)))
    page = page_of(message)
    shown = " ".join(" ".join(page.words).split())
    for line in words_of(message).splitlines():
        if not line.startswith(("http", "The page", "This went")):
            assert " ".join(line.split()) in shown.replace(": ", ": ")
    assert page.links == ["https://club.example/ground/abc", "https://club.example/mail-off/def"]


@pytest.mark.parametrize(
    ("changes", "values", "subject", "line"),
    [
        ({}, {}, f"changed, Tuesday 8 September 2026, 18:30, {NORTH}", "2026: changed"),
        ({}, {"was": None}, f"new, Tuesday 8 September 2026, 18:30, {NORTH}", "2026: new"),
        ({"is_withdrawn": True}, {}, "Tuesday 8 September 2026 is off", "2026: off"),
        (
            {"is_withdrawn": True},
            {"was": None},
            "Tuesday 8 September 2026 is off",
            f"was: Tuesday 8 September 2026, 18:30–20:00, {NORTH}",
        ),
    ],
)
def test_subject_and_heading_say_what_happened(
    changes: dict[str, Any], values: dict[str, Any], subject: str, line: str
) -> None:
    """A new, a changed and a withdrawn booking are told apart without opening the mail."""
    message = read_back(make_notice(dataclasses.replace(moved(**changes), **values)))
    assert message["Subject"] == f"U12 Kestrels: {subject}"
    assert line in words_of(message)
    assert ("no longer held for you" in words_of(message)) == bool(changes)


@pytest.mark.parametrize(
    ("minutes", "words"),
    [
        (0, "light: until 20:00\n"),
        (25, "light: until 20:25\n"),
        (-35, "light: until 19:25 only, before the booking ends; plan to be off"),
    ],
)
def test_light_is_told_when_it_is_known(minutes: int, words: str) -> None:
    """The mail says until when it is light, and warns where the booking ends later."""
    change = moved()
    until = change.event.ends_at + timedelta(minutes=minutes)
    message = read_back(make_notice(dataclasses.replace(change, light_until=until)))
    assert words in words_of(message)
    assert words.strip() in "".join(page_of(message).words)
    assert "light" not in words_of(read_back(make_notice()))


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


def test_a_zone_in_utc_is_mailed_too() -> None:
    """Where the zone has no description the event goes out in UTC, with people and method."""
    content = write_invitation(make_event(), "Africa/Cairo", CLUB, COACH)
    assert values_of(content, "DTSTART") == ["20260908T173000Z"]
    assert values_of(content, "METHOD") == ["REQUEST"]
    assert len(values_of(content, "ATTENDEE")) == 1


def test_several_changes_are_one_mail() -> None:
    """The words tell all in order of time; each booking has a part of its own with its method.

    Source: RFC 5546, sections 3.2.2 and 3.2.5: all events of one object have the same UID.
    """
    late, early = moved(uid="late"), moved(uid="early", is_withdrawn=True)
    event = dataclasses.replace(
        early.event, starts_at=early.event.starts_at - DAY, ends_at=early.event.ends_at - DAY
    )
    message = read_back(make_notice(late, dataclasses.replace(early, event=event)))
    assert message["Subject"] == ("U12 Kestrels: 2 changes, the first on Monday 7 September 2026")
    assert message.get_content_type() == "multipart/mixed"
    words, *calendars = message.iter_parts()
    kinds = [part.get_content_type() for part in words.iter_parts()]
    assert kinds == ["text/plain", "text/html"]
    assert [part.get_content_disposition() for part in calendars] == ["inline", "inline"]
    told = [(method, values_of(content, "UID")) for method, content in calendars_of(message)]
    assert told == [("CANCEL", ["early"]), ("REQUEST", ["late"])]
    for method, content in calendars_of(message):
        assert values_of(content, "METHOD") == [method]
    text = words_of(message)
    assert text.startswith("U12 Kestrels: 2 bookings changed.")
    assert text.index("Monday 7 September 2026: off") < text.index("8 September 2026: changed")


def test_very_many_changes_are_all_told() -> None:
    """A season's worth of changes is told in words; the calendar parts stop at their limit."""
    changes = [
        moved(
            uid=f"{week}@club.example",
            starts_at=datetime(2026, 2, 3, 18, tzinfo=UTC) + week * 7 * DAY,
            ends_at=datetime(2026, 2, 3, 19, tzinfo=UTC) + week * 7 * DAY,
        )
        for week in range(40)
    ]
    message = read_back(make_notice(*changes))
    assert words_of(message).count(": changed\n") == 40
    assert len(calendars_of(message)) == mail_module.CALENDAR_PARTS_LIMIT
    first = values_of(calendars_of(message)[0][1], "UID")
    assert first == ["0@club.example"]


def test_headers_are_what_machines_look_for() -> None:
    """Date, stable id, one-click turning off and the mark of an automatic mail are there.

    Sources: RFC 8058, section 8.1 (`List-Unsubscribe-Post: List-Unsubscribe=One-Click`);
    RFC 3834, section 5 (`auto-generated`).
    """
    message = read_back(make_notice())
    assert message["Date"].datetime == datetime(2026, 9, 7, 20, 15, tzinfo=UTC)
    assert message["Message-ID"] == "<notice-17@club.example>"
    assert message["List-Unsubscribe"] == "<https://club.example/mail-off/def>"
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert message["Auto-Submitted"] == "auto-generated"
    assert message["From"].addresses[0].display_name == "Millrace Sports Club"
    assert message["To"].addresses[0].display_name == "Sam Ångström"
    assert message["To"].addresses[0].addr_spec == "sam@mail.example"
    assert message["MIME-Version"] == "1.0"


def test_one_click_needs_https() -> None:
    """Without https the address stands in the header but offers no one-click (RFC 8058)."""
    message = read_back(make_notice(mail_off_url="http://club.example/off"))
    assert message["List-Unsubscribe"] == "<http://club.example/off>"
    assert message["List-Unsubscribe-Post"] is None


def test_a_long_address_stays_whole() -> None:
    """An address of 900 characters is neither encoded nor broken in its header."""
    url = "https://club.example/" + "a" * (900 - 21)
    content = compose_mail(make_notice(mail_off_url=url)).as_bytes()
    assert f"\r\nList-Unsubscribe: <{url}>\r\n".encode() in content
    assert url in words_of(read_back(make_notice(mail_off_url=url)))


def test_the_same_notice_gives_the_same_bytes() -> None:
    """A mail sent again after a failure is the same to the byte; another one is not."""
    one, two = moved(uid="a"), moved(uid="b")
    assert (
        compose_mail(make_notice(one, two)).as_bytes()
        == compose_mail(make_notice(two, one)).as_bytes()
    )
    other = make_notice(one, two, message_id="<other@club.example>")
    boundaries = {compose_mail(n).get_boundary() for n in (make_notice(one, two), other)}
    assert len(boundaries) == 2


ENCODED = "=?utf-8?q?a=0D=0ABcc:_all=40club.example?="


@pytest.mark.parametrize("text", [*HOSTILE, ENCODED, "a\\", '"<x@y.example>, '])
def test_hostile_names_stay_names(text: str) -> None:
    """Line breaks, quotes, emoji and 10,000 characters add no header, no part and no event."""
    change = dataclasses.replace(
        moved(title=text, place=text, lines=(text,)),
        ground=text,
        was=Holding(make_event().starts_at, make_event().ends_at, text),
    )
    sender, recipient = (Mailbox(text, box.address) for box in (CLUB, COACH))
    notice = make_notice(
        change, moved(uid="b"), squad_name=text, sender=sender, recipient=recipient
    )
    message = read_back(notice)
    plain = read_back(make_notice(change, moved(uid="b")))
    assert message.keys() == plain.keys()
    assert [p.get_content_type() for p in message.walk()] == [
        p.get_content_type() for p in plain.walk()
    ]
    assert len(message.as_bytes()) < 100_000
    assert message["Subject"].startswith(one_line(text, 100) or "Your squad")
    assert message["From"].addresses[0].addr_spec == CLUB.address
    assert name_in(notice, "From") == one_line(text, 100)
    page_of(message)
    for _, content in calendars_of(message):
        assert_well_formed(content)
        (event,) = vobject.readOne(content.decode()).contents["vevent"]
        assert event.attendee.value == "mailto:sam@mail.example"
        for person in (event.organizer, event.attendee):
            assert "\n" not in "".join(person.params.get("CN", []))


@settings(max_examples=100, deadline=None)
@given(name=st.text(max_size=130), squad=st.text(max_size=130))
def test_any_name_survives(name: str, squad: str) -> None:
    """Any names give a sound mail; a printable name comes back to the letter, also from the CN."""
    change = dataclasses.replace(moved(), ground=squad)
    notice = make_notice(change, squad_name=squad, recipient=Mailbox(name, "a@b.example"))
    message = read_back(notice)
    shown = one_line(name, 100)
    assert name_in(notice, "To") == shown
    assert message["Subject"].startswith((one_line(squad, 100) or "Your squad") + ":")
    ((_, content),) = calendars_of(message)
    assert_well_formed(content)
    if shown and not set(shown) & set('"^\\'):
        (event,) = vobject.readOne(content.decode()).contents["vevent"]
        assert event.attendee.params["CN"] == [shown]


@pytest.mark.parametrize(
    "address",
    [
        "",
        "sam",
        "sam@",
        "@club.example",
        "sam@club.example\r\nBcc: all@club.example",
        "sam@club.example\n",
        "sam @club.example",
        "Sam <sam@club.example>",
        "sam@club.example, eve@club.example",
        "sam@-club.example",
        "sam..x@club.example",
        "säm@club.example",
        "sam@[127.0.0.1]",
        '"sam"@club.example',
        "x" * 65 + "@club.example",
        "x" * 60 + "@" + "x.".join(["y" * 60] * 4),
    ],
)
def test_what_is_no_mail_address_is_refused(address: str) -> None:
    """An address with anything beside one plain mailbox is refused with what to give."""
    with pytest.raises(ValueError, match="Give a mail address such as"):
        Mailbox("Sam", address)


def test_signs_in_an_address_are_encoded_in_mailto() -> None:
    """Signs that mean something in a mailto address are percent-encoded. Source: RFC 6068, 2."""
    attendee = Mailbox("", "a/b?c&d=e#f%g+h@club.example")
    content = write_invitation(make_event(), "Europe/London", CLUB, attendee)
    assert values_of(content, "ATTENDEE") == ["mailto:a%2Fb%3Fc%26d%3De%23f%25g+h@club.example"]
    assert b"CN=;" not in content
    ((line,),) = [[line for line in unfold(content) if line.startswith("ATTENDEE")]]
    assert "CN=" not in line


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"changes": ()}, "at least one change"),
        ({"changes": (moved(), moved())}, "each booking once"),
        ({"page_url": "javascript:alert(1)"}, "the page address as"),
        ({"page_url": "https://club.example/\r\nBcc: a@b"}, "the page address as"),
        ({"mail_off_url": "mailto:x@y"}, "the mail-off address as"),
        ({"mail_off_url": "https://club.example/>,<x"}, "the mail-off address as"),
        ({"mail_off_url": "https://club.example/" + "x" * 900}, "at most 900 characters"),
        ({"message_id": "notice-17@club.example"}, "message id such as"),
        ({"message_id": "<a@b>\r\nBcc: a@b"}, "message id such as"),
        ({"sent_at": datetime(2026, 9, 7)}, "time of sending with a zone"),  # noqa: DTZ001
    ],
)
def test_faulty_notices_are_refused(values: dict[str, Any], words: str) -> None:
    """A notice no mail could carry is refused with what to do, and no address is repeated."""
    with pytest.raises(ValueError, match=words) as refusal:
        make_notice(**values)
    assert "club.example/" not in str(refusal.value)


def test_addresses_stay_out_of_the_printed_form() -> None:
    """The printed form of a notice shows neither page nor mail-off address, which are secret."""
    printed = repr(make_notice())
    assert "ground/abc" not in printed
    assert "mail-off/def" not in printed


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


def test_html_has_no_markup_of_others() -> None:
    """Names with tags are shown as typed."""
    name = '<script>alert(1)</script><img src="https://evil.example/x.png">'
    message = read_back(make_notice(dataclasses.replace(moved(), ground=name), squad_name=name))
    page = page_of(message)
    assert name in " ".join(page.words)
    assert len(page.links) == 2
    assert not re.search("<(script|img)", parts_of(message)["text/html"][0].get_content())


def test_events_are_those_of_the_feed() -> None:
    """The change carries the feed's own event, nothing in between could differ."""
    event: FeedEvent = moved().event
    ((_, content),) = calendars_of(read_back(make_notice()))
    assert values_of(content, "UID") == [event.uid]
    assert values_of(content, "SEQUENCE") == [str(event.sequence)]
