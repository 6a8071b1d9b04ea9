"""Encrypting a message for one browser (RFC 8291, in the encoding of RFC 8188).

The service that carries it to the phone sees its length and nothing else.
"""

from __future__ import annotations

import base64
import binascii
import re
from dataclasses import dataclass, field

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

CURVE = ec.SECP256R1()
RECORD_OCTETS = 4096
"""Size of a record (RFC 8291, section 4: one record a message)."""
MOST_OCTETS = 3993
"""Longest text: 4096 octets less the header of 86, the tag of 16 and the octet that ends the text;
services have to take 4096 (RFC 8030, section 7.2)."""
AUTH_OCTETS = 16
SALT_OCTETS = 16
_LAST_RECORD = b"\x02"
_LETTERS = re.compile(r"[A-Za-z0-9_-]*")


@dataclass(frozen=True, slots=True)
class BrowserKeys:
    """What a browser gave us to encrypt with.

    Attributes:
        public: Its public key: a point of P-256, uncompressed, 65 octets.
        auth: Its authentication secret, 16 octets.
    """

    public: bytes = field(repr=False)
    auth: bytes = field(repr=False)

    def __post_init__(self) -> None:
        ec.EllipticCurvePublicKey.from_encoded_point(CURVE, self.public)
        if len(self.public) != 65 or len(self.auth) != AUTH_OCTETS:
            raise ValueError("Give a key of 65 octets and a secret of 16.")


def encrypt(text: bytes, keys: BrowserKeys, own: ec.EllipticCurvePrivateKey, salt: bytes) -> bytes:
    """Encrypt a text for a browser.

    Args:
        text: At most `MOST_OCTETS`.
        keys: The browser's.
        own: A key of ours, for this one message.
        salt: 16 random octets, for this one message.

    Returns:
        The body of a request with “Content-Encoding: aes128gcm”.

    Raises:
        ValueError: If the text is too long.
    """
    if len(text) > MOST_OCTETS or len(salt) != SALT_OCTETS:
        raise ValueError(f"Give a text of {MOST_OCTETS} octets at most, and a salt of 16.")
    public = point_of(own)
    theirs = ec.EllipticCurvePublicKey.from_encoded_point(CURVE, keys.public)
    shared = own.exchange(ec.ECDH(), theirs)
    both = b"WebPush: info\0" + keys.public + public
    secret = _derive(shared, keys.auth, both, 32)
    key = _derive(secret, salt, b"Content-Encoding: aes128gcm\0", 16)
    nonce = _derive(secret, salt, b"Content-Encoding: nonce\0", 12)
    header = salt + RECORD_OCTETS.to_bytes(4, "big") + bytes([len(public)]) + public
    return header + AESGCM(key).encrypt(nonce, text + _LAST_RECORD, None)


def point_of(key: ec.EllipticCurvePrivateKey) -> bytes:
    """Return the public half of a key: a point, uncompressed, 65 octets."""
    return key.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)


def as_words(octets: bytes) -> str:
    """Write octets as base64url without padding (RFC 7515, section 2)."""
    return base64.urlsafe_b64encode(octets).rstrip(b"=").decode()


def from_words(words: str) -> bytes:
    """Read octets that are written as base64url, padded or not.

    Raises:
        ValueError: If they are not.
    """
    letters = words.rstrip("=")
    if _LETTERS.fullmatch(letters) is None:
        raise ValueError("These are not octets in base64url.")
    try:
        return base64.urlsafe_b64decode(letters + "=" * (-len(letters) % 4))
    except binascii.Error as error:
        raise ValueError("These are not octets in base64url.") from error


def _derive(secret: bytes, salt: bytes, info: bytes, octets: int) -> bytes:
    return HKDF(SHA256(), octets, salt, info).derive(secret)
