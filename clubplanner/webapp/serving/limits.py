"""How often one machine may change things, or try addresses that lead nowhere.

Counted in memory: a restart forgets, several processes count apart. Attempts to sign in are
counted in the database instead.
"""

from __future__ import annotations

import threading
from collections import deque
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from flask import request

from clubplanner.errors import TooManyError
from clubplanner.webapp.base.security import current_person
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask, Response

WINDOW_SECONDS = 300
MOST_CHANGES = 600
"""Forms sent from one machine within the window."""
MOST_MISSES = 300
"""Pages that were not there, from one machine within the window."""
MOST_MACHINES = 10_000
"""Counters kept; the oldest goes when there are more."""


@dataclass(slots=True)
class Counter:
    """Counts events by machine within a sliding window.

    Attributes:
        most: How many are allowed.
    """

    most: int
    _times: dict[str, deque[float]] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def count(self, machine: str, at_s: float) -> None:
        """Count an event at a moment, seconds."""
        with self._lock:
            times = self._times.pop(machine, None) or deque(maxlen=self.most)
            times.append(at_s)
            self._times[machine] = times
            if len(self._times) > MOST_MACHINES:
                del self._times[next(iter(self._times))]

    def wait_s(self, machine: str, at_s: float) -> int:
        """Return how long a machine has to wait, seconds; 0 when it need not."""
        with self._lock:
            times = self._times.get(machine)
            if times is None or len(times) < self.most:
                return 0
            return max(0, round(times[0] + WINDOW_SECONDS - at_s))


def register(app: Flask) -> None:
    """Add the limits to an app."""
    changes, misses = Counter(MOST_CHANGES), Counter(MOST_MISSES)

    @app.before_request
    def hold_back() -> None:
        machine, at_s = machine_address(), app_state().clock().timestamp()
        wait_s = misses.wait_s(machine, at_s)
        if wait_s and current_person() is not None:
            wait_s = 0  # whoever is known does not pay for a neighbour's guesses
        if request.method not in ("GET", "HEAD", "OPTIONS"):
            wait_s = max(wait_s, changes.wait_s(machine, at_s))
            changes.count(machine, at_s)
        if wait_s and request.endpoint != "static":
            raise TooManyError(wait_s)

    @app.after_request
    def count_misses(response: Response) -> Response:
        if response.status_code == 404:
            misses.count(machine_address(), app_state().clock().timestamp())
        return response


def machine_address() -> str:
    """Return the network address a request came from; blank when it is not known."""
    return request.remote_addr or ""
