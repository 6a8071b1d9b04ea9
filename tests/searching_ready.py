"""Processes that search, forked from one that has what they need loaded.

Loading it takes longer than most searches of the tests of services and pages. That a process which
is begun from nothing finds all it needs is held by the tests of the search itself and of commands.
"""

from __future__ import annotations

import multiprocessing
from contextlib import contextmanager
from types import SimpleNamespace
from typing import TYPE_CHECKING
from unittest.mock import patch

from clubplanner.sharing.solving import children

if TYPE_CHECKING:
    from collections.abc import Iterator

LOADED = (
    "clubplanner.sharing.again.reshare",
    "clubplanner.sharing.solving.process",
    "clubplanner.sharing.solving.solve",
)


@contextmanager
def searching_ready() -> Iterator[None]:
    """Fork processes that search while this is open; the one they are forked from ends with us."""
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(list(LOADED))
    with patch.object(children, "multiprocessing", SimpleNamespace(get_context=lambda _: context)):
        yield
