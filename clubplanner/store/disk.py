"""Waiting for the disk: one wait serves all that was written before it began.

A commit puts its rows at the end of the database's log, in order; they are safe against a loss of
power once the log has reached the disk. Whoever committed gives the write lock back first and waits
then, so that the next writer works meanwhile, and those that come while the disk is at it share the
next wait. Nobody is answered before that. What is there after a loss of power is a beginning of the
log in any case, of SQLite's (NORMAL, with a log: https://sqlite.org/pragma.html#pragma_synchronous)
as of PostgreSQL's (https://www.postgresql.org/docs/15/wal-async-commit.html).
"""

from __future__ import annotations

import os
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

ALWAYS = float("-inf")
"""Since when a file's log has been the same one: nobody but its own computer loses any of it."""


class SharedWait:
    """Lets many threads wait for one log to reach the disk.

    A server that breaks down and begins anew has lost the end of its log, and takes what follows to
    the disk all the same. All its connections end then. So a wait says since when its connection
    has been open, and serves only what was committed later than that.
    """

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._begun = 0
        self._ended = 0
        self._same_since = ALWAYS

    def wait(
        self,
        reach: Callable[[], None],
        *,
        same_since: float = ALWAYS,
        written_at: float = ALWAYS,
    ) -> None:
        """Return once all that was in the log when this was called is on the disk.

        Args:
            reach: Returns once all that was in the log when it was called is on the disk.
            same_since: Since when `reach` is sure to have to do with the same log; by
                `time.monotonic`, no later than `written_at`.
            written_at: An instant before the commit.

        Raises:
            OSError: If the disk refuses.
            StoreError: If the server is not there any more.
        """
        if self._is_served(written_at):
            return
        try:
            reach()
        except BaseException:
            with self._changed:  # the next one tries by itself
                self._begun -= 1
                self._changed.notify_all()
            raise
        with self._changed:
            self._ended += 1
            self._same_since = same_since
            self._changed.notify_all()

    def _is_served(self, written_at: float) -> bool:
        """Wait for others' waits as long as they help; False with the next one begun as ours."""
        with self._changed:
            ours = self._begun + 1  # the wait under way may have begun before our rows were there
            while self._ended < ours or self._same_since > written_at:
                if self._begun == self._ended:
                    self._begun += 1
                    return False
                self._changed.wait()
            return True


def reach_disk(file: Path) -> None:
    """Return once all that is in a file is on the disk.

    A file that is not there any more was folded into another one, which waits by itself.

    Raises:
        OSError: If the disk refuses.
    """
    try:
        descriptor = os.open(file, os.O_RDWR)
    except FileNotFoundError:
        return
    except OSError:  # who may only read can wait for it on most systems, too
        descriptor = os.open(file, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
