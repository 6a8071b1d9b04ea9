"""How much memory a process has, and a watch that ends its search before it has too much."""

from __future__ import annotations

import threading
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING, Any

resource: Any
try:
    resource = import_module("resource")
except ImportError:  # Windows has no such limits; the watch alone is kept there
    resource = None

if TYPE_CHECKING:
    from clubplanner.sharing.values.brake import Brake

MB = 1 << 20
LOOK_EVERY_S = 0.1
"""How often the watch looks."""
BEYOND = 1.25
"""Past so many times its limit the system gives a process no more, whatever it asks for."""
_STATM = Path("/proc/self/statm")


def memory_mb() -> float | None:
    """Measure the memory that this process holds, in MB of 2²⁰ bytes; None where none can tell."""
    sizes = _sizes()
    return None if sizes is None else sizes[1] / MB


def limit_memory(most_mb: float) -> None:
    """Let the system refuse this process memory well past a limit; nothing where it cannot."""
    sizes = _sizes()
    if resource is None or sizes is None:
        return
    reserved, held = sizes
    most = int(reserved - held + BEYOND * most_mb * MB)
    _soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    if hard != resource.RLIM_INFINITY:
        most = min(most, hard)
    resource.setrlimit(resource.RLIMIT_AS, (most, hard))


def _sizes() -> tuple[int, int] | None:
    """Return the bytes reserved and held."""
    try:
        words = _STATM.read_text("ascii").split()
    except OSError:
        return None
    page = 4096 if resource is None else resource.getpagesize()
    return int(words[0]) * page, int(words[1]) * page


class MemoryWatch(threading.Thread):
    """Pulls a brake once this process holds more memory than it may.

    Attributes:
        is_full: Whether it had to.
    """

    def __init__(self, brake: Brake, most_mb: float, follows: Brake | None = None) -> None:
        """Watch for so many MB of 2²⁰ bytes, and for another brake that pulls this one."""
        super().__init__(name="memory watch", daemon=True)
        self.is_full = False
        self._brake, self._most, self._follows = brake, most_mb * MB, follows
        self._over = threading.Event()

    def __enter__(self) -> MemoryWatch:
        """Begin to watch."""
        self._follow()
        self.start()
        return self

    def __exit__(self, *_unused: object) -> None:
        """Watch no more."""
        self._over.set()
        self.join()

    def run(self) -> None:
        """Look again and again."""
        while not self._over.wait(LOOK_EVERY_S):
            sizes = _sizes()
            if sizes is not None and sizes[1] > self._most:
                self.is_full = True
                self._brake.pull()
                return
            if self._follow():
                return

    def _follow(self) -> bool:
        if self._follows is None or not self._follows.is_pulled:
            return False
        self._brake.pull()
        return True
