"""Answers that come late: what only passes where a server is quick fails at every run.

`LATE_MS=300 pytest tests/browser` holds every answer to the browser back for so long, half of the
time before it begins, and half in the middle of it.
"""

from __future__ import annotations

import http.client
import os
import threading
import time
from contextlib import contextmanager, suppress
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from collections.abc import Iterator

LATE_MS = int(os.environ.get("LATE_MS", "0"))
"""How late every answer is; 0 where nothing stands between."""
ANSWER_S = 120


class _Late(BaseHTTPRequestHandler):
    """Hands on what a browser asks, and holds back what it is answered."""

    late_ms = LATE_MS

    def _hand_on(self) -> None:
        asked = urlsplit(self.path)
        length = int(self.headers.get("Content-Length", 0))
        line = http.client.HTTPConnection(asked.netloc, timeout=ANSWER_S)
        headers = {k: v for k, v in self.headers.items() if k.lower() != "proxy-connection"}
        self.close_connection = True
        with suppress(OSError):  # a server that is gone gives no answer here, either
            path = asked._replace(scheme="", netloc="").geturl()
            line.request(self.command, path, self.rfile.read(length), headers)
            answer = line.getresponse()
            body = answer.read()
            time.sleep(self.late_ms / 2000)
            self.send_response_only(answer.status, answer.reason)
            for name, value in answer.getheaders():
                if name.lower() not in {"connection", "transfer-encoding", "content-length"}:
                    self.send_header(name, value)
            self.send_header("Content-Length", str(len(body)))
            self.send_header("Connection", "close")
            self.end_headers()
            if self.command != "HEAD":
                self.wfile.write(body[: len(body) // 2])
                time.sleep(self.late_ms / 2000)
                self.wfile.write(body[len(body) // 2 :])
        line.close()

    do_GET = do_HEAD = do_POST = do_PUT = do_DELETE = _hand_on  # noqa: N815 - the library's names

    def log_message(self, *_words: object) -> None:
        """Say nothing."""


@contextmanager
def late_answers(late_ms: int = LATE_MS) -> Iterator[list[str]]:
    """Give the flags of a browser to which answers come late; none where they need not."""
    if not late_ms:
        yield []
        return
    handler = type("_SoLate", (_Late,), {"late_ms": late_ms})
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        server.daemon_threads = True
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield [
            f"--proxy-server=http://127.0.0.1:{server.server_port}",
            "--proxy-bypass-list=<-loopback>",
        ]
        server.shutdown()
