"""One door for many clubs: a request goes to the club whose host or path it asks for."""

from __future__ import annotations

import threading
import time
from typing import TYPE_CHECKING

from clubplanner.webapp.clubs.front import make_front
from clubplanner.webapp.clubs.served_club import ServedClub
from clubplanner.webapp.clubs.watched_all import AllClubs
from clubplanner.webapp.factory import real_clock

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime

    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment
    from flask import Flask

    from clubplanner.clubs.at_hand import ClubsAtHand, OpenClub

NOBODYS = "localhost"
"""A host name that can be read; nothing that the front says depends on it."""


class Door:
    """A WSGI application that hands each request on.

    Args:
        at_hand: The clubs there are.
        front: Answers what is for no club.
        clock: Gives the present instant, UTC.
        clock_s: Counts seconds.
    """

    def __init__(
        self,
        at_hand: ClubsAtHand,
        front: WSGIApplication,
        clock: Callable[[], datetime],
        clock_s: Callable[[], float] = time.monotonic,
    ) -> None:
        self._at_hand, self._front = at_hand, front
        self._clock, self._clock_s = clock, clock_s
        self._lock = threading.Lock()
        self._served: dict[str, ServedClub] = {}

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Answer a request: by its club, or by the front."""
        self._at_hand.look_again()
        club = self._at_hand.find(host_asked_for(environ), environ.get("PATH_INFO", ""))
        if club is None:
            environ["HTTP_HOST"] = NOBODYS  # no page could be made for one that cannot be read
            return self._front(environ, start_response)
        return self._of(club)(environ, start_response)

    def apps(self) -> dict[str, Flask]:
        """Return the app of each club that is in the list and was asked for, by short name."""
        clubs, served = self._at_hand.clubs, self._served
        return {
            name: one.app
            for name, one in served.items()
            if one.app is not None and clubs.get(name) is one.club
        }

    def _of(self, club: OpenClub) -> ServedClub:
        """Return what serves a club as it is listed now; what served it before is left to go."""
        served = self._served.get(club.name)
        if served is not None and served.club is club:
            return served
        with self._lock:
            served = self._served.get(club.name)
            if served is None or served.club is not club:
                served = ServedClub(club, self._front, self._clock, self._clock_s)
                kept = {n: s for n, s in self._served.items() if n in self._at_hand.clubs}
                self._served = {**kept, club.name: served}
            return served


def make_clubs_app(
    at_hand: ClubsAtHand,
    clock: Callable[[], datetime] = real_clock,
    clock_s: Callable[[], float] = time.monotonic,
) -> Flask:
    """Make the app that serves all clubs of a list.

    Args:
        at_hand: The clubs there are.
        clock: Gives the present instant, UTC.
        clock_s: Counts seconds.

    Returns:
        The front, with the door before it, for any server that takes a Flask app.
    """
    front = make_front(at_hand.common)
    door = Door(at_hand, front.wsgi_app, clock, clock_s)
    front.extensions[AllClubs.EXTENSION] = AllClubs(at_hand, door.apps, clock, clock_s)
    front.wsgi_app = door  # type: ignore[method-assign]
    return front


def host_asked_for(environ: WSGIEnvironment) -> str:
    """Return the host that a request names (RFC 9112, section 3.2); a server's own without one."""
    return str(environ.get("HTTP_HOST") or environ.get("SERVER_NAME", ""))
