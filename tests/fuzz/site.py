"""The served club under attack: sends requests, and judges what follows."""

from __future__ import annotations

import io
import logging
import re
import resource
import time
import traceback
from collections import deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any
from urllib.parse import unquote_to_bytes

from itsdangerous import URLSafeTimedSerializer
from sqlalchemy import event, text

from clubplanner.services.calendars.feed_memory import FeedMemory
from clubplanner.webapp.base.state import EXTENSION
from tests.fuzz.club import ADDRESS, OWN_SQUADS, PRIVATE, put_back
from tests.fuzz.requests import ONCE, TOKEN, Attack, encoded
from tests.fuzz.rights import may_write
from tests.fuzz.values import MARK

if TYPE_CHECKING:
    from pathlib import Path

    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.fuzz.club import Clock, Keys

MOST_SECONDS = 5.0
"""Of the processor, for one answer."""
MOST_WAIT_S = 60.0
"""By the clock: a machine that is busy with other things is slower."""
MOST_BYTES = 200_000_000
"""By which a process may grow for one answer."""
_CHANGES = re.compile(r"\s*(?:INSERT(?: OR \w+)? INTO|UPDATE|DELETE FROM) \"?(\w+)", re.IGNORECASE)
SWAPPED = ("giving.accept",)
"""Here a coach changes a session of another squad, whose coach has offered it."""
_FRAMES = re.compile(r'File "[^"]*/(clubplanner/[^"]+)", line (\d+)')


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


@dataclass(frozen=True, slots=True)
class Finding:
    """Something that may not be.

    Attributes:
        what: In words; the same for the same fault.
        attack: What led to it.
        more: What else is known.
    """

    what: str
    attack: Attack
    more: str = ""


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
        put_back(self._source, self._path)
        state = self.app.extensions[EXTENSION]
        object.__setattr__(state, "feeds", FeedMemory())
        self._others = self._bookings()

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
        status, headers, body = 0, {}, b""
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

    def judge(self, attack: Attack, answer: Answer) -> list[Finding]:
        """Return what may not be of an answer."""
        return [
            Finding(what, attack, answer.trouble[-6000:])
            for what in (
                *_faults_of_answer(attack, answer),
                *self._faults_of_writing(attack, answer),
            )
        ]

    def _faults_of_writing(self, attack: Attack, answer: Answer) -> list[str]:
        found = []
        endpoint = self._endpoint(attack)
        for table in sorted(answer.written):
            if not may_write(self.app, attack, endpoint, table, answer.status):
                found.append(f"{attack.who} wrote {table} by {endpoint} ({answer.status // 100}xx)")
        if "booking" in answer.written:
            before, self._others = self._others, self._bookings()
            own = OWN_SQUADS.get(attack.who)
            if own is not None and endpoint not in SWAPPED:
                for number, row in before.items():
                    if row[0] != own and self._others.get(number) != row:
                        found.append(f"{attack.who} changed a session of {row[0]} by {endpoint}")
                        break
        return found

    def _endpoint(self, attack: Attack) -> str:
        """Return which view answered: a path may have led elsewhere than to its rule."""
        path = unquote_to_bytes(attack.path).decode("utf-8", "replace")
        method = "GET" if attack.method == "HEAD" else attack.method
        try:
            endpoint, _values = self.app.url_map.bind("").match(path, method)
        except Exception:  # noqa: BLE001 - nowhere
            return ""
        return str(endpoint)

    def _bookings(self) -> dict[int, tuple[Any, ...]]:
        words = (
            "SELECT b.id, s.key, b.area_id, b.starts_at, b.ends_at, b.is_withdrawn, b.sequence "
            "FROM booking b LEFT JOIN squad s ON s.id = b.squad_id"
        )
        with self.store.read() as session:
            return {row[0]: tuple(row[1:]) for row in session.execute(text(words))}

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
            if not (isinstance(name, str) and isinstance(value, str)):
                raise TypeError(f"header {name!r}: {value!r}")
            value.encode("latin-1")
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


def _faults_of_answer(attack: Attack, answer: Answer) -> list[str]:
    found = []
    if answer.status in (0, 500) or answer.trouble:
        found.append(f"failed: {_where(answer.trouble)}")
    if answer.seconds > MOST_SECONDS or answer.waited_s > MOST_WAIT_S:
        found.append(f"slow: {attack.method} {attack.rule} {answer.seconds:.0f} s")
    if answer.grown > MOST_BYTES:
        found.append(f"grew: {attack.method} {attack.rule} {answer.grown // 1_000_000} MB")
    if b"Traceback (most recent" in answer.body:
        found.append(f"shows a traceback: {attack.rule}")
    if "html" in answer.headers.get("Content-Type", "") and MARK.encode() in answer.body:
        found.append(f"not escaped: {attack.method} {attack.rule}")
    if answer.headers.get("Content-Encoding") is None and attack.who == "nobody":
        for word in PRIVATE:
            if (
                word.encode() in answer.body
                and word.encode() not in _sent(attack)
                and not attack.rule.startswith("/secretary")
            ):
                found.append(f"shows {word} to nobody: {attack.rule}")
    where = answer.headers.get("Location", "")
    if where and not (where.startswith("/") and not where.startswith(("//", "/\\"))):
        if not where.startswith(f"{ADDRESS}/"):
            found.append(f"leads elsewhere: {attack.rule} to {where[:80]!r}")
    if "set-cookie" in where.lower():
        found.append(f"lets a header in: {attack.rule}")
    return found


def _sent(attack: Attack) -> bytes:
    return unquote_to_bytes(attack.path + attack.question) + unquote_to_bytes(attack.body)


def _where(trouble: str) -> str:
    """Return the kind of an error and the last place in the program that it came through."""
    places = _FRAMES.findall(trouble)
    last = trouble.strip().splitlines()[-1][:160] if trouble.strip() else "no answer"
    return f"{last} at {':'.join(places[-1])}" if places else last


def _peak() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
