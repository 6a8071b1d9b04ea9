"""A short mail to one person: words and an address of ours, no calendar."""

from __future__ import annotations

from dataclasses import dataclass
from email.headerregistry import Address
from email.message import EmailMessage
from typing import TYPE_CHECKING

from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.outputs.mails.mail_headers import make_policy
from clubplanner.outputs.plain_text import one_line

if TYPE_CHECKING:
    from datetime import datetime

LONGEST_SUBJECT = 120


@dataclass(frozen=True, slots=True)
class ShortMail:
    """What is told to whom.

    Attributes:
        club: The club's name, as the sender's.
        sender: The club's mail address.
        to: The person.
        subject: Becomes one line.
        text: The words.
        message_id: "<…@…>", the same each time the same mail is sent.
        sent_at: Aware.
    """

    club: str
    sender: str
    to: Mailbox
    subject: str
    text: str
    message_id: str
    sent_at: datetime


def compose_short_mail(mail: ShortMail) -> EmailMessage:
    """Write the mail."""
    message = EmailMessage(make_policy())
    for header, mailbox in (("From", Mailbox(mail.club, mail.sender)), ("To", mail.to)):
        message[header] = Address(display_name=mailbox.shown_name, addr_spec=mailbox.address)
    message["Subject"] = one_line(mail.subject, LONGEST_SUBJECT)
    message["Date"] = mail.sent_at
    message["Message-ID"] = mail.message_id
    message["Auto-Submitted"] = "auto-generated"  # RFC 3834, section 5
    message.set_content(mail.text)
    return message
