"""Messages that only one phone can read: read back by `http-ece`, which shares no code with us."""

from __future__ import annotations

import base64
from datetime import UTC, datetime

import http_ece
import pytest
from cryptography.hazmat.primitives.asymmetric import ec
from hypothesis import given
from hypothesis import strategies as st
from py_vapid import Vapid02

from clubplanner.outputs.pushes.encryption import (
    CURVE,
    MOST_OCTETS,
    BrowserKeys,
    as_words,
    encrypt,
    from_words,
    point_of,
)
from clubplanner.outputs.pushes.signature import authorization, key_from_words, words_from_key

THEIRS = ec.derive_private_key(7, CURVE)
OWN = ec.derive_private_key(11, CURVE)
AUTH, SALT = bytes(range(16)), bytes(range(16, 32))
KEYS = BrowserKeys(point_of(THEIRS), AUTH)


def read(body: bytes) -> bytes:
    """Decrypt as a phone would."""
    text = http_ece.decrypt(body, private_key=THEIRS, auth_secret=AUTH, version="aes128gcm")
    assert isinstance(text, bytes)
    return text


@given(st.binary(max_size=MOST_OCTETS))
def test_a_phone_reads_what_was_written(text: bytes) -> None:
    """Every text that is short enough comes back, within what services have to take."""
    body = encrypt(text, KEYS, OWN, SALT)
    assert len(body) <= 4096
    assert read(body) == text


def test_the_longest_text_fills_what_services_take() -> None:
    """RFC 8030, section 7.2: 4096 octets; one more of text is refused here."""
    assert len(encrypt(bytes(MOST_OCTETS), KEYS, OWN, SALT)) == 4096
    with pytest.raises(ValueError, match="3993"):
        encrypt(bytes(MOST_OCTETS + 1), KEYS, OWN, SALT)


@pytest.mark.parametrize(
    ("public", "auth"),
    [
        (b"", AUTH),
        (bytes(65), AUTH),
        (b"\x04" + bytes(64), AUTH),
        (point_of(THEIRS)[:-1], AUTH),
        (point_of(THEIRS), AUTH[:-1]),
    ],
)
def test_keys_that_are_none_are_refused(public: bytes, auth: bytes) -> None:
    """A point off the curve would give our own key away (RFC 8291, section 7)."""
    with pytest.raises(ValueError, match=r"\w"):
        BrowserKeys(public, auth)


def test_a_compressed_point_is_refused() -> None:
    """Browsers send 65 octets; both sides mix the very octets into the secret."""
    odd_or_even = b"\x02" if point_of(THEIRS)[-1] % 2 == 0 else b"\x03"
    with pytest.raises(ValueError, match="65"):
        BrowserKeys(odd_or_even + point_of(THEIRS)[1:33], AUTH)


@given(st.binary(max_size=80))
def test_octets_survive_being_words(octets: bytes) -> None:
    """With padding or without."""
    assert from_words(as_words(octets)) == octets
    assert from_words(base64.urlsafe_b64encode(octets).decode()) == octets


@pytest.mark.parametrize("words", ["a", "ä", "a b c", "a+/b", "####"])
def test_words_that_are_none_are_refused(words: str) -> None:
    """A fault is a ValueError whatever is wrong."""
    with pytest.raises(ValueError, match=r"\w"):
        from_words(words)


def test_the_signature_is_the_clubs() -> None:
    """py-vapid accepts it, and no longer once a letter of it is changed."""
    until = datetime(2026, 11, 25, 12, tzinfo=UTC)
    value = authorization(OWN, "https://push.example", until, "mailto:a@b.example")
    assert value.startswith("vapid t=")
    assert Vapid02.verify(value)
    assert not Vapid02.verify(value.replace("t=eyJ0eX", "t=eyJ0eY"))


def test_a_key_survives_being_kept() -> None:
    """Both halves are the same after reading them back, short ones with leading zeros, too."""
    for number in (1, 2**200, 2**255):
        key = ec.derive_private_key(number, CURVE)
        private, public = words_from_key(key)
        assert len(from_words(private)) == 32
        assert words_from_key(key_from_words(private)) == (private, public)
