"""A measured effort.

Effort is counted in the search's own steps, which do not depend on how busy the machine is. The
clock keeps the time that was asked for, everything included: the last part of it is left for
explaining who goes without.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.sharing.values.brake import Brake

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.sharing.values.problem import Effort

STEPS_A_SECOND = 0.3
"""Search steps (the solver's deterministic time) taken as a second: few enough that an idle machine
does them before the clock stops it, so that the same again gives the same plan."""
SEARCH_PART = 0.85
"""The clock stops the search after this part of the seconds asked for."""
MOST_AFTER_BRAKE_S = 5.0
"""Somebody who stops a search waits at most so many seconds for what is explained after it."""


@dataclass(slots=True)
class Budget:
    """What is left of an effort.

    Attributes:
        effort: The whole.
        steps: Steps used.
        started: When it began, on a stopwatch.
        is_cut: Whether the clock or the brake stopped a search.
        brake: Once pulled, nothing is left.
    """

    effort: Effort
    steps: float = 0.0
    started: float = field(default_factory=time.perf_counter)
    is_cut: bool = False
    brake: Brake = field(default_factory=Brake)

    @property
    def seconds(self) -> float:
        """Seconds gone by."""
        return time.perf_counter() - self.started

    @property
    def all_steps(self) -> float:
        """Steps allowed in all; every worker takes its own."""
        return self.effort.seconds * STEPS_A_SECOND * self.effort.workers

    @property
    def left(self) -> float:
        """Steps left."""
        if self.brake.is_pulled:
            return 0.0
        return max(0.0, self.all_steps - self.steps)

    @property
    def clock_left(self) -> float:
        """Seconds left before the clock stops the search."""
        if self.brake.is_pulled:
            return 0.0
        return max(0.0, self.effort.seconds * SEARCH_PART - self.seconds)

    @property
    def seconds_left(self) -> float:
        """Seconds left of those asked for, for what comes after the search; few once stopped."""
        left = max(0.0, self.effort.seconds - self.seconds)
        return min(left, MOST_AFTER_BRAKE_S) if self.brake.is_pulled else left

    def explaining(self) -> Callable[[], bool]:
        """Begin to explain; what is returned tells whether there is time for more."""
        until = self.effort.seconds
        if self.brake.is_pulled:
            until = min(until, self.seconds + MOST_AFTER_BRAKE_S)
        return lambda: self.seconds < until

    @property
    def used(self) -> float:
        """Part of the effort that is used up, 0 to 1."""
        return min(1.0, max(self.steps / self.all_steps, self.seconds / self.effort.seconds))
