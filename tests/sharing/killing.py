"""A child that is killed while it searches."""

from __future__ import annotations

import os
import signal
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.sharing.solving import children, process

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.sharing.values.problem import Placement


@contextmanager
def killing_after_a_plan() -> Iterator[list[tuple[Placement, ...]]]:
    """Kill the child of a share-out once it has told of a plan; give the plans that it told of."""
    plans: list[tuple[Placement, ...]] = []

    def begin_and_listen(*arguments: Any) -> Any:
        child, pipe = children.begin(*arguments)
        return child, _Listening(pipe, child, plans)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(process, "begin", begin_and_listen)
        yield plans


class _Listening:
    """A pipe that kills the process at its other end once it has told of a plan."""

    def __init__(self, pipe: Any, child: Any, plans: list[tuple[Placement, ...]]) -> None:
        self._pipe, self._child, self._plans = pipe, child, plans
        self._is_dead = False

    def __getattr__(self, name: str) -> Any:
        return getattr(self._pipe, name)

    def recv(self) -> Any:
        """Receive, and kill where it is a plan; what it had said since is lost with it."""
        if self._is_dead:
            raise EOFError
        message = self._pipe.recv()
        if message[0] == "plan":
            self._plans.append(message[1])
            self._is_dead = True
            os.kill(self._child.pid, signal.SIGKILL)
        return message
