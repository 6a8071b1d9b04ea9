"""Whose turn it is to write: first come, first served, among threads and among processes.

SQLite lets whoever asks at the right moment write; others ask again ever more seldom, so that of
two busy processes one starves. Before ours ask SQLite, one thread a process queues up for a place
in front, and keeps that place until it has its turn: whoever has just written cannot be in front
again before the one who waited there. Nothing depends on it: without it (another program, another
system than Linux) SQLite decides alone, as it does in the end.

Places are locks of open files (F_OFD_SETLK; Linux, fcntl(2)) on two bytes of SQLite's log, of which
SQLite itself locks nothing. They end with their process, however it ends.
"""

from __future__ import annotations

import math
import os
import struct
import sys
import threading
import time
from collections import deque
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from clubplanner.errors import BusyError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

try:
    import fcntl

    _LOCK = fcntl.F_OFD_SETLK if sys.maxsize > 2**32 else None
except (ImportError, AttributeError):
    _LOCK = None

FRONT, TURN = 0, 1
"""The two places, as bytes of the file."""
FIRST_PAUSE_S, LONGEST_PAUSE_S = 0.0002, 0.002


def _shut() -> threading.Lock:
    gate = threading.Lock()
    gate.acquire()
    return gate


@dataclass(slots=True, eq=False)
class _Waiting:
    """Somebody who waits, and what they are handed with their place.

    They wait at a bare lock: each change does so once, and an event takes five times as long.
    """

    joins: bool
    is_called: bool = False
    handed: Any = None
    _gate: threading.Lock = field(default_factory=_shut)

    def call(self) -> None:
        """Let them in."""
        self.is_called = True
        self._gate.release()

    def wait(self, seconds: float) -> bool:
        """Wait to be called; tell whether that was so in time."""
        return self._gate.acquire(timeout=-1 if seconds == math.inf else seconds)


class FairLock:
    """A lock that is granted in the order of asking.

    Who joins others has one place with them: it waits for theirs while there are others free.

    Args:
        places: How many hold it at once.
        seconds: How long anybody waits for it at most.
    """

    def __init__(self, places: int = 1, seconds: float = math.inf) -> None:
        self._seconds = seconds
        self._mutex = threading.Lock()
        self._waiting: deque[_Waiting] = deque()
        self._free = places
        self._is_shared = False

    def __enter__(self) -> None:
        self.take()

    def __exit__(self, *_unused: object) -> None:
        self.give_back()

    def take(self, *, joins: bool = False) -> Any:
        """Wait for a place.

        Args:
            joins: Whether something may be handed over with it.

        Returns:
            What `hand_on` was given; None for a place alone.

        Raises:
            BusyError: If it takes longer than anybody waits; nobody waits for this one then.
        """
        own = _Waiting(joins)
        with self._mutex:
            self._waiting.append(own)
            self._call()
        if not own.wait(self._seconds):
            with self._mutex:
                if not own.is_called:  # else it was called while this was looked at
                    self._waiting.remove(own)
                    self._call()
                    raise BusyError
        return own.handed

    def hand_on(self, what: object) -> bool:
        """Hand the place of those who join on with something, if who is next joins; else keep it.

        Returns:
            Whether the place is another's now.
        """
        with self._mutex:
            if not self._waiting or not self._waiting[0].joins:
                return False
            following = self._waiting.popleft()
            following.handed = what
            following.call()  # before anybody can find that nobody waits any more
        return True

    def give_back(self, *, joins: bool = False) -> None:
        """Give a place, or that of those who join, to who is next or to whoever comes."""
        with self._mutex:
            self._free += 1
            self._is_shared &= not joins
            self._call()

    def _call(self) -> None:
        """Let those in who are next, as far as there are places for them."""
        while self._waiting and self._free and not (self._is_shared and self._waiting[0].joins):
            following = self._waiting.popleft()
            self._free -= 1
            self._is_shared |= following.joins
            following.call()


@contextmanager
def turn_among_processes(file: Path | None, seconds: float) -> Iterator[None]:
    """Wait for one's turn to write among the processes of this machine, and keep it for the block.

    Args:
        file: SQLite's log; None, or one that is not there yet, for nobody to wait for.
        seconds: How long to wait at most.

    Raises:
        BusyError: If it takes longer.
    """
    descriptor = None if file is None or _LOCK is None else _open(file)
    if descriptor is None:
        yield
        return
    try:
        until = time.monotonic() + seconds
        _wait(descriptor, FRONT, until)
        _wait(descriptor, TURN, until)
        _ask(descriptor, FRONT, is_given_back=True)
        yield
    finally:
        os.close(descriptor)  # gives back what is held


def _open(file: Path) -> int | None:
    try:
        return os.open(file, os.O_RDWR | os.O_CLOEXEC)
    except OSError:  # not there yet, or not ours to write: SQLite tells which
        return None


def _wait(descriptor: int, place: int, until: float) -> None:
    pause_s = FIRST_PAUSE_S
    while not _ask(descriptor, place):
        if time.monotonic() > until:
            raise BusyError
        time.sleep(pause_s)
        pause_s = min(2 * pause_s, LONGEST_PAUSE_S)


def _ask(descriptor: int, place: int, *, is_given_back: bool = False) -> bool:
    """Ask for a place, or give it back; tell whether that was granted."""
    kind = fcntl.F_UNLCK if is_given_back else fcntl.F_WRLCK
    lock = struct.pack("hhqqi4x", kind, os.SEEK_SET, place, 1, 0)
    try:
        fcntl.fcntl(descriptor, _LOCK or 0, lock)
    except BlockingIOError:
        return False
    except OSError:  # a file system without locks
        return True
    return True
