"""Serving the app with a server made for it."""

from __future__ import annotations

import errno
import os
import signal
import socket
from contextlib import contextmanager
from typing import TYPE_CHECKING

import waitress
from waitress.wasyncore import ExitNow

from clubplanner.collecting import collect_seldom
from clubplanner.commands.serving.turns import THREADS_FOR_MANY, TurnsByClub
from clubplanner.errors import RefusedError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from types import FrameType

    from flask import Flask

THREADS = 8
BACKLOG = 128
IN_HAND_S = 30
"""How long answers in hand may take once serving is to end: longer than any page does."""


def take_port(host: str, port: int) -> socket.socket:
    """Take a port: from then on nobody else has it, and who connects waits to be served.

    Args:
        host: A name or an address of this machine; "0.0.0.0" for all there are, "::" for all of
            both kinds, with or without brackets.
        port: Which; 0 for any that is free.

    Raises:
        RefusedError: If it cannot be had.
    """
    name = host.strip("[]")
    try:
        found = socket.getaddrinfo(
            name or None, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )
        family, *_others, where = min(found, key=lambda entry: entry[0] != socket.AF_INET)
        both = name == "::" and socket.has_dualstack_ipv6()
        return socket.create_server(where, family=family, backlog=BACKLOG, dualstack_ipv6=both)
    except (socket.gaierror, UnicodeError) as fault:
        raise RefusedError(_no_host(host)) from fault
    except OSError as fault:
        if fault.errno in (errno.EADDRNOTAVAIL, errno.EAFNOSUPPORT):
            raise RefusedError(_no_host(host)) from fault
        why = os.strerror(fault.errno) if fault.errno else str(fault)
        raise RefusedError(
            f"Port {port} on {host} cannot be had ({why}); choose another with --port."
        ) from fault


def _no_host(host: str) -> str:
    return (
        f"“{host}” is no address of this machine; use --host 127.0.0.1 to serve this machine "
        "only, or --host 0.0.0.0 to serve others, too."
    )


def serve_app(
    app: Flask, listening: socket.socket, club_of: Callable[[str, str], str | None] | None = None
) -> None:
    """Serve on a port that was taken, until interrupted or told to end; it is given back.

    Told to end (SIGTERM), it takes no more requests and answers those in hand first.

    Args:
        app: What to serve.
        listening: The port.
        club_of: Returns whose a request is, by host and path, where threads are to be shared
            fairly among many clubs; None where there is one.
    """
    collect_seldom()
    turns = None if club_of is None else TurnsByClub(club_of)
    threads = THREADS if club_of is None else THREADS_FOR_MANY
    if turns is not None:
        turns.set_thread_count(threads)
    server = waitress.create_server(
        app,
        _dispatcher=turns,
        sockets=[listening],
        threads=threads,
        ident=None,
        asyncore_use_poll=True,  # records of many clubs are more files than select() can count
    )
    try:
        with ends_when_told():
            server.run()
    except KeyboardInterrupt:
        pass
    except ExitNow:
        listening.close()
        server.task_dispatcher.shutdown(cancel_pending=False, timeout=IN_HAND_S)
    finally:
        server.close()


@contextmanager
def ends_when_told() -> Iterator[None]:
    """Let SIGTERM raise `ExitNow` within the block; waitress lets that through and nothing else."""

    def end(_signal: int, _frame: FrameType | None) -> None:
        raise ExitNow

    before = signal.signal(signal.SIGTERM, end)
    try:
        yield
    finally:
        signal.signal(signal.SIGTERM, before)
