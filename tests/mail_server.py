"""A real mail server on this machine that keeps what it is sent (aiosmtpd; RFC 5321)."""

from __future__ import annotations

from contextlib import contextmanager
from dataclasses import dataclass, field
from email import message_from_bytes
from email.policy import default
from typing import TYPE_CHECKING, Any

from aiosmtpd.controller import Controller

from clubplanner.config import MailServer
from tests.ports import free_port

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from email.message import EmailMessage

SENDER = "pitches@alderby.example"


@dataclass
class Postbox:
    """What the server took, and what it answers.

    Attributes:
        settings: How to reach it.
        taken: Mails, oldest first.
        keep: Gets each mail instead, where all of them would be too many.
        answer: Reply to a mail; "" to take it.
        answers: Reply to other commands, by their names; "" breaks the connection off.
    """

    settings: MailServer
    taken: list[EmailMessage] = field(default_factory=list)
    envelopes: list[tuple[str, list[str]]] = field(default_factory=list)
    answer: str = ""
    answers: dict[str, str] = field(default_factory=dict)
    keep: Callable[[EmailMessage], object] | None = None

    async def handle_EHLO(  # noqa: N802
        self, server: Any, session: Any, _envelope: Any, hostname: str, responses: list[str]
    ) -> list[str]:
        """Greet, or answer as told; HELO is answered alike."""
        session.host_name = hostname
        return [_told(server, self.answers["EHLO"])] if "EHLO" in self.answers else responses

    async def handle_HELO(  # noqa: N802
        self, server: Any, session: Any, _envelope: Any, hostname: str
    ) -> str:
        """Greet, or answer as told."""
        session.host_name = hostname
        return _told(server, self.answers.get("EHLO", f"250 {hostname}"))

    async def handle_MAIL(  # noqa: N802
        self, server: Any, _session: Any, envelope: Any, address: str, options: list[str]
    ) -> str:
        """Take a sender, or answer as told."""
        if "MAIL" in self.answers:
            return _told(server, self.answers["MAIL"])
        envelope.mail_from = address
        envelope.mail_options.extend(options)
        return "250 OK"

    async def handle_RCPT(  # noqa: N802
        self, server: Any, _session: Any, envelope: Any, address: str, options: list[str]
    ) -> str:
        """Take a recipient, or answer as told."""
        if "RCPT" in self.answers:
            return _told(server, self.answers["RCPT"])
        envelope.rcpt_tos.append(address)
        envelope.rcpt_options.extend(options)
        return "250 OK"

    async def handle_QUIT(self, server: Any, _session: Any, _envelope: Any) -> str:  # noqa: N802
        """Say goodbye, or something else."""
        return _told(server, self.answers.get("QUIT", "221 Bye"))

    async def handle_DATA(self, _server: Any, _session: Any, envelope: Any) -> str:  # noqa: N802
        """Take a mail, or answer as told."""
        if self.answer:
            return self.answer
        mail = message_from_bytes(envelope.content, policy=default)
        if self.keep is not None:
            self.keep(mail)
            return "250 OK"
        self.taken.append(mail)
        self.envelopes.append((envelope.mail_from, list(envelope.rcpt_tos)))
        return "250 OK"


def _told(server: Any, answer: str) -> str:
    if not answer:
        server.transport.abort()
    return answer


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
