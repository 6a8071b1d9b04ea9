"""A small run of the torture: whatever is killed, every figure of the verdict is 0."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from tests.records import is_file
from tests.torture.running import Plan, torture
from tests.torture.verdict import Verdict

if TYPE_CHECKING:
    from pathlib import Path

NOTHING_WRONG = Verdict(0, 0, 0, 0, 0, 0, 0, 0, 0)


def test_nothing_is_lost_or_done_twice_whatever_is_killed(tmp_path: Path) -> None:
    """Three clients, two servers and two workers; some of these die while the others go on.

    And so again when the run is gone on with: all is judged since its beginning.
    """
    plan = Plan(
        records="sqlite" if is_file() else "postgresql",
        seconds=6,
        tries=6,
        clients=3,
        mean_s=0.7,
        least_kills=2,
        folder=tmp_path / "run",
    )
    tries = []
    for go in (1, 2):
        report = torture(plan)
        assert report.faults == []
        assert report.verdict == NOTHING_WRONG
        assert sum(report.kills.values()) >= 2 * go
        assert len(report.goes) == go
        tries.append(report.tries)
    assert 0 < tries[0] < tries[1]
    assert tries[1] == sum(go.tries for go in report.goes)


def test_who_ends_a_go_before_its_time_has_a_verdict() -> None:
    """Nobody waits for the end, and nothing is open."""
    stop = threading.Event()
    stop.set()
    report = torture(Plan("sqlite" if is_file() else "postgresql", clients=1), stop=stop)
    assert report.verdict == NOTHING_WRONG
    assert report.goes[0].seconds < 60
