"""Fetching a calendar that a person named by its address, without being led anywhere else.

Only http and https to public computers, and to one on the club's own network if whoever runs the
planner has named it (`Config.calendar_host`); each hop of a redirect is checked like the first. A
limit on size, on the time for all of it, and on redirects. What goes wrong is a `Problem` in words.
No message repeats the address: it may be secret.
"""

from __future__ import annotations

import http.client
import re
import ssl
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from typing import TYPE_CHECKING
from urllib.parse import quote, urljoin, urlsplit

from clubplanner.domain.problems import Problem
from clubplanner.language import _, figure
from clubplanner.services.addresses.public_hosts import (
    InternalHostError,
    Resolve,
    checked_addresses,
    resolve_by_system,
)
from clubplanner.services.calendars.timed_http import Target, TimedConnection, left_until

if TYPE_CHECKING:
    from urllib.parse import SplitResult

    from clubplanner.config import Config, NearHost

PLACE = "calendar address"
URL_LIMIT = 2000
"""Characters of an address (common practice, no source)."""

_SCHEMES = {"webcal": "https", "webcals": "https", "https": "https", "http": "http"}
_PORTS = {"https": 443, "http": 80}
_HOST = re.compile(r"[A-Za-z0-9._-]{1,253}|[0-9A-Fa-f:.]{2,45}")
_UNSEEN = re.compile(r"[\x00-\x20\x7f]")
_MARK = re.compile(r"[ -~]{1,500}")
_REDIRECTS = frozenset({301, 302, 303, 307, 308})
_GONE = frozenset({401, 403, 404, 410})


@dataclass(frozen=True, slots=True)
class Marks:
    """What a server said of the version it sent (RFC 9110, section 8.8), to be given back to it.

    Attributes:
        etag: As sent; blank for none.
        last_modified: As sent; blank for none.
    """

    etag: str = ""
    last_modified: str = ""


@dataclass(frozen=True, slots=True)
class Fetched:
    """A calendar as it was sent.

    Attributes:
        data: The octets.
        marks: Keep them for the next time.
    """

    data: bytes = field(repr=False)
    marks: Marks


@dataclass(frozen=True, slots=True)
class Unchanged:
    """The calendar is as it was the last time."""


Fetch = Callable[[str, Marks], Fetched | Unchanged | Problem]
"""How a calendar is fetched."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """How far a fetch may go.

    Attributes:
        octets: Largest calendar.
        seconds: Time for all of it, redirects included.
        redirects: Most hops after the first.
    """

    octets: int = 5_000_000
    seconds: float = 20.0
    redirects: int = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How and whom a fetch may reach; the defaults are for real use, others for tests.

    Attributes:
        resolve: Asks for the addresses of a name.
        tls: How to encrypt; None for the system's authorities.
        allow_loopback: Whether this computer itself may be reached.
        near: The computer that may lie on the club's own network; None for none. Nobody is led
            there by another one.
    """

    resolve: Resolve = resolve_by_system
    tls: ssl.SSLContext | None = None
    allow_loopback: bool = False
    near: NearHost | None = None

    def is_near(self, parts: SplitResult) -> bool:
        """Tell whether a checked address names the computer that may lie near."""
        if self.near is None or parts.hostname != self.near.name:
            return False
        return parts.port == (self.near.port or _PORTS[parts.scheme])


class StopError(Exception):
    """Carries the problem that ends a fetch, told of a calendar.

    Attributes:
        problem: Its `code` says it to whoever fetches something else.
    """

    def __init__(self, code: str, message: str) -> None:
        super().__init__(code)
        self.problem = Problem(PLACE, code, message)


