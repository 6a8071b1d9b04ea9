"""A brake: stops a running search from another thread, which then keeps the best it has found."""

from __future__ import annotations

import threading
from contextlib import contextmanager
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from collections.abc import Iterator


class _Stoppable(Protocol):
    def stop_search(self) -> None:
        """End the search that runs; nothing happens where none does."""


class Brake:
    """Ends a search early, keeping its best plan.

    Pulling it again does no harm, and helps where a search had not quite begun at the first pull.
    """

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._is_pulled = False
        self._solver: _Stoppable | None = None

    @property
    def is_pulled(self) -> bool:
        """Whether somebody has asked to stop."""
        return self._is_pulled

    def pull(self) -> None:
        """Stop the search that runs and let no other begin."""
        with self._lock:
            self._is_pulled = True
            if self._solver is not None:
                self._solver.stop_search()

    @contextmanager
    def holding(self, solver: _Stoppable) -> Iterator[None]:
        """Let the brake act on a solver while the block runs."""
        with self._lock:
            self._solver = solver
        try:
            yield
        finally:
            with self._lock:
                self._solver = None
