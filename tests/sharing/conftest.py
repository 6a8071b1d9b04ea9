"""What tests of searches share."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing.values import budget
from clubplanner.sharing.values.problem import Effort

if TYPE_CHECKING:
    from collections.abc import Callable

CLOCK_TIMES = 25
"""How much longer than its steps take on an idle machine the clock lets a search go on."""


@pytest.fixture
def by_steps(monkeypatch: pytest.MonkeyPatch) -> Callable[[float], Effort]:
    """Give efforts that only their steps end, however busy the machine is.

    They have the steps of so many seconds, and many times those seconds by the clock.
    """
    monkeypatch.setattr(budget, "STEPS_A_SECOND", budget.STEPS_A_SECOND / CLOCK_TIMES)
    return lambda seconds: Effort(seconds=seconds * CLOCK_TIMES)
