"""Serving the app with a server made for it."""

from __future__ import annotations

import socket
from typing import TYPE_CHECKING

import waitress

from clubplanner.errors import RefusedError

if TYPE_CHECKING:
    from flask import Flask

THREADS = 8


def serve_app(app: Flask, host: str, port: int) -> None:
    """Serve until interrupted.

    Raises:
        RefusedError: If the port cannot be had.
    """
    try:
        listening = socket.create_server((host, port))
    except OSError as fault:
        raise RefusedError(
            f"Port {port} on {host} cannot be had ({fault.strerror}); choose another with --port."
        ) from fault
    server = waitress.create_server(app, sockets=[listening], threads=THREADS, ident=None)
    try:
        server.run()
    except KeyboardInterrupt:
        pass
    finally:
        server.close()
