"""Torture the program, and count what it cost: `python -m tests.torture --records postgresql`.

With `--go-on FOLDER` a run is kept there and gone on with by the same words, however often: each
client has what it held, and the verdict is over everything since the beginning. Ctrl+C ends a go
before its time, with a verdict.

Every figure of the verdict has to be 0. A run is as long as it is told to be; what is tried and
what is killed follows from the seed, what comes of it from the machine as well.
"""

from __future__ import annotations

import argparse
import signal
import sys
import threading
from dataclasses import fields
from pathlib import Path

from tests.torture.kept import NotKeptError
from tests.torture.ledger import Outcome
from tests.torture.running import Plan, Report, torture


def show(plan: Plan, report: Report) -> None:
    """Print what was tried, what was killed and what came of it, of all goes together."""
    last, seconds = report.goes[-1], sum(go.seconds for go in report.goes)
    print(f"{plan.records}, seed {plan.seed}, {plan.clients} clients; this go "
          f"{last.seconds:.0f} s, all {len(report.goes)} of them {seconds:.0f} s")  # fmt: skip
    print(f"this go tried {last.tries} changes ({last.tries / last.seconds:.1f} a second); the "
          f"processor {last.used_s:.0f} s, {last.tries / last.used_s:.1f} a second")  # fmt: skip
    done, refused = (report.count(one) for one in (Outcome.DONE, Outcome.REFUSED))
    print(f"tried in all {report.tries}: done {done}, refused {refused}")
    for (kind, outcome), count in sorted(report.outcomes.items()):
        print(f"  {kind}, {outcome}: {count}")
    print(f"the verdict took {report.judged_s:.0f} s")
    print("killed: " + ", ".join(f"{name} {count}" for name, count in report.kills.items()))
    print(f"mails: {report.mails[0]}, of which again after a kill {report.mails[1]}")
    print(f"longest wait for an answer: {report.longest_s:.1f} s; answers that broke: "
          f"{sum(go.broken for go in report.goes)}")  # fmt: skip
    print(f"the longest of this go: {report.slowest[0]:.1f} s, {report.slowest[1]}")
    for entry in fields(report.verdict):
        print(f"{entry.name.replace('_', ' ')}: {getattr(report.verdict, entry.name)}")
    for fault in report.faults:
        print(f"a client broke off: {fault!r}")


def main() -> int:
    """Run as told; 0 if nothing went wrong."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--records", choices=["sqlite", "postgresql"], default="sqlite")
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--clients", type=int, default=24)
    parser.add_argument(
        "--mean", type=float, default=10, help="seconds from when all is up to the next kill, about"
    )
    parser.add_argument("--go-on", type=Path, help="a folder that keeps the run")
    wanted = parser.parse_args()
    plan = Plan(
        wanted.records,
        wanted.seconds,
        clients=wanted.clients,
        seed=wanted.seed,
        mean_s=wanted.mean,
        folder=wanted.go_on and wanted.go_on.resolve(),
    )
    stop = threading.Event()
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda *_unused: stop.set())
    try:
        report = torture(plan, lambda words: print(words, file=sys.stderr, flush=True), stop)
    except NotKeptError as fault:
        parser.error(str(fault))
    show(plan, report)
    return 0 if report.verdict.is_sound and not report.faults else 1


if __name__ == "__main__":
    sys.exit(main())
