"""A mail that tells one person what changed in a squad's bookings: values in, a message out.

One change: text, HTML and the calendar part are alternatives of each other (RFC 6047). Several
changes: text and HTML tell them all, and one calendar part for each follows them, because an
object has one METHOD and one uid, and three bookings are no alternative to each other. No part is
an attachment. Calendar parts beyond `CALENDAR_PARTS_LIMIT` are left to the feed; the words are not.

Nothing in the mail is fetched from anywhere when it is read.
"""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, field
from email.headerregistry import Address
from email.message import EmailMessage
from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.calendars.invitation import Mailbox, method_for, write_invitation
from clubplanner.outputs.mails.mail_headers import make_policy
from clubplanner.outputs.mails.mail_words import ChangeNotice, Words, html_of, subject_of, text_of
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

_POLICY = make_policy()


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """What one person is told about their squads.

    Attributes:
        squad_name: Whose bookings changed; several in one line.
        sender: The club; also the organiser in calendars.
        recipient: Who is told.
        zone: IANA name of the venue's time zone.
        changes: One or more, no two of the same booking; told in the order of their times.
        pages: Each squad's name and page, http or https; none where the person may open none any
            more. They may be secret.
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
    pages: tuple[tuple[str, str], ...] = field(repr=False)
    mail_off_url: str = field(repr=False)
    message_id: str
    sent_at: datetime

    def __post_init__(self) -> None:
        if not self.changes:
            raise ValueError("Give at least one change to tell of.")
        uids = [change.event.uid for change in self.changes]
        if len(set(uids)) < len(uids):
            raise ValueError("Tell of each booking once: join what happened to it into one change.")
        pages = [("page", url) for _unused, url in self.pages]
        for name, url in (*pages, ("mail-off", self.mail_off_url)):
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
        squad_name=one_line(notice.squad_name, NAME_LIMIT) or _("Your squad"),
        zone=notice.zone,
        changes=tuple(changes),
        address=notice.recipient.address,
        pages=notice.pages,
        mail_off_url=notice.mail_off_url,
    )
    message = EmailMessage(_POLICY)
    _add_headers(message, notice, subject_of(words))
    message.set_content(text_of(words), cte="quoted-printable")
    message.add_alternative(html_of(words), subtype="html", cte="quoted-printable")
    _name_boundary(message, notice, "words")
    if len(changes) > 1:
        message.make_mixed()
        _name_boundary(message, notice, "all")
    for change in changes[:CALENDAR_PARTS_LIMIT]:
        _add_calendar(message, notice, change)
    return message


def _add_headers(message: EmailMessage, notice: Notice, subject: str) -> None:
    message["From"] = _address(notice.sender)
    message["To"] = _address(notice.recipient)
    message["Subject"] = subject
    message["Date"] = notice.sent_at
    message["Message-ID"] = notice.message_id
    # Answering machines leave such mail alone (RFC 3834, section 5).
    message["Auto-Submitted"] = "auto-generated"
    message["List-Unsubscribe"] = f"<{notice.mail_off_url}>"
    if notice.mail_off_url.startswith("https:"):
        # One click is for https alone (RFC 8058, section 3.1).
        message["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"


def _address(mailbox: Mailbox) -> Address:
    return Address(display_name=mailbox.shown_name, addr_spec=mailbox.address)


def _add_calendar(message: EmailMessage, notice: Notice, change: ChangeNotice) -> None:
    """Add the calendar part about one booking; its MIME method equals its METHOD (RFC 6047)."""
    content = write_invitation(change.event, notice.zone, notice.sender, notice.recipient)
    method = method_for(change.event).value
    if message.get_content_subtype() == "alternative":
        message.add_alternative(
            content.decode(), subtype="calendar", cte="base64", params={"method": method}
        )
    else:
        message.add_attachment(
            content.decode(),
            subtype="calendar",
            cte="base64",
            disposition="inline",
            params={"method": method},
        )


def _name_boundary(message: EmailMessage, notice: Notice, part: str) -> None:
    """Set what stands between parts: the same for the same mail, and never inside a part.

    An equals sign before an underscore cannot come up in quoted-printable or base64 text.
    """
    named = f"{notice.message_id} {part}".encode()
    message.set_boundary(f"=_{hashlib.sha256(named).hexdigest()[:32]}")
