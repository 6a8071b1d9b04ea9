"""A small run of the torture: whatever is killed, every figure of the verdict is 0."""

from __future__ import annotations

from tests.records import is_file
from tests.torture.running import Plan, torture
from tests.torture.verdict import Verdict

NOTHING_WRONG = Verdict(0, 0, 0, 0, 0, 0, 0, 0, 0)


def test_nothing_is_lost_or_done_twice_whatever_is_killed() -> None:
    """Three clients, two servers and two workers; some of these die while the others go on."""
    plan = Plan(
        records="sqlite" if is_file() else "postgresql",
        seconds=6,
        tries=8,
        clients=3,
        mean_s=0.7,
        least_kills=3,
    )
    report = torture(plan)
    assert report.faults == []
    assert report.verdict == NOTHING_WRONG
    assert sum(report.kills.values()) >= 3
    assert report.tries > 0
