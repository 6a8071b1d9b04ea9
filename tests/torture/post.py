"""What arrived by mail: of each mail what the verdict asks for, and not the mail."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

import icalendar

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from email.message import EmailMessage

    from tests.mail_server import Postbox


class Telling(NamedTuple):
    """What one mail says of one session.

    Attributes:
        message: What the mail's Message-ID begins with.
        to: Whom it is for.
        uid: The session's.
        sequence: Its count of changes.
        is_off: Whether it is withdrawn.
        starts_at: When it begins.
    """

    message: str
    to: str
    uid: str
    sequence: int
    is_off: bool
    starts_at: datetime


@dataclass(slots=True)
class Post:
    """All that arrived, in its order.

    Attributes:
        count: Mails, those counted that came again.
        messages: What their Message-IDs begin with.
        tellings: What they say.
    """

    count: int = 0
    messages: set[str] = field(default_factory=set)
    tellings: list[Telling] = field(default_factory=list)

    def take(self, mail: EmailMessage) -> None:
        """Read a mail."""
        self.count += 1
        number = message_of(mail)
        self.messages.add(number)
        self.tellings.extend(_tellings(mail, number))

    @property
    def again(self) -> int:
        """How many mails came again, after a kill."""
        return self.count - len(self.messages)


def read_post(box: Postbox, post: Post) -> None:
    """Let a mail server give each mail to be read, beside those that came before, and keep none."""
    box.keep = post.take


def message_of(mail: EmailMessage) -> str:
    """Return what a mail's Message-ID begins with."""
    return str(mail["Message-ID"]).strip("<>").partition("@")[0]


def _tellings(mail: EmailMessage, number: str) -> Iterator[Telling]:
    for part in mail.walk():
        if part.get_content_type() != "text/calendar":
            continue
        text: Any = part.get_payload(decode=True)
        calendar = icalendar.Calendar.from_ical(text)
        event: Any = calendar.walk("VEVENT")[0]
        yield Telling(
            number,
            str(mail["To"]),
            str(event["UID"]),
            int(event["SEQUENCE"]),
            str(calendar["METHOD"]) == "CANCEL",
            event["DTSTART"].dt,
        )
