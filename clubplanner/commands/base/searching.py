"""A search that a person watches and may end: Ctrl-C keeps the best plan found so far."""

from __future__ import annotations

import signal
import threading
from contextlib import contextmanager
from contextvars import copy_context
from typing import TYPE_CHECKING, Generic, TypeVar

import click

from clubplanner.commands.base.progress import progress_bar
from clubplanner.sharing.values.brake import Brake

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from types import FrameType

    from clubplanner.sharing.values.outcome import Progress

LISTENING_S = 0.2
"""How often the main thread looks up: signals reach it alone, and never within the solver."""
STOPPING = (
    "Stopping; the best plan found so far is kept. Ctrl-C once more gives it up and keeps nothing."
)

_Found = TypeVar("_Found")


class _Work(threading.Thread, Generic[_Found]):
    """The search, in a thread: whatever it gives or raises is for the main one."""

    def __init__(self, do: Callable[[], _Found]) -> None:
        super().__init__(name="search", daemon=True)  # given up, it ends with the program
        self._do, self._context = do, copy_context()
        self._found: list[_Found] = []
        self._fault: BaseException | None = None

    def run(self) -> None:
        """Do the work in the surroundings of whoever began it."""
        try:
            self._found.append(self._context.run(self._do))
        except BaseException as fault:  # raised again where it is waited for
            self._fault = fault

    def result(self) -> _Found:
        """Return what was found, or raise what went wrong."""
        if self._fault is not None:
            raise self._fault
        return self._found[0]


def search(
    title: str, work: Callable[[Callable[[Progress], None], Brake], _Found]
) -> tuple[_Found, bool]:
    """Run a search with a bar on the error stream, and let Ctrl-C end it.

    Args:
        title: What is searched for, before the bar.
        work: Does it, told where to report and which brake ends it.

    Returns:
        What it gives, and whether it was ended early.

    Raises:
        click.Abort: If Ctrl-C was pressed twice.
    """
    brake = Brake()
    with progress_bar(title) as note, _stopped_by_hand(brake):
        thread = _Work(lambda: work(note, brake))
        thread.start()
        while thread.is_alive():
            thread.join(LISTENING_S)
    return thread.result(), brake.is_pulled


@contextmanager
def _stopped_by_hand(brake: Brake) -> Iterator[None]:
    """Let Ctrl-C pull the brake while the block runs, and the second one break it off."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return

    def stop(_number: int, _frame: FrameType | None) -> None:
        if brake.is_pulled:
            raise click.Abort
        brake.pull()
        click.echo(STOPPING, err=True)

    earlier = signal.signal(signal.SIGINT, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, earlier)
