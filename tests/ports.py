"""Ports of this machine that tests may serve on."""

from __future__ import annotations

import atexit
import os
import socket
from functools import cache
from itertools import cycle
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator

HOST = "127.0.0.1"
FIRST, LAST = 12_000, 32_000
"""Below those that the system gives to whoever asks for any (from 32,768, `ip_local_port_range`),
and none of those that browsers refuse."""
BLOCK = 50


@cache
def _own() -> tuple[socket.socket, Iterator[int]]:
    """Claim a block of ports for this process by listening on the first; others stay away."""
    blocks = range(FIRST, LAST, BLOCK)
    for number in range(len(blocks)):
        first = blocks[(os.getpid() + number) % len(blocks)]
        try:
            mark = socket.create_server((HOST, first))
        except OSError:
            continue
        atexit.register(mark.close)
        return mark, cycle(range(first + 1, first + BLOCK))
    raise OSError("No block of ports is free: another program listens in each of them.")


def free_port() -> int:
    """Return a port that nobody listens on, and that nobody else is given before it is used.

    A port that the system chose would be free again at once, for the next who asks: a test in
    another process, or any connection that goes out.
    """
    _mark, ports = _own()
    for _ in range(BLOCK):
        port = next(ports)
        try:
            socket.create_server((HOST, port)).close()
        except OSError:
            continue
        return port
    raise OSError("Every port of this process is in use.")
