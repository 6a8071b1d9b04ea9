"""Files that are the same for everybody: styles, scripts, fonts, icons.

Their addresses hold a fingerprint of all of them together ("/static/3f9c…/css/pages.css"), so that
browsers keep them for a year and ask no more. Files that name each other by relative addresses, as
the style sheet does its fonts and a script another, stay within the same fingerprint by
themselves: nothing is rewritten. An address with another fingerprint (of a page from before an
upgrade, or from a server that was upgraded earlier) or without any gives the present file, to be
asked for again each time.
"""

from __future__ import annotations

import hashlib
import mimetypes
from dataclasses import dataclass
from functools import cache, cached_property
from typing import TYPE_CHECKING

from flask import abort, current_app, make_response, request
from werkzeug.routing import BaseConverter

from clubplanner.resources import resource_folder
from clubplanner.webapp.serving.compression import (
    FILE_LEVEL,
    LEAST_BYTES,
    is_text,
    offer_compressed,
    squeeze,
)

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Flask
    from werkzeug.wrappers import Response as BaseResponse

EXTENSION = "static files"
ENDPOINT = "static"
ROOT = "/static"
FINGERPRINT_DIGITS = 12
FOR_A_YEAR = "public, max-age=31536000, immutable"
"""RFC 9111, section 5.2.2.1; "immutable" is RFC 8246."""
ASK_AGAIN = "public, no-cache"
KINDS = {".woff2": "font/woff2", ".ttf": "font/ttf", ".otf": "font/otf", ".js": "text/javascript"}
"""Kinds that machines know by other names or not at all (RFC 8081, RFC 9239)."""


@dataclass(frozen=True)
class StaticFile:
    """One file, read and compressed at most once.

    Attributes:
        path: Where it is.
    """

    path: Path

    @cached_property
    def data(self) -> bytes:
        """What is in it."""
        return self.path.read_bytes()

    @cached_property
    def digest(self) -> str:
        """Changes when, and only when, what is in it does."""
        return hashlib.sha256(self.data).hexdigest()

    @cached_property
    def kind(self) -> str:
        """The kind of its content, such as "text/css"."""
        guessed = mimetypes.guess_type(self.path.name)[0]
        return KINDS.get(self.path.suffix) or guessed or "application/octet-stream"

    @cached_property
    def compressed(self) -> bytes | None:
        """It as gzip; None where that gains nothing."""
        if not is_text(self.kind) or len(self.data) < LEAST_BYTES:
            return None
        return squeeze(self.data, FILE_LEVEL)


class StaticFiles:
    """All files of a folder, as they are when they are first asked for.

    Args:
        folder: The folder; what is put there later is seen by the next process.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    @cached_property
    def files(self) -> dict[str, StaticFile]:
        """Every file by its name within the folder, such as "css/pages.css"."""
        found = sorted(path for path in self._folder.rglob("*") if path.is_file())
        return {path.relative_to(self._folder).as_posix(): StaticFile(path) for path in found}

    @cached_property
    def fingerprint(self) -> str:
        """Changes when, and only when, a file or its name does."""
        whole = hashlib.sha256()
        for name, file in self.files.items():
            whole.update(f"{name}\0{file.digest}\n".encode())
        return whole.hexdigest()[:FINGERPRINT_DIGITS]

    @property
    def address(self) -> str:
        """The folder of the present files as pages name it, without a slash at the end."""
        return f"{ROOT}/{self.fingerprint}"


class FingerprintConverter(BaseConverter):
    """A fingerprint in an address."""

    regex = f"[0-9a-f]{{{FINGERPRINT_DIGITS}}}"


def register(app: Flask) -> None:
    """Let an app send static files, and `url_for("static", …)` name them by fingerprint."""
    files = _shipped()
    app.extensions[EXTENSION] = files
    app.url_map.converters["fingerprint"] = FingerprintConverter
    for folder in (f"{ROOT}/<fingerprint:fingerprint>", ROOT):
        app.add_url_rule(f"{folder}/<path:filename>", ENDPOINT, send_static_file)

    @app.url_defaults
    def add_fingerprint(endpoint: str, values: dict[str, object]) -> None:
        if endpoint == ENDPOINT:
            values.setdefault("fingerprint", files.fingerprint)


@cache
def _shipped() -> StaticFiles:
    """Return our own files: read once a process, whatever the number of apps."""
    return StaticFiles(resource_folder("web") / "static")


def static_files() -> StaticFiles:
    """Return the static files of the present app."""
    found = current_app.extensions[EXTENSION]
    if not isinstance(found, StaticFiles):
        raise TypeError("The app was not made by create_app.")
    return found


def send_static_file(filename: str, fingerprint: str = "") -> BaseResponse:
    """Send a file: for good under its own fingerprint, else to be asked for again."""
    files = static_files()
    file = files.files.get(filename)
    if file is None:
        abort(404)
    is_own = fingerprint == files.fingerprint
    return send_file(file, FOR_A_YEAR if is_own else ASK_AGAIN)


def send_file(file: StaticFile, cache_control: str, data: bytes | None = None) -> BaseResponse:
    """Send a static file, or what was made of it, with an ETag; its compressed form is at hand.

    Args:
        file: The file.
        cache_control: How long it may be kept.
        data: What is sent in its place; None for the file itself.
    """
    response = make_response(file.data if data is None else data)
    response.headers["Content-Type"] = (
        f"{file.kind}; charset=utf-8" if file.kind.startswith("text/") else file.kind
    )
    response.headers["Cache-Control"] = cache_control
    response.set_etag((file.digest if data is None else hashlib.sha256(data).hexdigest())[:32])
    if data is None and file.compressed is not None:
        offer_compressed(file.compressed)
    return response.make_conditional(request)
