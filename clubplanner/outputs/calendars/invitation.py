"""The calendar part of a mail: one booking, for one person, as REQUEST or CANCEL.

The event is the feed's own, line for line, so that uid, sequence and stamp are the same whichever
way it reaches a calendar. Added are METHOD, who organises it and who is told (RFC 5546, sections
3.2.2 and 3.2.5). An object holds one uid, as those sections demand; several bookings are several
objects.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from icalendar.parser import Contentline, Parameters

from clubplanner.outputs.calendars.feed import Feed, FeedEvent, write_feed
from clubplanner.outputs.plain_text import one_line

NAME_LIMIT = 100
"""Characters of a person's or a club's name."""
ADDRESS_LIMIT = 254
"""Characters of a mail address (RFC 5321, section 4.5.3.1.3: a path of 256 with its brackets)."""

_ATOM = r"[A-Za-z0-9!#$%&'*+/=?^_`{|}~-]+"
_LABEL = r"[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?"
_ADDRESS = re.compile(rf"(?P<local>{_ATOM}(?:\.{_ATOM})*)@(?P<domain>{_LABEL}(?:\.{_LABEL})*)")
_LOCAL_LIMIT = 64
# What a mailto address must not hold as it is (RFC 6068, section 2).
_TO_ENCODE = re.compile(r"[^A-Za-z0-9._~!$'*+@-]")
# A parameter value cannot hold a double quote, and readers differ on the other two (RFC 6868).
_NAME_SWAPS = str.maketrans({'"': "'", "^": "ˆ", "\\": "/"})
_FEED_NAME = "Change"
# Only what tells a program about a feed to fetch again; the name above keeps each on one line.
_FEED_LINES = re.compile(
    rb"^(?:NAME|X-WR-CALNAME|REFRESH-INTERVAL|X-PUBLISHED-TTL)[:;].*\r\n", re.M
)
_HEAD_END = b"CALSCALE:GREGORIAN\r\n"
_EVENT_END = b"END:VEVENT\r\n"


class Method(StrEnum):
    """What a calendar is asked to do with an event (RFC 5546, section 1.4)."""

    REQUEST = "REQUEST"
    CANCEL = "CANCEL"


@dataclass(frozen=True, slots=True)
class Mailbox:
    """Somebody who sends or gets mail.

    Attributes:
        name: As people write it; may be blank. It becomes one line of at most 100 characters.
        address: ASCII, such as "sam@club.example"; a domain of other letters in its ASCII form.
    """

    name: str
    address: str

    def __post_init__(self) -> None:
        found = _ADDRESS.fullmatch(self.address)
        is_short = len(self.address) <= ADDRESS_LIMIT
        if not found or not is_short or len(found["local"]) > _LOCAL_LIMIT:
            raise ValueError(
                "Give a mail address such as sam@club.example: plain letters, digits and the "
                "usual signs, without blanks, line breaks or a name round it."
            )

    @property
    def shown_name(self) -> str:
        """The name as it goes out; blank where there is none."""
        return one_line(self.name, NAME_LIMIT)


def method_for(event: FeedEvent) -> Method:
    """Return what to ask for: CANCEL once a booking is withdrawn, else REQUEST."""
    return Method.CANCEL if event.is_withdrawn else Method.REQUEST


def write_invitation(event: FeedEvent, zone: str, organizer: Mailbox, attendee: Mailbox) -> bytes:
    """Write the calendar part about one booking.

    A person is told, not asked: RSVP is FALSE, so that programs offer no answer to a club that
    would not read it.

    Args:
        event: The booking as the feed shows it now; its state decides the method.
        zone: IANA name of the venue's time zone.
        organizer: The club.
        attendee: Who is told.

    Returns:
        UTF-8 with CRLF line ends, no line longer than 75 octets.

    Raises:
        ValueError: There is no time zone of that name.
    """
    content = write_feed(Feed(_FEED_NAME, zone, None, (event,)))
    head, mark, rest = content.partition(_HEAD_END)
    method = Contentline.from_parts("METHOD", Parameters(), method_for(event).value)
    people = _party("ORGANIZER", organizer, {}) + _party(
        "ATTENDEE",
        attendee,
        {"ROLE": "REQ-PARTICIPANT", "PARTSTAT": "NEEDS-ACTION", "RSVP": "FALSE"},
    )
    described, event_end, tail = _FEED_LINES.sub(b"", rest).rpartition(_EVENT_END)
    return b"".join((head, mark, _folded(method), described, people, event_end, tail))


def _party(role: str, mailbox: Mailbox, parameters: dict[str, str]) -> bytes:
    name = mailbox.shown_name.translate(_NAME_SWAPS)
    named = {"CN": name} if name else {}
    address = "mailto:" + _TO_ENCODE.sub(_percent, mailbox.address)
    return _folded(Contentline.from_parts(role, Parameters({**named, **parameters}), address))


def _folded(line: Any) -> bytes:
    folded: bytes = line.to_ical()
    return folded + b"\r\n"


def _percent(found: re.Match[str]) -> str:
    return f"%{ord(found[0]):02X}"
