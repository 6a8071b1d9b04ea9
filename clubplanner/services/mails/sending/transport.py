"""Handing a mail to a mail server (RFC 5321).

A mail is the server's once it has accepted the text: what follows, the parting included, changes
nothing about that (section 4.1.1.4).
"""

from __future__ import annotations

import smtplib
import ssl
from contextlib import suppress
from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.services.mails.sending.answers import Answer, Fate, Step, judge

if TYPE_CHECKING:
    from email.message import EmailMessage

    from clubplanner.config import MailServer

TIMEOUT_S = 20.0
"""For each answer of the server, seconds."""

__all__ = ["Fate", "send_mail"]


class _RefusedError(Exception):
    """The server takes no mail of ours; the words say why."""


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
        Its fate; and why it was not taken and what to check, in words without any secret.
    """
    try:
        connection = _connect(server, tls if tls is not None else ssl.create_default_context())
    except _RefusedError as refusal:
        return Fate.NO_SERVER, str(refusal)
    try:
        return _hand_over(connection, server, message, address)
    finally:
        _part(connection)


def _connect(server: MailServer, tls: ssl.SSLContext) -> smtplib.SMTP:
    """Connect, encrypt and sign in as the settings say.

    Raises:
        _RefusedError: If the server does not let us; nothing is left open.
    """
    connection: smtplib.SMTP | None = None
    try:
        connection = _greet(server, tls)
        if server.security == "starttls":
            _encrypt(connection, server, tls)
        connection.ehlo_or_helo_if_needed()
        if server.user:
            _sign_in(connection, server)
    except BaseException as fault:
        if connection is not None:
            connection.close()
        words = _why(fault, server)
        if words:
            raise _RefusedError(words) from fault
        raise
    return connection


def _greet(server: MailServer, tls: ssl.SSLContext) -> smtplib.SMTP:
    if server.security == "tls":
        return smtplib.SMTP_SSL(server.host, server.port, timeout=TIMEOUT_S, context=tls)
    return smtplib.SMTP(server.host, server.port, timeout=TIMEOUT_S)


def _encrypt(connection: smtplib.SMTP, server: MailServer, tls: ssl.SSLContext) -> None:
    try:
        connection.starttls(context=tls)
    except smtplib.SMTPNotSupportedError as fault:
        raise _RefusedError(judge(Step.ENCRYPTION, Answer(-1, ""), server)[1]) from fault
    except smtplib.SMTPHeloError:
        raise
    except smtplib.SMTPResponseException as fault:
        raise _refusal(Step.ENCRYPTION, fault, server) from fault


def _sign_in(connection: smtplib.SMTP, server: MailServer) -> None:
    try:
        connection.login(server.user, server.password)
    except smtplib.SMTPResponseException as fault:
        raise _refusal(Step.SIGN_IN, fault, server) from fault
    except smtplib.SMTPServerDisconnected:
        raise
    except smtplib.SMTPException as fault:  # it offers no way to sign in, or none that is known
        raise _RefusedError(
            _(
                "The mail server %(host)s lacks what the settings ask of it: a way to sign in on "
                "this connection. Check CLUBPLANNER_SMTP_SECURITY and CLUBPLANNER_SMTP_PORT.",
                host=server.host,
            )
        ) from fault


def _refusal(step: Step, fault: smtplib.SMTPResponseException, server: MailServer) -> _RefusedError:
    return _RefusedError(judge(step, Answer.of(fault.smtp_code, fault.smtp_error), server)[1])


def _why(fault: BaseException, server: MailServer) -> str:
    """Tell why a server could not be reached; blank for what is no fault of reaching it."""
    if isinstance(fault, _RefusedError):
        return str(fault)
    if isinstance(fault, smtplib.SMTPResponseException):
        return str(_refusal(Step.GREETING, fault, server))
    if isinstance(fault, ssl.SSLCertVerificationError):
        return _(
            "The mail server cannot prove that it is %(host)s. Check CLUBPLANNER_SMTP_HOST, or ask "
            "whoever runs it to renew its certificate.",
            host=server.host,
        )
    if isinstance(fault, ssl.SSLError):
        return judge(Step.ENCRYPTION, Answer(-1, ""), server)[1]
    if isinstance(fault, OSError | UnicodeError | ValueError):
        return _(
            "The mail server %(host)s does not answer on port %(port)s. Check "
            "CLUBPLANNER_SMTP_HOST and CLUBPLANNER_SMTP_PORT, and whether it is running.",
            host=server.host,
            port=server.port,
        )
    return ""


def _hand_over(
    connection: smtplib.SMTP, server: MailServer, message: EmailMessage, address: str
) -> tuple[Fate, str]:
    try:
        connection.send_message(message, from_addr=server.sender, to_addrs=[address])
    except smtplib.SMTPSenderRefused as fault:
        return judge(Step.SENDER, Answer.of(fault.smtp_code, fault.smtp_error), server)
    except smtplib.SMTPRecipientsRefused as fault:
        answer = Answer.of(*next(iter(fault.recipients.values())))
        return judge(Step.RECIPIENT, answer, server)
    except smtplib.SMTPDataError as fault:
        if fault.smtp_code // 100 == 2:  # the first digit decides (RFC 5321, section 4.2.1)
            return Fate.TAKEN, ""
        return judge(Step.MESSAGE, Answer.of(fault.smtp_code, fault.smtp_error), server)
    except OSError:  # what smtplib raises besides is one too
        # It may be this mail that it breaks off at: the next one is tried, this one waits.
        return Fate.BROKEN_OFF, _("The mail server broke off; it is tried again.")
    return Fate.TAKEN, ""


def _part(connection: smtplib.SMTP) -> None:
    """Take leave; what the server says to that is of no interest any more."""
    with suppress(OSError):
        connection.quit()
    connection.close()
