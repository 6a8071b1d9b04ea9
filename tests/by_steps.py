"""Searches that only their steps end, however busy the machine is."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING
from unittest.mock import patch

from clubplanner.sharing.values import budget
from clubplanner.sharing.values.problem import Effort

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

CLOCK_TIMES = 25
"""How much longer than its steps take on an idle machine the clock lets a search go on."""


@contextmanager
def efforts_by_steps() -> Iterator[Callable[[float], Effort]]:
    """Give efforts with the steps of so many seconds, and many times those seconds by the clock."""
    with patch.object(budget, "STEPS_A_SECOND", budget.STEPS_A_SECOND / CLOCK_TIMES):
        yield lambda seconds: Effort(seconds=seconds * CLOCK_TIMES)
