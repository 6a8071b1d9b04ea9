"""Starting share-outs behind the pages: each in a process that outlives the server."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from clubplanner.services.share_out.runs.kept import ask_for_run, repeat_run
from clubplanner.services.share_out.runs.launching import launch_run
from clubplanner.services.share_out.runs.share_worker import real_clock

if TYPE_CHECKING:
    import subprocess
    from collections.abc import Callable
    from datetime import datetime

    from clubplanner.services.share_out.runs.requests import RunRequest
    from clubplanner.store.engine import Store


class Runner:
    """Writes runs down and starts their processes.

    Args:
        wall: The machine's clock.
    """

    def __init__(self, wall: Callable[[], datetime] = real_clock) -> None:
        self.wall = wall
        self._lock = threading.Lock()
        self._processes: list[subprocess.Popen[bytes]] = []

    def start(self, store: Store, request: RunRequest, now: datetime) -> int:
        """Start a share-out and return the number of its run.

        Raises:
            MissingError: If there is no such stretch.
            RefusedError: If one is running.
        """
        number = ask_for_run(store, request, now, self.wall())
        self.launch(store, number)
        return number

    def repeat(self, store: Store, number: int, now: datetime) -> int:
        """Start a run once more and return the new one's number.

        Raises:
            MissingError: If there is no such run.
            RefusedError: If one is running.
        """
        fresh = repeat_run(store, number, now, self.wall())
        self.launch(store, fresh)
        return fresh

    def launch(self, store: Store, number: int) -> None:
        """Start the process of a run that is written down."""
        process = launch_run(store, number)
        with self._lock:
            self._processes = [p for p in self._processes if p.poll() is None]
            self._processes.append(process)

    def wait(self, seconds: float) -> None:
        """Wait until the processes started here have ended, at most so long each."""
        with self._lock:
            processes = list(self._processes)
        for process in processes:
            process.wait(seconds)
