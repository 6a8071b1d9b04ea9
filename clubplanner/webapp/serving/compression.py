"""Text goes out compressed to whoever takes it so: gzip, from the standard library.

An answer with a strong ETag has one for each form (RFC 9110, section 8.8.3.3): the compressed one
bears a suffix, which is taken off again where a browser or calendar sends it back, so that whoever
answers need not know of either form.

A compressed page tells by its length how much of it repeats (the attack called BREACH). What our
pages hold is safe from it: the token in each form is signed anew every second, no cookie of ours
comes with a request that another site makes in the background (SameSite), and the other secrets on
a page are in its own address. On top of that, the length of a page that is made for one request
varies at random (Palacios and others, "Heal the Breach", IEEE Access 2022), by up to
`MOST_NOISE` letters of a file name in the header (RFC 1952, section 2.3.1) that nobody reads.
"""

from __future__ import annotations

import gzip
import io
import re
import secrets
from typing import TYPE_CHECKING

from flask import g, request

from clubplanner.webapp.base.taking_away import is_sent_in_parts

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from flask import Flask, Response

SUFFIX = "-gz"
LEAST_BYTES = 1_000
"""What is shorter fits into one packet anyway."""
PAGE_LEVEL = 6
"""Of 1 (quick) to 9: a page of 50 kB becomes 5 to 6 kB in 1 ms; above it hardly less."""
FILE_LEVEL = 9
"""For files that are compressed once."""
MOST_NOISE = 64
TEXTS = {
    "application/geo+json",
    "application/javascript",
    "application/json",
    "application/manifest+json",
    "application/problem+json",
    "application/xml",
    "font/ttf",
    "image/svg+xml",
}
"""Kinds that shrink, besides all of "text"; pictures, PDF and woff2 are compressed already."""
_MARKED = re.compile(rf'("[^"]*){SUFFIX}"')
_KEPT = "ready_compressed"
_NAMED = "named_compressed"


def register(app: Flask) -> None:
    """Compress an app's answers: last of all that acts on them, so registered first."""
    app.before_request(_unmark)
    app.after_request(_compress)


def is_text(kind: str) -> bool:
    """Tell whether a kind of content, such as "text/html", shrinks."""
    return kind.startswith("text/") or kind in TEXTS


def squeeze(data: bytes, level: int, *, noise: int = 0) -> bytes:
    """Compress bytes as gzip; without noise, the same bytes each time.

    Args:
        data: What is to be compressed.
        level: 1 to 9.
        noise: How many letters at most the result is longer than it need be, at random.
    """
    name = "x" * secrets.randbelow(noise + 1)
    written = io.BytesIO()
    with gzip.GzipFile(name, "wb", level, written, mtime=0) as packed:
        packed.write(data)
    return written.getvalue()


def squeeze_parts(parts: Iterable[bytes], level: int, *, noise: int = 0) -> Iterator[bytes]:
    """Compress bytes as gzip as they come, part by part; see `squeeze`."""
    name = "x" * secrets.randbelow(noise + 1)
    written = io.BytesIO()
    with gzip.GzipFile(name, "wb", level, written, mtime=0) as packed:
        for part in parts:
            packed.write(part)
            if written.tell():
                yield written.getvalue()
                written.seek(0)
                written.truncate()
    yield written.getvalue()


def offer_compressed(data: bytes) -> None:
    """Give the compressed form of the answer to this request, where it is at hand."""
    setattr(g, _KEPT, data)


def _unmark() -> None:
    """Take the suffix off the ETags that were sent back, and remember that one bore it."""
    for name in ("HTTP_IF_NONE_MATCH", "HTTP_IF_MATCH"):
        sent = request.environ.get(name, "")
        plain = _MARKED.sub(r'\1"', sent)
        if plain != sent:
            request.environ[name] = plain
            setattr(g, _NAMED, True)


def _compress(response: Response) -> Response:
    ready = g.pop(_KEPT, None)
    if not is_text(response.mimetype or "") or "Content-Encoding" in response.headers:
        return response
    response.vary.add("Accept-Encoding")
    if response.status_code == 304:
        if g.pop(_NAMED, False):
            _mark(response)
        return response
    if not _can_be_compressed(response):
        return response
    noise = 0 if "ETag" in response.headers else MOST_NOISE
    if response.is_streamed:
        response.response = squeeze_parts(response.iter_encoded(), PAGE_LEVEL, noise=noise)
    else:
        response.set_data(ready or squeeze(response.get_data(), PAGE_LEVEL, noise=noise))
    response.headers["Content-Encoding"] = "gzip"
    _mark(response)
    return response


def _can_be_compressed(response: Response) -> bool:
    wanted = request.accept_encodings.best_match(["gzip", "identity"], "identity")
    return (
        wanted == "gzip"
        and not response.direct_passthrough
        and response.status_code not in (204, 206)
        and (
            is_sent_in_parts() if response.is_streamed else len(response.get_data()) >= LEAST_BYTES
        )
    )


def _mark(response: Response) -> None:
    """Give the compressed form an ETag of its own; a weak one holds for both."""
    tag, is_weak = response.get_etag()
    if tag is not None and not is_weak:
        response.set_etag(tag + SUFFIX)
