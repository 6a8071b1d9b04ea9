"""Notices for tests, and readers of the mails made of them."""

from __future__ import annotations

import email
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from email import policy
from email.message import EmailMessage
from html.parser import HTMLParser
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Outcome, Reason, SessionState, Spot
from clubplanner.domain.booked.state_words import Told
from clubplanner.domain.times.times import TimeRange
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.outputs.mails.mail import Notice, compose_mail
from clubplanner.outputs.mails.mail_words import ChangeNotice, Holding
from tests.outputs.calendars.test_feed import (
    make_event,
)

if TYPE_CHECKING:
    from clubplanner.outputs.calendars.feed import FeedEvent

CLUB = Mailbox("Millrace Sports Club", "secretary@club.example")
COACH = Mailbox("Sam Ångström", "sam@mail.example")
ZONE = ZoneInfo("Europe/London")
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
NORTH = "North third of Main pitch, Meadow Lane"
SOUTH = "South third of Main pitch, Meadow Lane"


def moved(**changes: Any) -> ChangeNotice:
    """Build a change: the session of 18:30 on a Tuesday was at 17:30 on other ground."""
    event = make_event(**changes)
    was = Holding(event.starts_at - HOUR, event.ends_at - HOUR, SOUTH)
    return ChangeNotice(event, told_of(event, was), NORTH, was)


def told_of(event: FeedEvent, was: Holding | None, **changes: Any) -> Told:
    """Put a change into words: off or moved for water, whatever day it is read on."""
    spot = Spot("main", "north", TimeRange(event.starts_at, event.ends_at), NORTH)
    before = None if was is None else Spot("main", "south", TimeRange(was.starts_at, was.ends_at))
    outcome = Outcome.OFF if event.is_withdrawn else Outcome.MOVED if before else Outcome.ON
    state = SessionState(outcome, before, reason=Reason(Cause.CLOSED, "waterlogged"))
    told = Told(state if before else replace(state, reason=Reason()), spot, Purpose.TRAINING, ZONE)
    return replace(told, **changes)


def make_notice(*changes: ChangeNotice, **values: Any) -> Notice:
    """Build a notice of some changes, or of one move."""
    given_values: dict[str, Any] = {
        "squad_name": "U12 Kestrels",
        "sender": CLUB,
        "recipient": COACH,
        "zone": "Europe/London",
        "changes": changes or (moved(),),
        "pages": (("U12 Kestrels", "https://club.example/ground/abc"),),
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
        is_about_colours = tag == "meta" and ("name", "color-scheme") in attrs
        known = {"name", "content"} if is_about_colours else {"lang", "charset", "style", "href"}
        assert {name for name, _ in attrs} <= known
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
