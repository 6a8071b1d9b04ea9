"""Turns to write are given in the order of asking, among threads and among processes."""

from __future__ import annotations

import os
import signal
import sys
import threading
import time
from contextlib import suppress
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import BusyError
from clubplanner.store.turns import FRONT, _ask, turn_among_processes

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

pytestmark = [
    pytest.mark.files,
    pytest.mark.skipif(sys.platform != "linux", reason="places are Linux's own locks"),
]
LONG_S = 20.0


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """Give a file that stands for SQLite's log."""
    path = tmp_path / "club.sqlite-wal"
    path.touch()
    return path


@pytest.fixture
def holder(log: Path) -> Iterator[int]:
    """Give the number of another process that has its turn and does not give it back."""
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        with turn_among_processes(log, LONG_S):
            os.write(writing, b"!")
            time.sleep(LONG_S)
        os._exit(0)
    os.read(reading, 1)
    os.close(reading)
    os.close(writing)
    yield child
    with suppress(ProcessLookupError, ChildProcessError):
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def test_while_another_process_has_its_turn_one_waits_and_is_told(log: Path, holder: int) -> None:
    """Nobody waits for ever, even for a process that stands still."""
    os.kill(holder, signal.SIGSTOP)
    with pytest.raises(BusyError), turn_among_processes(log, 0.05):
        pass


def test_a_killed_process_has_given_its_turn_back(log: Path, holder: int) -> None:
    """A place ends with its process."""
    os.kill(holder, signal.SIGKILL)
    os.waitpid(holder, 0)
    with turn_among_processes(log, 0.05):
        pass


def test_who_has_just_had_a_turn_is_not_next_before_who_waits(log: Path) -> None:
    """However soon it asks again (each opens the file anew, as processes do)."""
    turns: list[str] = []

    def take(name: str) -> None:
        with turn_among_processes(log, LONG_S):
            turns.append(name)

    other = threading.Thread(target=take, args=("the other",))
    with turn_among_processes(log, LONG_S):
        turns.append("the first")
        other.start()
        while is_free(log, FRONT):
            time.sleep(0.001)
    take("the first again")
    other.join(LONG_S)
    assert turns == ["the first", "the other", "the first again"]


def is_free(log: Path, place: int) -> bool:
    """Tell whether nobody has a place."""
    descriptor = os.open(log, os.O_RDWR)
    try:
        return _ask(descriptor, place)
    finally:
        os.close(descriptor)


def test_without_a_log_nobody_waits(tmp_path: Path) -> None:
    """Before SQLite has begun its log it decides alone, and so for what is in no file."""
    with turn_among_processes(tmp_path / "none", 0), turn_among_processes(None, 0):
        pass
