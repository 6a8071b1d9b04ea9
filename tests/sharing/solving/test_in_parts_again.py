"""A share-out in parts comes out the same again, whichever process is done first."""

from __future__ import annotations

import time
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest

from clubplanner.sharing.example.example import example
from clubplanner.sharing.solving import in_parts, sizes
from clubplanner.sharing.solving.crew import Crew
from clubplanner.sharing.solving.process import solve_here
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.problem import Effort
from tests.searching_ready import searching_ready

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.sharing.solving.crew import Report
    from clubplanner.sharing.values.outcome import Outcome

PROBLEM = example(10, 3, 4, 1.3)
AMPLE_S = 400.0
"""Far more than the steps that are allowed below take: so the clock has no say."""
FEW_STEPS = 0.004
"""So few of them for each second end the work within some parts."""


class _Slow(Crew):
    """Processes that are heard of late, every so many reports: another one is first each time."""

    every = 2

    def reports(self, seconds: float) -> list[Report]:
        """Hold reports back now and then."""
        if self.every and sum(map(ord, str(self.pids))) % self.every:
            time.sleep(0.05)
        return super().reports(seconds)[::-1]


@pytest.fixture(scope="module", autouse=True)
def _searching_ready() -> Iterator[None]:
    """Begin processes with what they need loaded; `test_in_parts.py` begins them from nothing."""
    with searching_ready():
        yield


@pytest.fixture(autouse=True)
def in_small_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    """Cut a club of a few squads into parts that are bettered one after the other."""
    monkeypatch.setattr(sizes, "MOST_PLACES", 100)
    monkeypatch.setattr(in_parts, "places_within", lambda _mb: 250)
    monkeypatch.setattr(in_parts, "quick_places_within", lambda _mb: 250)
    monkeypatch.setattr(in_parts, "STEPS_A_SECOND", FEW_STEPS)
    monkeypatch.setattr(in_parts, "PATIENCE", 3)


def share_out(seconds: float = AMPLE_S) -> Outcome:
    """Share out without a start."""
    return solve_here(PROBLEM, Effort(seconds=seconds), None, Brake())


def without_time(outcome: Outcome) -> Outcome:
    """Return it without how long it took."""
    return replace(outcome, seconds=0.0)


def test_the_same_again_gives_the_same_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """Order and budgets of parts are fixed, so which process is heard of first decides nothing.

    Reports are taken in the order of their numbers: what comes early waits for those before it.
    """
    first = share_out()
    heard: list[int] = []
    hear = in_parts.InParts._hear

    def listen(self: in_parts.InParts, report: Report, name: str) -> Sequence[object]:
        heard.append(report.number)
        return hear(self, report, name)

    monkeypatch.setattr(in_parts.InParts, "_hear", listen)
    monkeypatch.setattr(in_parts, "Crew", _Slow)
    again = share_out()
    assert first.is_repeatable
    assert without_time(first) == without_time(again)
    assert len(heard) > 3
    assert heard == sorted(heard)


def test_what_the_clock_ends_is_not_said_to_come_out_the_same() -> None:
    """Too little time for the steps that are allowed."""
    assert not share_out(1.0).is_repeatable
