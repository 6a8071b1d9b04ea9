"""A mail that tells one person what changed in a squad's bookings: values in, a message out.

One change: text, HTML and the calendar part are alternatives of each other (RFC 6047). Several
changes: text and HTML tell them all, and one calendar part for each follows them, because an
object has one METHOD and one uid, and three bookings are no alternative to each other. No part is
an attachment. Calendar parts beyond `CALENDAR_PARTS_LIMIT` are left to the feed; the words are not.

Nothing in the mail is fetched from anywhere when it is read.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from email.headerregistry import Address, HeaderRegistry, UniqueUnstructuredHeader
from email.message import EmailMessage
from email.policy import SMTP, EmailPolicy
from typing import TYPE_CHECKING

from clubplanner.outputs.invitation import Mailbox, method_for, write_invitation
from clubplanner.outputs.mail_words import ChangeNotice, Words, html_of, subject_of, text_of
from clubplanner.outputs.plain_text import one_line

if TYPE_CHECKING:
    from datetime import datetime

CALENDAR_PARTS_LIMIT = 20
"""Calendar parts of one mail (common practice, no source)."""
ADDRESS_LIMIT = 900
"""Characters of a web address: with its header it fits a line of 998 (RFC 5322, section 2.1.1)."""
NAME_LIMIT = 100
"""Characters of a squad's name."""

_MESSAGE_ID = re.compile(r"<[A-Za-z0-9!#$%&'*+/=?^_`{|}~.-]{1,120}@[A-Za-z0-9.-]{1,120}>")
_WEB_ADDRESS = re.compile(r"https?://[!-;=?-~]+")


class _UnfoldedHeader(UniqueUnstructuredHeader):
    """A header whose one long word must not be taken apart."""

    def fold(self, *, policy: EmailPolicy) -> str:  # type: ignore[override]
        """Return the header on one line."""
        return f"{self.name}: {self}{policy.linesep}"


def _make_policy() -> EmailPolicy:
    headers = HeaderRegistry()
    headers.map_to_type("List-Unsubscribe", _UnfoldedHeader)
    return SMTP.clone(header_factory=headers)


_POLICY = _make_policy()


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """What one person is told about one squad.

    Attributes:
        squad_name: Whose bookings changed.
        sender: The club; also the organiser in calendars.
        recipient: Who is told.
        zone: IANA name of the venue's time zone.
        changes: One or more, no two of the same booking; told in the order of their times.
        page_url: The squad's page, http or https. It may be secret.
        mail_off_url: Turns mails to this address off: a page when opened, at once when a program
            posts to it (RFC 8058). It may be secret.
        message_id: "<…@…>", the same each time the same mail is sent.
        sent_at: Aware.
    """

    squad_name: str
    sender: Mailbox
    recipient: Mailbox
    zone: str
    changes: tuple[ChangeNotice, ...]
    page_url: str = field(repr=False)
    mail_off_url: str = field(repr=False)
    message_id: str
    sent_at: datetime

    def __post_init__(self) -> None:
        if not self.changes:
            raise ValueError("Give at least one change to tell of.")
        uids = [change.event.uid for change in self.changes]
        if len(set(uids)) < len(uids):
            raise ValueError("Tell of each booking once: join what happened to it into one change.")
        for name, url in (("page", self.page_url), ("mail-off", self.mail_off_url)):
            if len(url) > ADDRESS_LIMIT or not _WEB_ADDRESS.fullmatch(url):
                raise ValueError(
                    f"Give the {name} address as http:// or https://, percent-encoded, of at most "
                    f"{ADDRESS_LIMIT} characters."
                )
        if not _MESSAGE_ID.fullmatch(self.message_id):
            raise ValueError('Give a message id such as "<change-17@club.example>".')
        if self.sent_at.tzinfo is None:
            raise ValueError("Give the time of sending with a zone, such as UTC.")


def compose_mail(notice: Notice) -> EmailMessage:
    """Write the mail.

    Args:
        notice: What to tell.

    Returns:
        A message ready for SMTP, plain ASCII on the wire. The same notice gives the same bytes.

    Raises:
        ValueError: There is no time zone of that name.
    """
    changes = sorted(notice.changes, key=lambda change: (change.event.starts_at, change.event.uid))
    words = Words(
        squad_name=one_line(notice.squad_name, NAME_LIMIT) or "Your squad",
        zone=notice.zone,
        changes=tuple(changes),
        address=notice.recipient.address,
        page_url=notice.page_url,
        mail_off_url=notice.mail_off_url,
    )
    message = EmailMessage(_POLICY)
    _add_headers(message, notice, subject_of(words))
    message.set_content(text_of(words), cte="quoted-printable")
    message.add_alternative(html_of(words), subtype="html", cte="quoted-printable")
    if len(changes) == 1:
        _add_calendar(message, notice, changes[0])
        _mark_alternatives(message, len(changes))
        return message
    message.make_mixed()
    for change in changes[:CALENDAR_PARTS_LIMIT]:
        _add_calendar(message, notice, change)
    _mark_alternatives(message, len(changes))
    return message
