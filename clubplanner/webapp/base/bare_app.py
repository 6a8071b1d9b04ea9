"""A Flask app with our templates in the reader's language, and nothing else yet.

Templates are compiled once a process, whatever the number of apps: with many clubs on one server
each app has templates of its own, of the same code.
"""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from flask import Flask
from jinja2.bccache import Bucket, BytecodeCache

from clubplanner import language
from clubplanner.resources import resource_folder

if TYPE_CHECKING:
    from types import CodeType


class CodeAtHand(BytecodeCache):
    """Keeps what templates were compiled to: the code itself, so that all apps share it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._known: dict[str, tuple[str, CodeType]] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Give a bucket what was compiled before, if its source is the same."""
        checksum, code = self._known.get(bucket.key, ("", None))
        if checksum == bucket.checksum:
            bucket.code = code

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what was compiled."""
        if bucket.code is not None:
            with self._lock:
                self._known[bucket.key] = (bucket.checksum, bucket.code)


_CODE = CodeAtHand()


def make_bare_app() -> Flask:
    """Make an app that can fill our templates; it serves nothing."""
    app = Flask(
        "clubplanner",
        template_folder=str(resource_folder("web") / "templates"),
        static_folder=None,
    )
    app.jinja_options = {**app.jinja_options, "bytecode_cache": _CODE}
    app.jinja_env.trim_blocks = True
    app.jinja_env.lstrip_blocks = True
    app.jinja_env.add_extension("jinja2.ext.i18n")
    app.jinja_env.install_gettext_callables(  # type: ignore[attr-defined]
        language.look_up, language.look_up_number, newstyle=True
    )
    return app
