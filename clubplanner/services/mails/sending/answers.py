"""What a mail server's refusals mean: for one mail, or for the club's own set-up.

Whoever it turns away before it has heard of a recipient, it turns away with every mail: nothing is
lost then, and the secretary is told what to look at. After that only what is said of the recipient
or of this one message ends a mail; what may as well be about the club (relaying, policy) keeps it.

Decided by the enhanced status code where there is one (RFC 3463), else by the reply code (RFC
5321, section 4.2). Words of the answer count only against ending a mail.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.outputs.plain_text import one_line

if TYPE_CHECKING:
    from clubplanner.config import MailServer

ANSWER_LIMIT = 200
"""Characters of what a server said."""

_ENHANCED = re.compile(r"\s*[245]\.(\d{1,3})\.(\d{1,3})\b")
_OF_THE_CLUB = re.compile(r"relay|sender|authenti|log ?in|policy|spf|dkim|dmarc|blocked", re.I)
"""Words of refusals that concern who sends (common practice, no source)."""
_SIGN_IN_WANTED = frozenset({530, 534, 535, 538})
"""RFC 4954, section 6."""
_TALK_FAULTS = frozenset({500, 502, 503, 504, 554, 555})
"""Commands not understood, and 554, which says nothing more (RFC 5321, section 4.2.3)."""
_OF_THE_SENDER = frozenset({7, 8})
"""X.1.7 and X.1.8 (RFC 3463, section 3.2)."""


class Fate(StrEnum):
    """What the server made of a mail.

    TAKEN: It is the server's now. LATER: This mail has to wait. NEVER: Nobody will get it.
    NO_SERVER: The server takes no mail of the club's, whichever; all have to wait.
    BROKEN_OFF: This mail has to wait, and nobody knows whether the server took it.
    """

    TAKEN = "taken"
    LATER = "later"
    NEVER = "never"
    NO_SERVER = "no server"
    BROKEN_OFF = "broken off"


class Step(StrEnum):
    """Where in the talk a server refused."""

    GREETING = "greeting"
    ENCRYPTION = "encryption"
    SIGN_IN = "sign-in"
    SENDER = "sender"
    RECIPIENT = "recipient"
    MESSAGE = "message"


@dataclass(frozen=True, slots=True)
class Answer:
    """A reply of the server.

    Attributes:
        code: Three digits; -1 where it sent none.
        text: What follows them, as sent.
    """

    code: int
    text: str

    @classmethod
    def of(cls, code: int, text: bytes | str) -> Answer:
        """Read what `smtplib` gives."""
        return cls(code, text if isinstance(text, str) else text.decode("utf-8", "replace"))

    @property
    def status(self) -> tuple[int, int]:
        """Subject and detail of the enhanced status code; zeros where there is none."""
        found = _ENHANCED.match(self.text)
        return (int(found[1]), int(found[2])) if found else (0, 0)

    def told(self, server: MailServer) -> str:
        """Return what the server said as a sentence, without our password."""
        text = self.text.replace(server.password, "…") if server.password else self.text
        answer = one_line(f"{self.code} {text}" if self.code > 0 else text, ANSWER_LIMIT)
        return _("The server said: “%(answer)s”.", answer=answer) if answer else ""


def judge(step: Step, answer: Answer, server: MailServer) -> tuple[Fate, str]:
    """Return what a refusal means, and what to tell the secretary.

    Args:
        step: Where in the talk it came.
        answer: What the server said.
        server: The club's settings.

    Returns:
        The mail's fate; and words that say what happened, what to check and what the server said.
    """
    fate = _fate(step, answer)
    words = {
        Fate.NEVER: _never_words,
        Fate.LATER: _later_words,
        Fate.NO_SERVER: _set_up_words,
    }[fate](step, answer, server)
    return fate, f"{words} {answer.told(server)}".strip()


def _fate(step: Step, answer: Answer) -> Fate:
    if answer.code in _SIGN_IN_WANTED:
        return Fate.NO_SERVER
    if step is Step.RECIPIENT:
        return _of_recipient(answer)
    is_too_large = answer.code == 552 and answer.status[0] == 3
    if step is Step.MESSAGE or (step is Step.SENDER and is_too_large):  # RFC 1870, section 6.1
        return _of_message(answer)
    return Fate.NO_SERVER


def _of_recipient(answer: Answer) -> Fate:
    subject, detail = answer.status
    if answer.code < 500:
        return Fate.LATER
    if subject == 1:
        return Fate.LATER if detail in _OF_THE_SENDER else Fate.NEVER
    if subject == 2:  # a full mailbox can be emptied (RFC 3463, section 3.3)
        return Fate.LATER if detail == 2 else Fate.NEVER
    if subject in {3, 4, 6, 7}:
        return _of_message(answer)
    # 552 may be a limit of the server's or a full mailbox (RFC 5321, section 4.5.3.1.10).
    if answer.code in _TALK_FAULTS | {552} or _OF_THE_CLUB.search(answer.text):
        return Fate.LATER
    return Fate.NEVER


def _of_message(answer: Answer) -> Fate:
    """Judge a refusal once the message is known: its content can be at fault, or its size.

    RFC 5321 (section 4.3.2) has 550 after the text for reasons of policy: those of the server
    against the club, as a rule, so such mails wait for somebody to look.
    """
    subject, detail = answer.status
    if answer.code < 500:
        return Fate.LATER
    if subject in {1, 2}:
        return _of_recipient(answer)
    is_too_large = (subject, detail) == (3, 4)
    return Fate.NEVER if is_too_large or subject == 6 else Fate.LATER


def _never_words(step: Step, answer: Answer, server: MailServer) -> str:
    del server
    if step is Step.RECIPIENT or answer.status[0] in {1, 2}:
        return _("The mail server knows nobody of this address, so nobody gets it; check it.")
    return _("The mail server does not take this mail as it is, so nobody gets it.")


def _later_words(step: Step, answer: Answer, server: MailServer) -> str:
    del step
    if answer.code < 500:
        return _("The mail server cannot take it now; it is tried again.")
    return _(
        "The mail server refuses it, perhaps not because of whom it is for; it is tried again. Ask "
        "whoever runs the mail server whether %(sender)s may send through it.",
        sender=server.sender,
    )


def _set_up_words(step: Step, answer: Answer, server: MailServer) -> str:
    if 400 <= answer.code < 500:
        return _(
            "The mail server %(host)s takes no mails at the moment. If it lasts, ask whoever runs "
            "it.",
            host=server.host,
        )
    if answer.code in _SIGN_IN_WANTED and step is not Step.SIGN_IN and not server.user:
        return _(
            "The mail server %(host)s wants a name and a password before it takes mails. Set "
            "CLUBPLANNER_SMTP_USER and CLUBPLANNER_SMTP_PASSWORD.",
            host=server.host,
        )
    if answer.code in _SIGN_IN_WANTED or step is Step.SIGN_IN:
        return _(
            "The mail server %(host)s refuses our name or password. Check CLUBPLANNER_SMTP_USER "
            "and CLUBPLANNER_SMTP_PASSWORD.",
            host=server.host,
        )
    if step is Step.SENDER:
        return _(
            "The mail server %(host)s takes no mails from %(sender)s. Check CLUBPLANNER_MAIL_FROM, "
            "and whether our name there may send from this address.",
            host=server.host,
            sender=server.sender,
        )
    if step is Step.ENCRYPTION:
        return _(
            "The mail server %(host)s lacks what the settings ask of it: encryption on port "
            "%(port)s. Check CLUBPLANNER_SMTP_SECURITY and CLUBPLANNER_SMTP_PORT.",
            host=server.host,
            port=server.port,
        )
    return _(
        "The mail server %(host)s turns this computer away. Check CLUBPLANNER_SMTP_HOST, and ask "
        "whoever runs the server whether this computer may send through it.",
        host=server.host,
    )