def fetch_calendar(
    url: str, marks: Marks = Marks(), *, limits: Limits = Limits(), reach: Reach = Reach()
) -> Fetched | Unchanged | Problem:
    """Fetch a calendar.

    Args:
        url: http, https or webcal; webcal is taken as https.
        marks: Of the version that is held already.
        limits: How far to go.
        reach: Whom to reach.

    Returns:
        The calendar; or that it has not changed; or what is wrong and what to do.
    """
    deadline = time.monotonic() + limits.seconds
    context = reach.tls if reach.tls is not None else ssl.create_default_context()
    is_near = True
    try:
        for _unused in range(limits.redirects + 1):
            parts = checked_address(url)
            is_near = is_near and reach.is_near(parts)
            target = target_of(parts, context, reach, deadline, is_near=is_near)
            answer = _ask(target, marks, limits, deadline)
            if not isinstance(answer, str):
                return answer
            url = _next_hop(parts, answer)
    except StopError as stop:
        return stop.problem
    message = _("The address leads on too many times. Give the address where the calendar is")
    return Problem(PLACE, "too-many-redirects", f"{message}.")


def fetch_within(config: Config) -> Fetch:
    """Return how calendars are fetched with a planner's settings."""
    return partial(fetch_calendar, reach=Reach(near=config.calendar_host))


def checked_address(url: str) -> SplitResult:
    """Take an address apart, and refuse what is not to be called on.

    Raises:
        StopError: With the code "no-address" or "credentials".
    """
    text = url.strip()
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        parts, port = urlsplit(""), None
    host = (parts.hostname or "").rstrip(".")
    if len(text) > URL_LIMIT or _UNSEEN.search(text) or parts.scheme not in _SCHEMES or port == 0:
        raise StopError(
            "no-address",
            _("Give an address that starts with https://, http:// or webcal://, without blanks."),
        )
    if parts.username is not None or parts.password is not None:
        raise StopError(
            "credentials",
            _(
                "The address has a name or password before the @. Give the calendar's own "
                "private address instead."
            ),
        )
    try:
        host = host.encode("idna").decode("ascii")
    except UnicodeError:
        host = ""
    if not _HOST.fullmatch(host):
        raise StopError("no-address", _("The address names no computer. Copy it whole."))
    scheme = _SCHEMES[parts.scheme]
    shown = f"[{host}]" if ":" in host else host
    return parts._replace(
        scheme=scheme,
        netloc=f"{shown}:{port or _PORTS[scheme]}",
        path=quote(parts.path or "/", safe="/%:@!$&'()*+,;=~"),
        query=quote(parts.query, safe="/%:@!$&'()*+,;=~?"),
        fragment="",
    )


def target_of(
    parts: SplitResult, tls: ssl.SSLContext, reach: Reach, deadline: float, *, is_near: bool
) -> Target:
    """Find the checked addresses of where a request goes.

    Args:
        parts: Of a checked address.
        tls: How to encrypt, where it is https.
        reach: Whom to reach.
        deadline: On the monotonic clock, seconds.
        is_near: Whether it may lie on the club's own network.

    Raises:
        StopError: With the code "internal-address", "too-slow" or "unknown-computer".
    """
    host, port = parts.hostname or "", parts.port or 0
    try:
        addresses = checked_addresses(
            host,
            port,
            resolve=reach.resolve,
            deadline=deadline,
            allow_loopback=reach.allow_loopback,
            allow_near=is_near,
        )
    except InternalHostError as error:
        raise StopError(
            "internal-address",
            _(
                "The address leads to a computer inside a network, which is not read from "
                "here. Give one that is open to everybody; or whoever runs the planner names "
                "this one computer in its settings (CLUBPLANNER_CALENDAR_HOST)."
            ),
        ) from error
    except TimeoutError as error:
        raise _too_slow() from error
    except OSError as error:
        raise StopError(
            "unknown-computer", _("There is no computer of that name. Check the address.")
        ) from error
    path = parts.path + (f"?{parts.query}" if parts.query else "")
    return Target(host, port, path, addresses, tls if parts.scheme == "https" else None)


