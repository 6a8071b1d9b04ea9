"""Mailing the one-time address that lets somebody in, to the e-mail the secretary wrote down."""

from __future__ import annotations

import logging
from email.utils import make_msgid
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.language import _
from clubplanner.outputs.calendars.invitation import Mailbox
from clubplanner.services.addresses.links import hash_secret
from clubplanner.services.mails.sending.short_mail import ShortMail, compose_short_mail
from clubplanner.services.mails.sending.transport import Fate, send_mail
from clubplanner.services.people.ways_in.sign_in_links import ASKED_MINUTES, answer_request
from clubplanner.store.tables.club_tables import ClubRow
from clubplanner.store.tables.people_tables import SignInRow

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime
    from email.message import EmailMessage

    from clubplanner.config import Config, MailServer
    from clubplanner.store.engine import Store

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
    address = f"{config.public_address}/let-in/{secret}"
    mail = ShortMail(
        club=title,
        sender=server.sender,
        to=Mailbox(name, email),
        subject=_("Your way in to %(club)s", club=title),
        text=_(
            "Open this address in the browser in which you asked, within %(minutes)s minutes. It "
            "works there once and nowhere else:\n\n%(address)s\n\nIf you did not ask, do nothing: "
            "nobody gets in without this mail.\n",
            minutes=ASKED_MINUTES,
            address=address,
        ),
        message_id=make_msgid(domain=server.sender.rpartition("@")[2]),
        sent_at=now,
    )
    message = compose_short_mail(mail)
    fate, why = send(server, message, email)
    if fate is not Fate.TAKEN:
        LOG.warning("a sign-in address was not mailed: %s", why)
    return fate is Fate.TAKEN
