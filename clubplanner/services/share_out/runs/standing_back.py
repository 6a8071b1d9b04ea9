"""A search that lets whatever else the computer has to do go first."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path

NICENESS = 10
"""How far a search stands back (nice(2)): pages are answered first, idle processors are all its."""


def stand_back() -> None:
    """Let all else go first from here on, in this thread and those that it starts.

    It cannot be taken back. On Linux niceness is a thread's. A kernel that shares its time among
    sessions before it looks at niceness (sched(7), "The autogroup feature") is told of it for the
    session of this process, if that is its own: others in it would stand back as well.
    """
    if not hasattr(os, "nice"):  # another system
        return
    os.nice(max(0, NICENESS - os.nice(0)))
    if os.getsid(0) != os.getpid():
        return
    with suppress(OSError):
        Path("/proc/self/autogroup").write_text(str(NICENESS), "ascii")
