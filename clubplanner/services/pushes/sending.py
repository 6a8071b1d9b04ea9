"""Handing a message to the service that carries it to a browser (RFC 8030), and what it answers.

Only https to public computers, like everything that the server calls on for a person; no redirect
is followed, and one time limit holds for all of it.
"""

from __future__ import annotations

import http.client
import ssl
import time
from dataclasses import dataclass, field
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from clubplanner.services.addresses.public_hosts import InternalHostError, checked_addresses
from clubplanner.services.calendars.fetching import Reach
from clubplanner.services.calendars.timed_http import Target, TimedConnection

if TYPE_CHECKING:
    from collections.abc import Mapping

HTTPS_PORT = 443
SECONDS = 10.0
LONGEST_WAIT = timedelta(hours=1)
ANYBODY_PUBLIC = Reach()


class Fate(StrEnum):
    """What a service made of a message.

    TAKEN: It is the service's now. LATER: Try again. GONE: The browser takes none any more.
    NEVER: This message is not taken, however often.
    """

    TAKEN = "taken"
    LATER = "later"
    GONE = "gone"
    NEVER = "never"


@dataclass(frozen=True, slots=True)
class Envelope:
    """A message as it is sent.

    Attributes:
        endpoint: Where to; secret.
        headers: TTL, Urgency, Topic, Authorization.
        body: Encrypted.
    """

    endpoint: str = field(repr=False)
    headers: Mapping[str, str] = field(repr=False)
    body: bytes = field(repr=False)


@dataclass(frozen=True, slots=True)
class Answer:
    """What became of a message.

    Attributes:
        fate: What to do with it.
        status: The HTTP status; None where there was no answer.
        wait: How long the service asks us to wait; None if it does not.
    """

    fate: Fate
    status: int | None = None
    wait: timedelta | None = None


def origin_of(endpoint: str) -> str:
    """Return a service's origin (RFC 6454, section 6.2), such as "https://push.example:8443"."""
    parts = urlsplit(endpoint)
    host = (parts.hostname or "").lower()
    shown = f"[{host}]" if ":" in host else host
    port = parts.port or HTTPS_PORT
    return f"https://{shown}" if port == HTTPS_PORT else f"https://{shown}:{port}"


def post_message(
    envelope: Envelope, *, reach: Reach = ANYBODY_PUBLIC, seconds: float = SECONDS
) -> Answer:
    """Hand a message over.

    Args:
        envelope: The message.
        reach: Whom to reach.
        seconds: Time for all of it.
    """
    deadline = time.monotonic() + seconds
    parts = urlsplit(envelope.endpoint)
    host, port = parts.hostname or "", parts.port or HTTPS_PORT
    if parts.scheme != "https":
        return Answer(Fate.NEVER)
    try:
        addresses = checked_addresses(
            host,
            port,
            resolve=reach.resolve,
            deadline=deadline,
            allow_loopback=reach.allow_loopback,
        )
    except InternalHostError:
        return Answer(Fate.NEVER)
    except OSError:  # a TimeoutError is one, too
        return Answer(Fate.LATER)
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    tls = reach.tls if reach.tls is not None else ssl.create_default_context()
    connection = TimedConnection(Target(host, port, path, addresses, tls), deadline)
    try:
        connection.request("POST", path, envelope.body, dict(envelope.headers))
        with connection.getresponse() as answer:
            return _judge(answer.status, answer.getheader("Retry-After") or "")
    except (OSError, http.client.HTTPException, ValueError):
        return Answer(Fate.LATER)
    finally:
        connection.close()


def _judge(status: int, retry_after: str) -> Answer:
    """Say what a status means (RFC 8030, sections 5 and 7.3; RFC 9110, section 15).

    401 and 403 are about our key or clock: what is wrong there can be mended while the message
    still counts, so it is tried again.
    """
    if status // 100 == 2:
        return Answer(Fate.TAKEN, status)
    if status in {404, 410}:
        return Answer(Fate.GONE, status)
    if status in {401, 403, 408, 425, 429} or status >= 500:
        return Answer(Fate.LATER, status, _wait(retry_after))
    return Answer(Fate.NEVER, status)


def _wait(text: str) -> timedelta | None:
    """Read the seconds that a service asks us to wait; a date says nothing to us."""
    if not text.isascii() or not text.isdecimal() or len(text) > 9:
        return None
    return min(timedelta(seconds=int(text)), LONGEST_WAIT)
