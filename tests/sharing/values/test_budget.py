"""How an effort is kept: first the search, then the explaining, and never much more than asked."""

from __future__ import annotations

import pytest

from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.budget import MOST_AFTER_BRAKE_S, SEARCH_PART, Budget
from clubplanner.sharing.values.problem import Effort


class Stopwatch:
    """A stopwatch that is set by hand."""

    now = 0.0

    def __call__(self) -> float:
        """Tell the time on it."""
        return self.now


@pytest.fixture
def watch(monkeypatch: pytest.MonkeyPatch) -> Stopwatch:
    """Give every budget this stopwatch."""
    watch = Stopwatch()
    monkeypatch.setattr("clubplanner.sharing.values.budget.time.perf_counter", watch)
    return watch


def test_the_search_leaves_time_to_explain(watch: Stopwatch) -> None:
    """The clock stops the search before the seconds are over, and explaining at their end."""
    budget = Budget(Effort(seconds=100.0), started=0.0)
    watch.now = 100 * SEARCH_PART - 1
    assert budget.clock_left == pytest.approx(1)
    watch.now = 100 * SEARCH_PART
    assert budget.clock_left == 0
    has_time = budget.explaining()
    watch.now = 99.9
    assert has_time()
    watch.now = 100.0
    assert not has_time()


def test_who_stops_a_search_does_not_wait_long(watch: Stopwatch) -> None:
    """After a pulled brake explaining goes on for a few seconds, not for all that were allowed."""
    brake = Brake()
    budget = Budget(Effort(seconds=600.0), started=0.0, brake=brake)
    watch.now = 10.0
    brake.pull()
    assert budget.clock_left == 0
    has_time = budget.explaining()
    assert has_time()
    watch.now = 10.0 + MOST_AFTER_BRAKE_S
    assert not has_time()
