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


class SharedWait:
    """Lets many threads wait for one log to reach the disk.

    Args:
        reach: Returns once all that was in the log when it was called is on the disk.
    """

    def __init__(self, reach: Callable[[], None]) -> None:
        self._reach = reach
        self._changed = threading.Condition()
        self._begun = 0
        self._ended = 0

    def wait(self) -> None:
        """Return once all that was in the log when this was called is on the disk.

        Raises:
            OSError: If the disk refuses.
            StoreError: If the server is not there any more.
        """
        with self._changed:
            ours = self._begun + 1  # the wait under way may have begun before our rows were there
            while self._ended < ours:
                if self._begun == self._ended:
                    break
                self._changed.wait()
            else:
                return
            self._begun += 1
        try:
            self._reach()
        except BaseException:
            with self._changed:  # the next one tries by itself
                self._begun -= 1
                self._changed.notify_all()
            raise
        with self._changed:
            self._ended += 1
            self._changed.notify_all()


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
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
