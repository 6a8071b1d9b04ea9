"""Two CalDAV servers, each in a process of its own, and just enough of a client.

Plain HTTP, so that the client adds no opinion of its own: MKCALENDAR, PUT and GET, and the
REPORT `calendar-query` with a time range (RFC 4791, sections 5.3.1, 5.3.2 and 7.8).
"""

from __future__ import annotations

import http.client
import importlib.util
import subprocess
import sys
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import quote
from xml.etree import ElementTree as ET

from tests.ports import free_port
from tests.readers.readers import skip

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime
    from pathlib import Path

LONGEST_START_S = 300.0
CALDAV = "{urn:ietf:params:xml:ns:caldav}"
USER = "Basic Y2x1Yjp4"
"""The user "club", for servers that keep calendars by user; no secret."""

_QUERY = """<?xml version="1.0" encoding="utf-8"?>
<C:calendar-query xmlns:D="DAV:" xmlns:C="urn:ietf:params:xml:ns:caldav">
  <D:prop><D:getetag/><C:calendar-data/></D:prop>
  <C:filter><C:comp-filter name="VCALENDAR"><C:comp-filter name="VEVENT">
    <C:time-range start="{start}" end="{end}"/>
  </C:comp-filter></C:comp-filter></C:filter>
</C:calendar-query>"""


@dataclass(frozen=True, slots=True)
class Server:
    """A running server.

    Attributes:
        port: Where it listens, on this machine only.
        home: Path under which calendars are made, with a slash at its end.
    """

    port: int
    home: str

    def make_calendar(self, name: str) -> Calendar:
        """Make a calendar and return it."""
        path = f"{self.home}{name}/"
        status, _, body = self.send("MKCALENDAR", path)
        assert status == 201, body
        return Calendar(self, path)

    def send(
        self, method: str, path: str, body: bytes = b"", **headers: str
    ) -> tuple[int, dict[str, str], bytes]:
        """Send one request and return status, headers in small letters, and body."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        try:
            connection.request(method, path, body, {"Authorization": USER, **named})
            answer = connection.getresponse()
            found = {name.lower(): value for name, value in answer.getheaders()}
            return answer.status, found, answer.read()
        finally:
            connection.close()


@dataclass(frozen=True, slots=True)
class Calendar:
    """A calendar on a server."""

    server: Server
    path: str

    def put(self, uid: str, content: bytes, etag: str = "") -> str:
        """Store an event under its uid, over the version that has the ETag; return the new one."""
        condition = {"If_Match": etag} if etag else {"If_None_Match": "*"}
        kind = "text/calendar; charset=utf-8"
        status, headers, body = self.server.send(
            "PUT", self._place(uid), content, Content_Type=kind, **condition
        )
        assert status in {201, 204}, body
        return headers["etag"]

    def get(self, uid: str) -> bytes:
        """Return what is stored for an event."""
        status, _, body = self.server.send("GET", self._place(uid))
        assert status == 200
        return body

    def between(self, start: datetime, end: datetime) -> list[bytes]:
        """Return the events that the server finds from one instant up to another, in UTC."""
        stamp = "%Y%m%dT%H%M%SZ"
        query = _QUERY.format(start=start.strftime(stamp), end=end.strftime(stamp)).encode()
        status, _, body = self.server.send(
            "REPORT", self.path, query, Depth="1", Content_Type="application/xml"
        )
        assert status == 207, body
        found = ET.fromstring(body).iter(f"{CALDAV}calendar-data")  # noqa: S314 - our own server
        return [(element.text or "").encode() for element in found]

    def _place(self, uid: str) -> str:
        return f"{self.path}{quote(uid, safe='')}.ics"


def run_radicale(folder: Path) -> Iterator[Server]:
    """Run Radicale with its files in a folder, and stop it at the end."""
    port = free_port()
    options = ["--config", "", "--auth-type", "none", "--server-hosts", f"127.0.0.1:{port}"]
    options += ["--storage-filesystem-folder", str(folder), "--logging-level", "error"]
    yield from _run("radicale", options, Server(port, "/club/"), folder)


def run_xandikos(folder: Path) -> Iterator[Server]:
    """Run Xandikos with its files in a folder, and stop it at the end."""
    port = free_port()
    options = ["serve", "-d", str(folder), "--defaults", "-l", "127.0.0.1", "-p", str(port)]
    options += ["--state-dir", str(folder.with_name("xandikos-state")), "--no-detect-systemd"]
    # After a few queries it would answer from an index that keeps times without their zone.
    options += ["--index-threshold", "1000000"]
    yield from _run("xandikos", options, Server(port, "/user/calendars/"), folder)


def _run(module: str, options: list[str], server: Server, folder: Path) -> Iterator[Server]:
    if importlib.util.find_spec(module) is None:
        skip(f"{module} is missing: install the project with its test extra")
    log_path = folder.with_name(f"{module}.log")
    with log_path.open("wb") as log:
        command = [sys.executable, "-m", module, *options]
        process = subprocess.Popen(command, stdout=log, stderr=log, cwd=folder)
        try:
            _wait_for(server, process, log_path)
            yield server
        finally:
            process.terminate()
            process.wait(timeout=20)


def _wait_for(server: Server, process: subprocess.Popen[bytes], log_path: Path) -> None:
    give_up_at = time.monotonic() + LONGEST_START_S
    while process.poll() is None and time.monotonic() < give_up_at:
        try:
            server.send("OPTIONS", "/")
        except OSError:
            time.sleep(0.1)
        else:
            return
    raise RuntimeError(f"The server did not start: {log_path.read_text()[-2000:]}")
