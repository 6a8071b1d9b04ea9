"""Signatures are those of the open standard."""

from __future__ import annotations

import base64
from datetime import UTC, datetime

from clubplanner.outputs.webhooks.signature import (
    SECRET_OCTETS,
    secret_from_octets,
    signed_headers,
)

SECRET = "MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
MESSAGE = "msg_p5jXN8AQM9LWM0D4loKWxJek"
AT = datetime.fromtimestamp(1614265330, UTC)
BODY = b'{"test": 2432232314}'


def test_the_published_example_comes_out() -> None:
    """Source: github.com/standard-webhooks/standard-webhooks, libraries/go/webhook_test.go.

    There in `TestWebhookSign`, with the secret written "whsec_…".
    """
    assert signed_headers(MESSAGE, AT, BODY, SECRET) == {
        "webhook-id": MESSAGE,
        "webhook-timestamp": "1614265330",
        "webhook-signature": "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE=",
    }


def test_a_secret_is_as_long_as_the_standard_asks() -> None:
    """24 to 64 octets, in base64 ("Signature scheme", same source)."""
    octets = bytes(range(SECRET_OCTETS))
    assert 24 <= SECRET_OCTETS <= 64
    assert base64.b64decode(secret_from_octets(octets), validate=True) == octets


def test_whatever_is_changed_changes_the_signature() -> None:
    """The message's name, its instant, each octet of it, and the secret."""
    signature = signed_headers(MESSAGE, AT, BODY, SECRET)["webhook-signature"]
    later = datetime.fromtimestamp(1614265331, UTC)
    other = secret_from_octets(bytes(24))
    for changed in (
        signed_headers("msg_q", AT, BODY, SECRET),
        signed_headers(MESSAGE, later, BODY, SECRET),
        signed_headers(MESSAGE, AT, BODY + b" ", SECRET),
        signed_headers(MESSAGE, AT, BODY, other),
    ):
        assert changed["webhook-signature"] != signature


def test_while_a_secret_is_exchanged_there_is_a_signature_by_each() -> None:
    """A blank between them, the newest first ("Webhook headers", same source)."""
    other = secret_from_octets(bytes(24))
    both = signed_headers(MESSAGE, AT, BODY, other, [SECRET])["webhook-signature"].split(" ")
    assert both == [
        signed_headers(MESSAGE, AT, BODY, secret)["webhook-signature"] for secret in (other, SECRET)
    ]
