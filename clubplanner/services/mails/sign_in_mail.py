"""Mailing the one-time address that lets somebody in, to the e-mail the secretary wrote down."""

from __future__ import annotations

import logging
from email.headerregistry import Address
from email.message import EmailMessage
from email.utils import make_msgid
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.language import _
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.outputs.mails.mail_headers import make_policy
from clubplanner.outputs.plain_text import one_line
from clubplanner.services.addresses.links import hash_secret
from clubplanner.services.mails.transport import Fate, send_mail
from clubplanner.services.people.sign_in_links import ASKED_MINUTES, answer_request
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.people_tables import SignInRow

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from clubplanner.config import Config, MailServer
    from clubplanner.store.engine import Store

LONGEST_SUBJECT = 120
LOG = logging.getLogger("clubplanner.sign_in")


def mail_sign_in_address(
    store: Store,
    config: Config,
    browser_secret: str,
    now: datetime,
    send: Callable[[MailServer, EmailMessage, str], tuple[Fate, str]] = send_mail,
) -> bool:
    """Answer a browser's request by mail; the secretary can still answer it by hand.

    Args:
        store: The database.
        config: Names the mail server and our public address.
        browser_secret: What the browser that asked keeps; one that nobody is behind is left alone.
        now: The present instant.
        send: Hands the mail over.

    Returns:
        Whether a mail server took it.
    """
    server = config.mail_server
    with store.read() as session:
        row = session.scalars(
            select(SignInRow).where(
                SignInRow.browser_hash == hash_secret(browser_secret), SignInRow.ends_at > now
            )
        ).first()
        club = session.get(ClubRow, 1)
        email = "" if row is None or row.person is None else row.person.email
        number = 0 if row is None else row.id
    if server is None or not email:
        return False
    secret, name = answer_request(store, number, now)
    title = _("Pitches") if club is None else club.name
    message = EmailMessage(make_policy())
    for header, mailbox in (("From", Mailbox(title, server.sender)), ("To", Mailbox(name, email))):
        message[header] = Address(display_name=mailbox.shown_name, addr_spec=mailbox.address)
    message["Subject"] = one_line(_("Your way in to %(club)s", club=title), LONGEST_SUBJECT)
    message["Date"] = now
    message["Message-ID"] = make_msgid(domain=server.sender.rpartition("@")[2])
    message["Auto-Submitted"] = "auto-generated"  # RFC 3834, section 5
    address = f"{config.public_address}/let-in/{secret}"
    message.set_content(
        _(
            "Open this address in the browser in which you asked, within %(minutes)s minutes. It "
            "works there once and nowhere else:\n\n%(address)s\n\nIf you did not ask, do nothing: "
            "nobody gets in without this mail.\n",
            minutes=ASKED_MINUTES,
            address=address,
        )
    )
    fate, why = send(server, message, email)
    if fate is not Fate.TAKEN:
        LOG.warning("a sign-in address was not mailed: %s", why)
    return fate is Fate.TAKEN
