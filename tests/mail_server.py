"""A real mail server on this machine that keeps what it is sent (aiosmtpd; RFC 5321)."""

from __future__ import annotations

import socket
from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes
from email.policy import default
from typing import TYPE_CHECKING, Any

from aiosmtpd.controller import Controller

from clubplanner.config import MailServer

if TYPE_CHECKING:
    from collections.abc import Iterator
    from email.message import EmailMessage

SENDER = "pitches@alderby.example"


@dataclass
class Postbox:
    """What the server took, and what it answers.

    Attributes:
        settings: How to reach it.
        taken: Mails, oldest first.
        answer: Reply to a mail; "" to take it.
    """

    settings: MailServer
    taken: list[EmailMessage] = field(default_factory=list)
    envelopes: list[tuple[str, list[str]]] = field(default_factory=list)
    answer: str = ""

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        """Take a mail, or answer as told."""
        if self.answer:
            return self.answer
        mail = message_from_bytes(envelope.content, policy=default)
        self.taken.append(mail)
        self.envelopes.append((envelope.mail_from, list(envelope.rcpt_tos)))
        return "250 OK"


@contextmanager
def mail_server(**options: Any) -> Iterator[Postbox]:
    """Run a mail server until the block ends."""
    port = free_port()
    security = "starttls" if "tls_context" in options else "none"
    user = "club" if "authenticator" in options else ""
    box = Postbox(MailServer("127.0.0.1", port, security, user, "swordfish", SENDER))
    controller = Controller(box, hostname="127.0.0.1", port=port, **options)
    controller.start()
    try:
        yield box
    finally:
        controller.stop()


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        port: int = listening.getsockname()[1]
        return port
