"""A small run of the torture: whatever is killed, every figure of the verdict is 0."""

from __future__ import annotations

import threading
from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

import pytest

from tests.records import is_file
from tests.torture.running import Plan, torture
from tests.torture.verdict import Verdict

if TYPE_CHECKING:
    from collections.abc import Iterator

NOTHING_WRONG = Verdict(0, 0, 0, 0, 0, 0, 0, 0, 0)


@pytest.fixture
def folder() -> Iterator[Path]:
    """Give a folder that a server of another user may enter; in pytest's own it may not."""
    with TemporaryDirectory(prefix="torture-") as name:
        yield Path(name) / "run"


def test_nothing_is_lost_or_done_twice_whatever_is_killed(folder: Path) -> None:
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
        folder=folder,
    )
    tries = []
    for go, planned in enumerate((plan, replace(plan, seconds=2, tries=2, least_kills=1)), 1):
        report = torture(planned)
        assert report.faults == []
        assert report.verdict == NOTHING_WRONG
        assert sum(report.kills.values()) > go
        assert len(report.goes) == go
        tries.append(report.tries)
    assert 0 < tries[0] < tries[1]
    assert tries[1] == sum(go.tries for go in report.goes)


@pytest.mark.files
def test_who_ends_a_go_before_its_time_has_a_verdict() -> None:
    """Nobody waits for the end, and nothing is open."""
    stop = threading.Event()
    stop.set()
    report = torture(Plan(clients=1), stop=stop)
    assert report.verdict == NOTHING_WRONG
    assert report.goes[0].seconds < 60
