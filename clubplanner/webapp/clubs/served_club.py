"""One club of many: its app, made when it is first asked for, and what is done while it is away."""

from __future__ import annotations

import logging
import math
import threading
from typing import TYPE_CHECKING

from clubplanner.errors import PlannerError
from clubplanner.logs import at_work_for
from clubplanner.webapp.base.faults import AWAY
from clubplanner.webapp.factory import create_app
from clubplanner.webapp.serving.static_files import ROOT

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable
    from datetime import datetime

    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment
    from flask import Flask

    from clubplanner.clubs.at_hand import OpenClub

LOG = logging.getLogger("clubplanner.clubs")

NOT_NOW = "clubplanner.not_now"
"""Stands in the environment of a request that the front answers in place of its club."""
LEFT_ALONE_S = 10.0
"""How long records that did not answer are left alone; whoever asks meanwhile need not wait."""


class ServedClub:
    """Serves a club's pages; while its records do not answer, at once a word that they do not.

    Args:
        club: The club.
        front: Answers in its place; it finds `NOT_NOW` set.
        clock: Gives the present instant to the app, UTC.
        clock_s: Counts seconds.
    """

    def __init__(
        self,
        club: OpenClub,
        front: WSGIApplication,
        clock: Callable[[], datetime],
        clock_s: Callable[[], float],
    ) -> None:
        self.club = club
        self._front, self._clock, self._clock_s = front, clock, clock_s
        self._making, self._lock = threading.Lock(), threading.Lock()
        self._app: Flask | None = None
        self._failed_s = -math.inf
        self._again_s: float | None = None
        self._is_trying = False

    @property
    def app(self) -> Flask | None:
        """Its app; None before it was asked for."""
        return self._app

    def __call__(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        """Answer a request for this club."""
        with at_work_for(self.club.name):
            if self._asks_no_records(environ):
                answering: WSGIApplication = self._app or self._stand_in
                return answering(environ, start_response)
            if not self._may_try():
                return self._stand_in(environ, start_response)
            is_well = False
            try:
                app = self._made()
                if app is None:
                    return self._stand_in(environ, start_response)
                answer = app(environ, start_response)
                is_well = AWAY not in environ
            finally:
                self._tried(is_well=is_well)
            return answer

    def _asks_no_records(self, environ: WSGIEnvironment) -> bool:
        below = str(environ.get("PATH_INFO", "")).removeprefix(self.club.known.path)
        return below.startswith(f"{ROOT}/")

    def _made(self) -> Flask | None:
        """Return the app, made by whoever comes first; None if it cannot be made now."""
        return self._app or self._made_in_turn(self._clock_s())

    def _made_in_turn(self, began_s: float) -> Flask | None:
        with self._making:
            if self._app is None and self._failed_s < began_s:  # else it failed while we waited
                self._app = self._make()
            return self._app

    def _make(self) -> Flask | None:
        try:
            return create_app(self.club.store, self.club.config, self._clock)
        except PlannerError as fault:
            LOG.error("the club cannot be served: %s", fault)  # noqa: TRY400 - said in words
        except Exception:
            LOG.exception("the club cannot be served")
        self._failed_s = self._clock_s()
        return None

    def _may_try(self) -> bool:
        """Tell whether a request may go to the records: once they were away, one at a time."""
        with self._lock:
            if self._again_s is None:
                return True
            if self._is_trying or self._clock_s() < self._again_s:
                return False
            self._is_trying = True
            return True

    def _tried(self, *, is_well: bool) -> None:
        with self._lock:
            self._is_trying = False
            self._again_s = None if is_well else self._clock_s() + LEFT_ALONE_S

    def _stand_in(self, environ: WSGIEnvironment, start_response: StartResponse) -> Iterable[bytes]:
        path = self.club.known.path
        environ[NOT_NOW] = True
        environ["SCRIPT_NAME"] = path
        environ["PATH_INFO"] = environ.get("PATH_INFO", "")[len(path) :] or "/"
        return self._front(environ, start_response)
