"""Waiting for the disk: one wait serves all that was written before it began.

A commit puts its rows at the end of SQLite's log, in order; they are safe against a loss of power
once the log has reached the disk. Whoever committed gives the write lock back first and waits then,
so that the next writer works meanwhile, and those that come while the disk is at it share the next
wait. Nobody is answered before that. What is there after a loss of power is a beginning of the log
in any case: https://sqlite.org/pragma.html#pragma_synchronous (NORMAL, with a log). The log of
PostgreSQL's server does the same by itself.
"""

from __future__ import annotations

import os
import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path


class SharedWait:
    """Lets many threads wait for one file to reach the disk."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._begun = 0
        self._ended = 0

    def wait(self, file: Path) -> None:
        """Return once all that was in the file when this was called is on the disk.

        A file that is not there any more was folded into another one, which waits by itself.

        Raises:
            OSError: If the disk refuses.
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
            _reach_disk(file)
        except OSError:
            with self._changed:  # the next one tries by itself
                self._begun -= 1
                self._changed.notify_all()
            raise
        with self._changed:
            self._ended += 1
            self._changed.notify_all()


def _reach_disk(file: Path) -> None:
    try:
        descriptor = os.open(file, os.O_RDWR)
    except FileNotFoundError:
        return
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
