"""The club's signature on its messages (VAPID, RFC 8292): who sends, where to, until when."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.hashes import SHA256

from clubplanner.outputs.pushes.encryption import CURVE, as_words, from_words, point_of

if TYPE_CHECKING:
    from datetime import datetime

_HEADER = {"typ": "JWT", "alg": "ES256"}


def key_from_words(private: str) -> ec.EllipticCurvePrivateKey:
    """Return the club's key, from its private half as 32 octets in base64url."""
    return ec.derive_private_key(int.from_bytes(from_words(private), "big"), CURVE)


def words_from_key(key: ec.EllipticCurvePrivateKey) -> tuple[str, str]:
    """Return the private and the public half of a key as they are kept, both in base64url."""
    private = key.private_numbers().private_value.to_bytes(32, "big")
    return as_words(private), as_words(point_of(key))


def authorization(
    key: ec.EllipticCurvePrivateKey, audience: str, expires_at: datetime, subject: str
) -> str:
    """Return the value of the header “Authorization” of a request to a service.

    Args:
        key: The club's.
        audience: The service's origin, such as "https://push.example:8443".
        expires_at: Until when it holds; 24 hours from now at most (RFC 8292, section 2).
        subject: How whoever runs the service reaches the club, "mailto:…" or "https:…"; blank to
            say nothing, which some services refuse.
    """
    claims: dict[str, object] = {"aud": audience, "exp": int(expires_at.timestamp())}
    if subject:
        claims["sub"] = subject
    signed = ".".join(as_words(_json(part)) for part in (_HEADER, claims))
    first, second = decode_dss_signature(key.sign(signed.encode(), ec.ECDSA(SHA256())))
    signature = first.to_bytes(32, "big") + second.to_bytes(32, "big")  # RFC 7518, section 3.4
    return f"vapid t={signed}.{as_words(signature)},k={as_words(point_of(key))}"


def _json(value: dict[str, object] | dict[str, str]) -> bytes:
    return json.dumps(value, separators=(",", ":")).encode()
