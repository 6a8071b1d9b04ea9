"""Handing a message to another program, and what it answers."""

from __future__ import annotations

import http.client
import ssl
import time
from dataclasses import dataclass, field
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.language import _
from clubplanner.services.calendars.fetching import (
    Reach,
    StopError,
    checked_address,
    target_of,
)
from clubplanner.services.calendars.timed_http import TimedConnection

if TYPE_CHECKING:
    from collections.abc import Mapping
    from urllib.parse import SplitResult

SECONDS = 15.0
"""For all of a try: 15 to 30 by the standard ("Request timeouts")."""
LONGEST_WAIT = timedelta(hours=1)


class Fate(StrEnum):
    """What another program made of a message.

    TAKEN: It has it. LATER: It is tried again. GONE: It wants none any more.
    """

    TAKEN = "taken"
    LATER = "later"
    GONE = "gone"


@dataclass(frozen=True, slots=True)
class Message:
    """A message as it is sent.

    Attributes:
        url: Where to; may be secret.
        headers: Who sends which message, signed.
        body: JSON, UTF-8.
    """

    url: str = field(repr=False)
    headers: Mapping[str, str]
    body: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of a message.

    Attributes:
        fate: What to do with it.
        words: What went wrong, a sentence or two; blank where it was taken.
        status: The HTTP status; None where there was no answer.
        wait: How long the other program asks us to wait; None if it does not.
    """

    fate: Fate
    words: str = ""
    status: int | None = None
    wait: timedelta | None = None


def is_allowed(url: str, reach: Reach) -> bool:
    """Tell whether messages may go to an address: https, or http to the one computer near by.

    Raises:
        StopError: If it cannot be read, or has a name or password in it.
    """
    parts = checked_address(url)
    return parts.scheme == "https" or reach.is_near(parts) or reach.allow_loopback


def post_message(message: Message, *, reach: Reach, seconds: float = SECONDS) -> Answer:
    """Hand a message over.

    Args:
        message: The message.
        reach: Whom to reach.
        seconds: Time for all of it.
    """
    deadline = time.monotonic() + seconds
    try:
        if not is_allowed(message.url, reach):
            return Answer(Fate.LATER, words_of("plain"))
        parts = checked_address(message.url)
        tls = reach.tls if reach.tls is not None else ssl.create_default_context()
        target = target_of(parts, tls, reach, deadline, is_near=reach.is_near(parts))
        return _post(TimedConnection(target, deadline), message, parts)
    except StopError as stop:
        return Answer(Fate.LATER, words_of(stop.problem.code))


def words_of(code: str) -> str:
    """Say what is wrong with an address or whom it leads to, and what to do."""
    words = {
        "no-address": _("Give an address that starts with https://, without blanks."),
        "plain": _(
            "Give an address that starts with https://: what is sent would be read on its way. "
            "Only the one computer of the club's own network that whoever runs the planner names "
            "in its settings (CLUBPLANNER_CALENDAR_HOST) may be told by http://."
        ),
        "credentials": _(
            "The address has a name or password before the @. Give one without; what is sent is "
            "signed."
        ),
        "internal-address": _(
            "The address leads to a computer inside a network, where nothing is sent from here. "
            "Give one that is open to everybody; or whoever runs the planner names this one "
            "computer in its settings (CLUBPLANNER_CALENDAR_HOST)."
        ),
        "unknown-computer": _("There is no computer of that name. Check the address."),
        "not-trusted": _(
            "The computer cannot prove that it is the one named. Check the address, or ask "
            "whoever runs it to renew its certificate."
        ),
        "too-slow": _("The computer is too slow to answer."),
    }
    return words.get(code) or _("The computer does not answer as it should.")


def _post(connection: TimedConnection, message: Message, parts: SplitResult) -> Answer:
    path = parts.path + (f"?{parts.query}" if parts.query else "")
    headers = {
        "Content-Type": "application/json",
        "User-Agent": "clubplanner",
        "Connection": "close",
        **message.headers,
    }
    try:
        connection.request("POST", path, message.body, headers)
        with connection.getresponse() as answer:
            return _judge(answer.status, answer.getheader("Retry-After") or "")
    except TimeoutError:
        return Answer(Fate.LATER, words_of("too-slow"))
    except ssl.SSLError:
        return Answer(Fate.LATER, words_of("not-trusted"))
    except (OSError, http.client.HTTPException, ValueError):
        return Answer(Fate.LATER, words_of("no-answer"))
    finally:
        connection.close()


def _judge(status: int, retry_after: str) -> Answer:
    """Say what a status means (the standard, "Delivery success and failure")."""
    if status // 100 == 2:
        return Answer(Fate.TAKEN, "", status)
    if status == 410:
        return Answer(Fate.GONE, _("The program answers that it wants no more (410)."), status)
    words = _("The program answers with the number %(status)s instead of taking it.", status=status)
    if status // 100 == 3:
        words += " " + _("It leads on to another address; give that one.")
    return Answer(Fate.LATER, words, status, _wait(retry_after))


def _wait(text: str) -> timedelta | None:
    """Read the seconds that we are asked to wait; a date says nothing to us."""
    if not text.isascii() or not text.isdecimal() or len(text) > 9:
        return None
    return min(timedelta(seconds=int(text)), LONGEST_WAIT)
