"""Signatures of messages to other programs, by the open standard of webhooks.

Standard Webhooks 1.0.0, https://github.com/standard-webhooks/standard-webhooks
(spec/standard-webhooks.md, "Signature scheme" and "Webhook headers").
"""

from __future__ import annotations

import base64
import hashlib
import hmac
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

PREFIX = "whsec_"
"""With which secrets are handed over, so that programs know what they are."""
SECRET_OCTETS = 32
"""24 to 64 by the standard."""


def secret_from_octets(octets: bytes) -> str:
    """Write a secret as it is kept: base64, without the prefix."""
    return base64.b64encode(octets).decode()


def signed_headers(
    message_id: str, at: datetime, body: bytes, secret: str, former: Sequence[str] = ()
) -> dict[str, str]:
    """Return the headers that say which message it is, when it was sent, and that it is ours.

    While a secret is exchanged a message bears several signatures, a blank between them, of which
    its reader needs one ("Webhook headers"; "zero downtime secret rotation").

    Args:
        message_id: The same at every try; without a full stop.
        at: When this try is made, UTC.
        body: What is sent, octet by octet.
        secret: As `secret_from_octets` wrote it.
        former: Secrets before it that still count.
    """
    seconds = str(int(at.timestamp()))
    signed = b".".join((message_id.encode(), seconds.encode(), body))
    return {
        "webhook-id": message_id,
        "webhook-timestamp": seconds,
        "webhook-signature": " ".join(_signature(signed, one) for one in (secret, *former)),
    }


def _signature(signed: bytes, secret: str) -> str:
    digest = hmac.new(base64.b64decode(secret), signed, hashlib.sha256).digest()
    return f"v1,{base64.b64encode(digest).decode()}"
