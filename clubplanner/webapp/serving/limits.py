"""How often one machine may change things, or try addresses that lead nowhere.

Counted in memory, in portions that all servers of a club take from one allowance
(`services/people/portions.py`); the first portion is each server's own, so that hardly anybody ever
costs the records a row. Attempts to sign in are counted one by one in the records instead.
"""

from __future__ import annotations

import logging
import threading
from collections import deque
from dataclasses import dataclass, field
from datetime import timedelta
from typing import TYPE_CHECKING

from flask import request

from clubplanner.errors import StoreError, TooManyError
from clubplanner.services.people.portions import Allowance, take_portion
from clubplanner.webapp.base.security import current_person
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from flask import Flask, Response

LOG = logging.getLogger("clubplanner.webapp")

WINDOW_SECONDS = 300
MOST_CHANGES = 600
"""Forms sent from one machine within the window."""
MOST_MISSES = 300
"""Pages that were not there, from one machine within the window."""
MOST_MACHINES = 10_000
"""Counters kept; the oldest goes when there are more."""
PORTIONS = 12
"""In how many portions a limit is shared out among servers, the first of each server apart."""


@dataclass(slots=True)
class Counter:
    """Counts events by machine within a sliding window.

    Attributes:
        most: How many are allowed.
        name: What is counted, for the allowance that all servers share.
    """

    most: int
    name: str = ""
    _times: dict[str, deque[float]] = field(default_factory=dict)
    _left: dict[str, int] = field(default_factory=dict)
    _held_until: dict[str, float] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    @property
    def portion(self) -> int:
        """How many events are a portion."""
        return max(1, self.most // PORTIONS)

    def count(self, machine: str, at_s: float) -> bool:
        """Count an event at a moment, seconds; tell whether a portion has to be taken after it."""
        with self._lock:
            times = self._times.pop(machine, None) or deque(maxlen=self.most)
            is_anew = not times or times[-1] <= at_s - WINDOW_SECONDS
            times.append(at_s)
            self._times[machine] = times
            left = (self.portion if is_anew else self._left.get(machine, self.portion)) - 1
            self._left[machine] = left or self.portion
            if len(self._times) > MOST_MACHINES:
                oldest = next(iter(self._times))
                for known in (self._times, self._left, self._held_until):
                    known.pop(oldest, None)
            return left == 0

    def share(self, machine: str, at_s: float) -> None:
        """Take a portion; where there is none left the machine is held up."""
        allowance = Allowance(
            self.name, max(1, self.most // self.portion - 1), timedelta(seconds=WINDOW_SECONDS)
        )
        state = app_state()
        try:
            wait_s = take_portion(state.store.claimed(None), allowance, machine, state.clock())
        except StoreError:  # it goes on within the limit of this server
            LOG.warning("a portion cannot be taken", exc_info=True)
            return
        if wait_s:
            with self._lock:
                self._held_until[machine] = at_s + wait_s

    def wait_s(self, machine: str, at_s: float) -> int:
        """Return how long a machine has to wait, seconds; 0 when it need not."""
        with self._lock:
            held_s = self._held_until.get(machine, at_s) - at_s
            times = self._times.get(machine)
            if times is not None and len(times) >= self.most:
                held_s = max(held_s, times[0] + WINDOW_SECONDS - at_s)
            return max(0, round(held_s))


def register(app: Flask) -> None:
    """Add the limits to an app."""
    changes, misses = Counter(MOST_CHANGES, "changes"), Counter(MOST_MISSES, "misses")

    @app.before_request
    def hold_back() -> None:
        machine, at_s = machine_address(), app_state().clock().timestamp()
        wait_s = misses.wait_s(machine, at_s)
        if wait_s and current_person() is not None:
            wait_s = 0  # whoever is known does not pay for a neighbour's guesses
        if request.method not in ("GET", "HEAD", "OPTIONS"):
            wait_s = max(wait_s, changes.wait_s(machine, at_s))
            if not wait_s and changes.count(machine, at_s):
                changes.share(machine, at_s)
        if wait_s and request.endpoint != "static":
            raise TooManyError(wait_s)

    @app.after_request
    def count_misses(response: Response) -> Response:
        if response.status_code == 404:
            machine, at_s = machine_address(), app_state().clock().timestamp()
            if misses.count(machine, at_s) and not misses.wait_s(machine, at_s):
                misses.share(machine, at_s)
        return response


def machine_address() -> str:
    """Return the network address a request came from; blank when it is not known."""
    return request.remote_addr or ""
