"""What runs beside the pages: mails, calendars of others, share-outs left lying, pruning."""

from __future__ import annotations

import logging
import signal
import threading
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING

from clubplanner.commands.base import present
from clubplanner.errors import PlannerError
from clubplanner.services.calendars.busy_calendars import refresh_calendar, take_due_calendar
from clubplanner.services.calendars.fetching import fetch_within
from clubplanner.services.keeping.pruning import Pruner
from clubplanner.services.mails.sending.delivering import deliver
from clubplanner.services.mails.sending.pauses import try_server_again
from clubplanner.services.pushes.delivering import deliver_pushes
from clubplanner.services.rows.club.club import club_language
from clubplanner.services.share_out.runs.kept import take_up_run
from clubplanner.services.share_out.runs.launching import launch_run
from clubplanner.services.webhooks.delivering import deliver_webhooks

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable, Iterator
    from datetime import datetime
    from types import FrameType

    from clubplanner.config import Config
    from clubplanner.store.engine import Store

LOG = logging.getLogger("clubplanner.worker")

PAUSE_S = 15.0
SAID_AGAIN_S = 3600.0
"""After so long a fault that lasts is written down once more."""
_RUNS: list[subprocess.Popen[bytes]] = []
"""Processes that were begun here, until they have ended."""


class Faults:
    """Writes down what goes wrong in rounds: a fault that lasts once an hour, not each time.

    Args:
        clock_s: Counts seconds.
    """

    def __init__(self, clock_s: Callable[[], float] = time.monotonic) -> None:
        self._clock_s = clock_s
        self._said = ""
        self._said_s = 0.0
        self._left_out = 0

    def note(self, fault: Exception) -> None:
        """Write a fault down, unless it was just now."""
        words = f"{type(fault).__name__}: {fault}"
        now_s = self._clock_s()
        if words == self._said and now_s - self._said_s < SAID_AGAIN_S:
            self._left_out += 1
            return
        more = f" (and {self._left_out} rounds before)" if words == self._said else ""
        self._said, self._said_s, self._left_out = words, now_s, 0
        if isinstance(fault, PlannerError):
            LOG.warning("a round was left out: %s%s", fault, more)
        else:
            LOG.error("a round broke off%s", more, exc_info=fault)

    def is_over(self) -> None:
        """Note a round in which nothing went wrong."""
        if self._said:
            LOG.info("rounds are done again")
        self._said, self._left_out = "", 0


@contextmanager
def worker(
    store: Store, config: Config, clock: Callable[[], datetime], pause_s: float = PAUSE_S
) -> Iterator[threading.Event]:
    """Run the worker until the block ends; what it is at is finished first.

    Args:
        store: The database.
        config: The configuration.
        clock: Gives the present instant, UTC.
        pause_s: Between two rounds, seconds.

    Yields:
        An event that is set after each round; for tests.
    """
    stop, round_done = threading.Event(), threading.Event()
    job = (store, config, clock, stop, pause_s, round_done)
    thread = threading.Thread(target=work_until, args=job, name="worker", daemon=True)
    thread.start()
    try:
        yield round_done
    finally:
        stop.set()
        thread.join(timeout=60)


@contextmanager
def stopping(stop: threading.Event) -> Iterator[None]:
    """Let Ctrl-C and SIGTERM set an event within the block; what is in hand goes on."""

    def end(_signal: int, _frame: FrameType | None) -> None:
        stop.set()

    before = {number: signal.signal(number, end) for number in (signal.SIGINT, signal.SIGTERM)}
    try:
        yield
    finally:
        for number, earlier in before.items():
            signal.signal(number, earlier)


def work_until(
    store: Store,
    config: Config,
    clock: Callable[[], datetime],
    stop: threading.Event,
    pause_s: float = PAUSE_S,
    round_done: threading.Event | None = None,
    rest: Callable[[], None] | None = None,
) -> None:
    """Do one round after another until `stop` is set; the round in hand is finished.

    Args:
        store: The database.
        config: The configuration.
        clock: Gives the present instant, UTC.
        stop: Ends it.
        pause_s: Before each round, seconds.
        round_done: Set after each round; for tests.
        rest: What to do after each round; None for nothing.
    """
    is_first, pruner, faults = True, Pruner(), Faults()
    while not stop.wait(pause_s):
        _round(store, config, clock, pruner, faults, is_first=is_first)
        is_first = False
        if rest is not None:
            rest()
        if round_done is not None:
            round_done.set()


def _round(
    store: Store,
    config: Config,
    clock: Callable[[], datetime],
    pruner: Pruner,
    faults: Faults,
    *,
    is_first: bool,
) -> None:
    """Do one round; whatever goes wrong, the next one follows."""
    own = store.acting_for("the worker")
    try:
        if is_first:  # whoever mended the mail server's settings has just started us
            try_server_again(own, clock())
        language = club_language(own)  # asked once, for a round of nothing asks little
        deliver_pushes(own, config, clock, language=language)  # phones first: some are on the way
        deliver_webhooks(own, config, clock)
        deliver(own, config, clock, language=language)
        run = take_up_run(own, present.now())  # its signs of life are by the machine's clock
        if run is not None:
            _RUNS[:] = [process for process in _RUNS if process.poll() is None]
            _RUNS.append(launch_run(own, run))
        number = take_due_calendar(own, clock())  # one a round: mails come first
        if number is not None:
            refresh_calendar(own, number, clock(), fetch_within(config))
        pruner.prune_if_due(own, clock())
    except Exception as fault:  # whatever it is, it is written down and the next round follows
        faults.note(fault)
    else:
        faults.is_over()
