"""The served club under attack: sends requests, and notes what follows."""

from __future__ import annotations

import io
import logging
import re
import resource
import time
import traceback
from collections import deque
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote_to_bytes

from itsdangerous import URLSafeTimedSerializer
from sqlalchemy import event, select

from clubplanner.services.addresses.links import hash_secret
from clubplanner.services.calendars.feed_memory import FeedMemory
from clubplanner.store.tables.people_tables import BrowserRow
from clubplanner.store.tables.within_tables import ClubSecretaryRow
from clubplanner.webapp.base.state import EXTENSION
from tests.fuzz.club import put_back
from tests.fuzz.requests import ONCE, TOKEN, Attack, encoded
from tests.fuzz.watched import rows_watched

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.fuzz.club import Clock, Keys
    from tests.fuzz.watched import Rows

_CHANGES = re.compile(r"\s*(?:INSERT(?: OR \w+)? INTO|UPDATE|DELETE FROM) \"?(\w+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Answer:
    """What came back.

    Attributes:
        status: HTTP status; 0 where none came.
        headers: As sent.
        body: As sent.
        seconds: Of the processor.
        waited_s: By the clock.
        grown: Bytes by which the most that the process ever took has grown.
        written: Tables that were written, and kept.
        trouble: What the server noted of an error, with its way through the program.
    """

    status: int
    headers: dict[str, str]
    body: bytes = field(repr=False)
    seconds: float
    waited_s: float
    grown: int
    written: frozenset[str]
    trouble: str


class Site:
    """A club that is asked by anybody, one request after the other.

    Args:
        app: Its app.
        store: Its records.
        keys: What opens something.
        clock: Its clock.
        source: The database as it was made.
    """

    def __init__(self, app: Flask, store: Store, keys: Keys, clock: Clock, source: Path) -> None:
        self.app, self.store, self.keys, self.clock, self._source = app, store, keys, clock, source
        self._path = str(store.engine.url.database)
        self._sent = 0
        self._written: set[str] = set()
        self._meant: set[str] = set()
        self._troubles: deque[str] = deque(maxlen=20)
        self._log = _Listener(self._troubles)
        logging.getLogger().addHandler(self._log)
        event.listen(store.engine, "after_cursor_execute", self._note)
        event.listen(store.engine, "commit", self._kept)
        event.listen(store.engine, "rollback", self._dropped)
        self._sign = self._new_token()

    def close(self) -> None:
        """End it."""
        logging.getLogger().removeHandler(self._log)
        self.store.close()

    def begin_round(self) -> None:
        """Put the records back as they were made, and forget what was built from others."""
        self.store.engine.dispose()
        put_back(self._source, Path(self._path))
        state = self.app.extensions[EXTENSION]
        object.__setattr__(state, "feeds", FeedMemory())
        self.stood = self.rows()

    def ask(self, who: str, address: str) -> str:
        """Return a page as somebody sees it, where it is led to; blank where there is none."""
        for _ in range(3):
            path, _, question = address.partition("?")
            answer = self.send(Attack(who, "GET", "", path, question))
            address = answer.headers.get("Location", "")
            if not address:
                break
        is_page = answer.status == 200 and "html" in answer.headers.get("Content-Type", "")
        return answer.body.decode() if is_page else ""

    def send(self, attack: Attack) -> Answer:
        """Send a request and return what came back."""
        self._sent += 1
        self._written.clear()
        self._meant.clear()
        self._troubles.clear()
        environ = self._environ(attack)
        began, began_at, peak = time.process_time(), time.monotonic(), _peak()
        status, body = 0, b""
        headers: dict[str, str] = {}
        try:
            status, headers, body = _call(self.app, environ)
        except Exception:
            self._troubles.append(traceback.format_exc())
        return Answer(
            status,
            headers,
            body,
            time.process_time() - began,
            time.monotonic() - began_at,
            _peak() - peak,
            frozenset(self._written),
            "\n".join(self._troubles),
        )

    def rows(self) -> Rows:
        """Return what stands in the tables that are watched row by row."""
        with self.store.read() as session:
            return rows_watched(session)

    def club_of(self, who: str) -> int | None:
        """Return the number of the club whose secretary somebody is; None for others."""
        query = (
            select(ClubSecretaryRow.club_id)
            .join(BrowserRow, BrowserRow.person_id == ClubSecretaryRow.person_id)
            .where(BrowserRow.secret_hash == hash_secret(self.keys.browsers[who]))
        )
        with self.store.read() as session:
            return session.scalars(query).first()

    def _environ(self, attack: Attack) -> dict[str, Any]:
        token, once = encoded(self._sign[1]), f"round{self._sent}"
        body = attack.body
        for old, new in ((TOKEN, token), (ONCE, once)):
            body = body.replace(encoded(old).encode(), new.encode())
            body = body.replace(old.encode(), new.encode())
        cookies = f"form={self._sign[0]}; person={self.keys.browsers[attack.who]}"
        number = self._sent
        machine = f"10.{number >> 16 & 255}.{number >> 8 & 255}.{number & 255}"
        environ: dict[str, Any] = {
            "REQUEST_METHOD": attack.method,
            "SCRIPT_NAME": "",
            "PATH_INFO": unquote_to_bytes(attack.path).decode("latin-1"),
            "QUERY_STRING": attack.question,
            "SERVER_NAME": "127.0.0.1",
            "SERVER_PORT": "8000",
            "SERVER_PROTOCOL": "HTTP/1.1",
            "REMOTE_ADDR": machine,
            "HTTP_HOST": "127.0.0.1:8000",
            "HTTP_COOKIE": cookies,
            "HTTP_USER_AGENT": "Mozilla/5.0",
            "wsgi.version": (1, 0),
            "wsgi.url_scheme": "http",
            "wsgi.input": io.BytesIO(body),
            "wsgi.errors": io.StringIO(),
            "wsgi.multithread": False,
            "wsgi.multiprocess": False,
            "wsgi.run_once": False,
        }
        if body or attack.method == "POST":
            environ["CONTENT_LENGTH"] = str(len(body))
        if attack.kind:
            environ["CONTENT_TYPE"] = attack.kind
        for name, value in attack.headers:
            key = f"HTTP_{name.upper().replace('-', '_')}"
            environ[key] = f"{cookies}; {value}" if key == "HTTP_COOKIE" else value
        return environ

    def _new_token(self) -> tuple[str, str]:
        """Return a form's cookie and token, as the app would make them."""
        with self.app.app_context():
            sign: Any = self.app.session_interface.get_signing_serializer(self.app)  # type: ignore[attr-defined]
            cookie = sign.dumps({"csrf_token": "0" * 40})
        key = self.app.config["SECRET_KEY"]
        token = URLSafeTimedSerializer(key, salt="wtf-csrf-token").dumps("0" * 40)
        return str(cookie), str(token)

    def _note(self, _c: Any, cursor: Any, statement: str, *_rest: Any) -> None:
        found = _CHANGES.match(statement)
        if found and cursor.rowcount != 0:
            self._meant.add(found[1])

    def _kept(self, _connection: Any) -> None:
        self._written |= self._meant
        self._meant.clear()

    def _dropped(self, _connection: Any) -> None:
        self._meant.clear()


class _Listener(logging.Handler):
    """Keeps what is noted of errors."""

    def __init__(self, kept: deque[str]) -> None:
        super().__init__(logging.ERROR)
        self._kept = kept
        self.setFormatter(logging.Formatter())

    def emit(self, record: logging.LogRecord) -> None:
        """Keep an entry."""
        self._kept.append(self.format(record))


def _call(app: Flask, environ: dict[str, Any]) -> tuple[int, dict[str, str], bytes]:
    told: list[Any] = []

    def start(status: str, headers: list[tuple[str, str]], _fault: object = None) -> Any:
        for name, value in headers:
            f"{name}{value}".encode("latin-1")
            if "\n" in value or "\r" in value:
                raise ValueError(f"a line ends in the header {name}: {value!r}")
        told[:] = [int(status.partition(" ")[0]), dict(headers)]

    pieces = app(environ, start)
    try:
        body = b"".join(pieces)
    finally:
        if hasattr(pieces, "close"):
            pieces.close()
    return told[0], told[1], body


def _peak() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
