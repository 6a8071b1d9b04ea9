"""Running a share-out behind the pages: one at a time, its progress there for every look."""

from __future__ import annotations

import logging
import threading
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.errors import PlannerError, RefusedError
from clubplanner.services.share_outs import progress_in_words, run_share_out

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from clubplanner.domain.seasons import Stretch
    from clubplanner.sharing.outcome import Progress
    from clubplanner.sharing.problem import Effort
    from clubplanner.store.engine import Store

LOG = logging.getLogger("clubplanner.webapp")


@dataclass(frozen=True, slots=True)
class Run:
    """A share-out that runs or has run since the server started.

    Attributes:
        stretch_name: Which stretch.
        fraction: How much of the time allowed is used up, 0 to 1.
        words: What it is at.
        number: The proposal, once it is there.
        fault: What went wrong, in words; blank when nothing did.
    """

    stretch_name: str
    fraction: float = 0.0
    words: str = "Starting"
    number: int | None = None
    fault: str = ""

    @property
    def is_over(self) -> bool:
        """Whether it has come to an end."""
        return self.number is not None or bool(self.fault)


class Runner:
    """Runs at most one share-out at a time in a thread of its own."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._run: Run | None = None

    @property
    def run(self) -> Run | None:
        """The newest run, None before the first."""
        return self._run

    def start(
        self,
        store: Store,
        clock: Callable[[], datetime],
        stretch: Stretch,
        effort: Effort,
    ) -> None:
        """Start a share-out.

        Raises:
            RefusedError: If one is running.
        """
        with self._lock:
            if self._run is not None and not self._run.is_over:
                raise RefusedError("A share-out is running; wait until it is done.")
            self._run = Run(stretch.name)
        thread = threading.Thread(
            target=self._work, args=(store, clock, stretch.key, effort), daemon=True
        )
        thread.start()

    def _work(
        self, store: Store, clock: Callable[[], datetime], stretch_key: str, effort: Effort
    ) -> None:
        try:
            done = run_share_out(store, stretch_key, effort, clock(), self._note)
        except PlannerError as fault:
            self._change(fault=str(fault))
        except Exception:
            LOG.exception("a share-out broke off")
            self._change(fault="It broke off; try again, or run it from the command line.")
        else:
            self._change(number=done.number, fraction=1.0, words=done.sentence)

    def _note(self, progress: Progress) -> None:
        self._change(fraction=progress.fraction, words=progress_in_words(progress))

    def _change(self, **changes: object) -> None:
        with self._lock:
            if self._run is not None:
                self._run = replace(self._run, **changes)  # type: ignore[arg-type]
