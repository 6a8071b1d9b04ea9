"""Beginning and ending processes that search; they import nothing of the program that begins."""

from __future__ import annotations

import multiprocessing
import sys
import threading
from contextlib import contextmanager
from types import ModuleType
from typing import TYPE_CHECKING

from clubplanner.language import speaking, spoken

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from multiprocessing.connection import Connection
    from multiprocessing.process import BaseProcess

_BEGINNING = threading.Lock()
STOP_WAIT_S = 5.0
"""How long a child that was told to stop may take before it is killed."""


def begin(target: Callable[..., None], *arguments: object) -> tuple[BaseProcess, Connection]:
    """Begin a process that calls a function with its end of a pipe and the arguments.

    Returns:
        The process and the other end, for both ways.
    """
    context = multiprocessing.get_context("spawn")
    here, there = context.Pipe(duplex=True)
    child = context.Process(
        target=_speak, args=(spoken(), target, there, *arguments), name="share-out", daemon=True
    )
    with _no_script():
        child.start()
    there.close()
    return child, here


def end(child: BaseProcess) -> None:
    """End a process, with force where it does not end by itself."""
    if child.pid is None:
        return
    if child.is_alive():
        child.terminate()
        child.join(STOP_WAIT_S)
    if child.is_alive():
        child.kill()
        child.join(STOP_WAIT_S)


@contextmanager
def _no_script() -> Iterator[None]:
    """Keep a child that begins meanwhile from running the calling script once more.

    A spawned process imports the main module of the one that begins it. The share-out needs
    nothing of that, and a script without a guard would begin a share-out there, and so on.
    """
    with _BEGINNING:
        script = sys.modules["__main__"]
        sys.modules["__main__"] = ModuleType("__main__")
        try:
            yield
        finally:
            sys.modules["__main__"] = script


def _speak(language: str, target: Callable[..., None], *arguments: object) -> None:
    """Do the child's part in the language of whoever started it."""
    with speaking(language):
        target(*arguments)
