"""Ports of this machine that tests may serve on."""

from __future__ import annotations

import socket


def free_port() -> int:
    """Return a port that nobody listens on."""
    with socket.create_server(("127.0.0.1", 0)) as listening:
        port: int = listening.getsockname()[1]
        return port
