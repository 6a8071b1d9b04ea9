"""Handing a mail to a mail server (RFC 5321), and what its answer means for another try."""

from __future__ import annotations

import smtplib
import ssl
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from email.message import EmailMessage

    from clubplanner.config import MailServer

TIMEOUT_S = 20.0
"""For each answer of the server, seconds."""


class Fate(StrEnum):
    """What the server made of a mail."""

    TAKEN = "taken"
    LATER = "later"
    NEVER = "never"
    NO_SERVER = "no server"


def send_mail(
    server: MailServer, message: EmailMessage, address: str, tls: ssl.SSLContext | None = None
) -> tuple[Fate, str]:
    """Hand a mail over.

    Args:
        server: Who takes it.
        message: The mail.
        address: To whom.
        tls: How to encrypt; None for the system's authorities.

    Returns:
        Its fate; and why it was not taken, in words without any secret.
    """
    context = tls if tls is not None else ssl.create_default_context()
    try:
        with _connect(server, context) as connection:
            if server.user:
                connection.login(server.user, server.password)
            connection.send_message(message, from_addr=server.sender, to_addrs=[address])
    except smtplib.SMTPAuthenticationError:
        return Fate.NO_SERVER, _(
            "The mail server refuses our name or password; check the settings."
        )
    except smtplib.SMTPRecipientsRefused as fault:
        return _answered(next(iter(fault.recipients.values()))[0])
    except smtplib.SMTPResponseException as fault:
        return _answered(fault.smtp_code)
    except smtplib.SMTPNotSupportedError:
        return Fate.NO_SERVER, _("The mail server lacks what the settings ask of it; check them.")
    except ssl.SSLError:
        return Fate.NO_SERVER, _("The mail server cannot prove that it is the one named.")
    except (OSError, smtplib.SMTPException):
        return Fate.NO_SERVER, _("The mail server does not answer; it is tried again.")
    return Fate.TAKEN, ""


def _answered(code: int) -> tuple[Fate, str]:
    """Read a reply code: 4… is for now, 5… for good (RFC 5321, section 4.2.1)."""
    if code >= 500:
        return Fate.NEVER, _("The mail server refuses it for good (reply %(code)s).", code=code)
    return Fate.LATER, _(
        "The mail server cannot take it now (reply %(code)s); it is tried again.", code=code
    )


def _connect(server: MailServer, context: ssl.SSLContext) -> smtplib.SMTP:
    if server.security == "tls":
        return smtplib.SMTP_SSL(server.host, server.port, timeout=TIMEOUT_S, context=context)
    connection = smtplib.SMTP(server.host, server.port, timeout=TIMEOUT_S)
    if server.security == "starttls":
        try:
            connection.starttls(context=context)
        except BaseException:
            connection.close()
            raise
    return connection