def _ask(
    target: Target, marks: Marks, limits: Limits, deadline: float
) -> Fetched | Unchanged | str:
    """Send one request; a text is where the server leads on to."""
    connection = TimedConnection(target, deadline)
    try:
        connection.request("GET", target.path, headers=_headers(marks))
        with connection.getresponse() as answer:
            return _outcome(answer, marks, limits, deadline)
    except TimeoutError as error:
        raise _too_slow() from error
    except ssl.SSLError as error:
        raise StopError(
            "not-trusted",
            _(
                "The computer cannot prove that it is the one named. Check the address, or "
                "ask whoever runs it to renew its certificate."
            ),
        ) from error
    except (OSError, http.client.HTTPException, ValueError) as error:
        raise StopError(
            "no-answer", _("The computer does not answer as it should. Try again later.")
        ) from error
    finally:
        connection.close()


def _outcome(
    answer: http.client.HTTPResponse, marks: Marks, limits: Limits, deadline: float
) -> Fetched | Unchanged | str:
    if answer.status in _REDIRECTS:
        return answer.getheader("Location") or ""
    if answer.status == http.client.NOT_MODIFIED and marks != Marks():
        return Unchanged()
    _refuse_status(answer)
    data = _read(answer, limits, deadline)
    etag, modified = (answer.getheader(name) or "" for name in ("ETag", "Last-Modified"))
    return Fetched(data, Marks(_kept(etag), _kept(modified)))


def _headers(marks: Marks) -> dict[str, str]:
    headers = {
        "User-Agent": "clubplanner",
        "Accept": "text/calendar, */*;q=0.5",
        "Accept-Encoding": "identity",
        "Connection": "close",
    }
    if _kept(marks.etag):
        headers["If-None-Match"] = marks.etag
    if _kept(marks.last_modified):
        headers["If-Modified-Since"] = marks.last_modified
    return headers


def _refuse_status(answer: http.client.HTTPResponse) -> None:
    if answer.status in _GONE:
        raise StopError(
            "no-calendar",
            _(
                "There is no calendar at the address any more, or it is not open to "
                "everybody. Ask for its newest address."
            ),
        )
    if answer.status != http.client.OK:
        raise StopError(
            "no-answer",
            _(
                "The computer answers with the number %(status)s instead of a calendar. Try "
                "again later.",
                status=answer.status,
            ),
        )
    if (answer.getheader("Content-Encoding") or "identity").strip().lower() != "identity":
        raise StopError(
            "no-answer", _("The computer sends the calendar packed, though it was asked not to.")
        )


def _read(answer: http.client.HTTPResponse, limits: Limits, deadline: float) -> bytes:
    """Read the body, never more than the limit and a little."""
    too_large = StopError(
        "too-large",
        _(
            "The calendar is larger than %(octets)s octets. Give a smaller one.",
            octets=figure(limits.octets, ","),
        ),
    )
    if (answer.length or 0) > limits.octets:
        raise too_large
    pieces, size = [], 0
    while piece := answer.read(min(65_536, limits.octets + 1)):
        left_until(deadline)
        pieces.append(piece)
        size += len(piece)
        if size > limits.octets:
            raise too_large
    if answer.length:
        raise http.client.IncompleteRead(b"")
    return b"".join(pieces)


def _next_hop(parts: SplitResult, location: str) -> str:
    """Return where a redirect leads; it is checked like any address."""
    try:
        url = urljoin(parts.geturl(), location.strip())
    except ValueError:
        url = ""
    if not location.strip() or not url:
        raise StopError("no-answer", _("The address leads on, but does not say where to."))
    if parts.scheme == "https" and url.lower().startswith("http:"):
        raise StopError(
            "not-trusted",
            _(
                "The address leads from https to http, where anybody could change the "
                "calendar. Give one that stays with https."
            ),
        )
    return url


def _kept(mark: str) -> str:
    return mark if _MARK.fullmatch(mark) else ""


def _too_slow() -> StopError:
    return StopError("too-slow", _("The computer is too slow to answer. Try again later."))
