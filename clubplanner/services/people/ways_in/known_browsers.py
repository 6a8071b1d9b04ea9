"""Browsers that a person has signed in with before: a signed mark that lets nobody in by itself.

Attempts from such a browser are counted apart, so that strangers cannot shut the person out. A mark
says whose browser it is and which; its signature (HMAC-SHA-256, RFC 2104) makes sure that we gave
it out. Nothing is kept at the server, and whoever steals a mark gains one more counter.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from typing import TYPE_CHECKING

from clubplanner.services.addresses.links import load_form_secret

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

MOST_MARKS = 4
"""People who share a browser; of more the earliest are forgotten."""
BETWEEN = "~"
LONGEST_MARKS = 1_000
NONCE_BYTES = 16


def add_mark(store: Store, marks: str, person_number: int) -> str:
    """Return a browser's marks with one for a person; the same ones if theirs is among them."""
    if known_browser(store, marks, person_number):
        return marks
    nonce = secrets.token_urlsafe(NONCE_BYTES)
    mark = f"{person_number}.{nonce}.{_sign(store, person_number, nonce)}"
    others = [mark for mark in marks[:LONGEST_MARKS].split(BETWEEN) if mark]
    return BETWEEN.join([*others[1 - MOST_MARKS :], mark])


def known_browser(store: Store, marks: str, person_number: int) -> str:
    """Return what tells this browser from others of a person; blank if they never used it."""
    for mark in marks[:LONGEST_MARKS].split(BETWEEN):
        number, _first, rest = mark.partition(".")
        nonce, _second, signature = rest.partition(".")
        if number != str(person_number) or not signature.isascii():
            continue
        if hmac.compare_digest(signature, _sign(store, person_number, nonce)):
            return nonce
    return ""


def _sign(store: Store, person_number: int, nonce: str) -> str:
    words = f"known browser {person_number} {nonce}".encode()
    return hmac.new(load_form_secret(store).encode(), words, hashlib.sha256).hexdigest()
