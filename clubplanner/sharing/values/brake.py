"""A brake: stops a running search from another thread, which then keeps the best it has found."""

from __future__ import annotations

import threading
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterator


class _Stoppable(Protocol):
    def stop_search(self) -> None:
        """End the search that runs; nothing happens where none does."""


PULL_AGAIN_S = 0.05
"""A pulled brake acts again and again while a search runs: one that has not quite begun does not
hear of it."""


class Brake:
    """Ends a search early, keeping its best plan; pulling it again does no harm."""

    def __init__(self) -> None:
        self._lock = threading.RLock()  # a signal may pull while the lock is held
        self._is_pulled = False
        self._solver: _Stoppable | None = None

    @property
    def is_pulled(self) -> bool:
        """Whether somebody has asked to stop."""
        return self._is_pulled

    def pull(self) -> None:
        """Stop the search that runs and let no other begin."""
        with self._lock:
            is_first, self._is_pulled = not self._is_pulled, True
            solver = self._solver
        if is_first and solver is not None:
            self._keep_stopping(solver)

    @contextmanager
    def holding(self, solver: _Stoppable) -> Iterator[None]:
        """Let the brake act on a solver while the block runs."""
        with self._lock:
            self._solver = solver
            is_pulled = self._is_pulled
        if is_pulled:
            self._keep_stopping(solver)
        try:
            yield
        finally:
            with self._lock:
                self._solver = None

    def _keep_stopping(self, solver: _Stoppable) -> None:
        """Stop a solver again and again, in a thread, until it is let go."""

        def stop() -> None:
            while True:
                with self._lock:
                    if self._solver is not solver:
                        return
                    solver.stop_search()
                time.sleep(PULL_AGAIN_S)

        threading.Thread(target=stop, name="brake", daemon=True).start()
