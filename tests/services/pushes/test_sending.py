"""Handing a message over: to public computers by https alone, whatever they answer."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.services.calendars.fetching import Reach
from clubplanner.services.pushes.sending import Answer, Envelope, Fate, origin_of, post_message

if TYPE_CHECKING:
    from tests.push_service import Service

BODY = b"encrypted"


def envelope(endpoint: str) -> Envelope:
    """Return a message to an endpoint."""
    return Envelope(endpoint, {"TTL": "60"}, BODY)


@pytest.mark.parametrize(
    ("status", "fate"),
    [
        (200, Fate.TAKEN),
        (201, Fate.TAKEN),
        (202, Fate.TAKEN),
        (301, Fate.NEVER),
        (307, Fate.NEVER),
        (400, Fate.NEVER),
        (401, Fate.LATER),
        (403, Fate.LATER),
        (404, Fate.GONE),
        (410, Fate.GONE),
        (413, Fate.NEVER),
        (429, Fate.LATER),
        (500, Fate.LATER),
        (503, Fate.LATER),
    ],
)
def test_each_answer_has_its_meaning(service: Service, status: int, fate: Fate) -> None:
    """As the standards have it; a redirect is not followed."""
    service.status = status
    assert service.post(envelope(f"{service.address}/a?b=c")) == Answer(fate, status)
    (taken,) = service.taken
    assert (taken.path, taken.body, taken.headers["ttl"]) == ("/a?b=c", BODY, "60")


@pytest.mark.parametrize(
    ("text", "wait"),
    [
        ("120", timedelta(minutes=2)),
        ("999999", timedelta(hours=1)),
        ("Wed, 25 Nov 2026 12:00:00 GMT", None),
        ("-5", None),
        ("١٢", None),
    ],
)
def test_a_service_may_ask_us_to_wait(service: Service, text: str, wait: timedelta | None) -> None:
    """Seconds, an hour at most (RFC 9110, section 10.2.3)."""
    service.status, service.retry_after = 429, text.encode().decode("latin-1")
    assert service.post(envelope(f"{service.address}/a")).wait == wait


def test_computers_inside_are_not_called_on(service: Service) -> None:
    """Not by a name that leads there, and not without https."""
    inside = Reach(resolve=service.reach.resolve, tls=service.reach.tls)
    message = envelope(f"{service.address}/a")
    assert post_message(message, reach=inside) == Answer(Fate.NEVER)
    plain = envelope(f"http://push.example:{service.port}/a")
    assert post_message(plain, reach=service.reach) == Answer(Fate.NEVER)
    assert service.taken == []


def test_nobody_there_or_somebody_else_is_tried_later(service: Service) -> None:
    """No such name, no answer, or a certificate that is another's."""
    unknown = envelope(f"https://other.example:{service.port}/a")
    assert service.post(unknown) == Answer(Fate.LATER)
    untrusted = Reach(resolve=service.reach.resolve, allow_loopback=True)
    assert post_message(envelope(f"{service.address}/a"), reach=untrusted) == Answer(Fate.LATER)
    assert service.post(envelope("https://push.example:1/a")) == Answer(Fate.LATER)
    assert service.taken == []


def test_an_origin_is_written_as_browsers_write_it() -> None:
    """RFC 6454, section 6.2: the usual port is left out."""
    assert origin_of("https://Push.Example:443/a?b") == "https://push.example"
    assert origin_of("https://push.example:8443/a") == "https://push.example:8443"
    assert origin_of("https://[2001:4860::1]/a") == "https://[2001:4860::1]"
