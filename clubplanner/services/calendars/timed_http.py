"""One HTTP request to one checked address, with one time limit for all of it.

The standard library limits each wait; a server that sends a byte now and then could hold a worker
for days. Here every wait gets what is left of the whole.
"""

from __future__ import annotations

import http.client
import io
import socket
import time
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import ssl
    from collections.abc import Sequence


@dataclass(frozen=True, slots=True)
class Target:
    """Where a request goes.

    Attributes:
        host: Name for the Host header and for the check of the certificate.
        port: Where it listens.
        path: With the query, percent-encoded; may hold a secret.
        addresses: Checked addresses of the host, tried in order.
        tls: How to encrypt; None for plain HTTP.
    """

    host: str
    port: int
    path: str
    addresses: Sequence[str]
    tls: ssl.SSLContext | None


class TimedConnection(http.client.HTTPConnection):
    """A connection that ends at its deadline.

    Args:
        target: Where to.
        deadline: On the monotonic clock, seconds.
    """

    def __init__(self, target: Target, deadline: float) -> None:
        super().__init__(target.host, target.port)
        self._target = target
        self._deadline = deadline
        if target.tls is not None:
            self.default_port = http.client.HTTPS_PORT

    def connect(self) -> None:
        """Connect to one of the checked addresses, never to the name.

        Raises:
            OSError: If none answers; a TimeoutError if that takes too long; an SSLError if the
                certificate is not the host's.
        """
        failure: OSError = OSError("no address")
        for address in self._target.addresses:
            try:
                plain = socket.create_connection(
                    (address, self._target.port), timeout=left_until(self._deadline)
                )
            except OSError as error:
                failure = error
                continue
            self.sock = self._guarded(plain)
            return
        raise failure

    def _guarded(self, plain: socket.socket) -> Any:
        try:
            if self._target.tls is None:
                return _TimedSocket(plain, self._deadline)
            plain.settimeout(left_until(self._deadline))
            wrapped = self._target.tls.wrap_socket(plain, server_hostname=self._target.host)
            return _TimedSocket(wrapped, self._deadline)
        except BaseException:
            plain.close()
            raise


class _TimedSocket:
    """As much of a socket as `http.client` uses, each wait cut to what is left.

    `http.client` closes it as soon as the headers are read; the file made from it goes on, and
    closes the connection when it is closed itself.
    """

    def __init__(self, inner: socket.socket, deadline: float) -> None:
        self._inner = inner
        self._deadline = deadline
        self._has_file = False

    def sendall(self, data: bytes) -> None:
        """Send bytes."""
        self._inner.settimeout(left_until(self._deadline))
        self._inner.sendall(data)

    def makefile(self, mode: str, *args: Any) -> io.BufferedReader:  # noqa: ARG002 - as asked
        """Return a file to read from."""
        self._has_file = True
        return io.BufferedReader(_TimedReader(self._inner, self._deadline))

    def close(self) -> None:
        """Close it, unless a file made from it is still to be read."""
        if not self._has_file:
            self._inner.close()


class _TimedReader(io.RawIOBase):
    def __init__(self, inner: socket.socket, deadline: float) -> None:
        self._inner = inner
        self._deadline = deadline

    def readable(self) -> bool:
        return True

    def readinto(self, buffer: Any) -> int:
        self._inner.settimeout(left_until(self._deadline))
        return self._inner.recv_into(buffer)

    def close(self) -> None:
        super().close()
        self._inner.close()


def left_until(deadline: float) -> float:
    """Return the seconds left.

    Raises:
        TimeoutError: If there are none.
    """
    left = deadline - time.monotonic()
    if left <= 0:
        raise TimeoutError
    return left
