"""Torture the program, and count what it cost: `python -m tests.torture --records postgresql`.

Every figure of the verdict has to be 0. A run is as long as it is told to be; what is tried and
what is killed follows from the seed, what comes of it from the machine as well.
"""

from __future__ import annotations

import argparse
import sys
from dataclasses import fields

from tests.torture.ledger import Outcome
from tests.torture.running import Plan, Report, torture


def show(plan: Plan, report: Report) -> None:
    """Print what was tried, what was killed and what came of it."""
    print(f"{plan.records}, seed {plan.seed}, {plan.clients} clients, {report.seconds:.0f} s")
    print(
        f"tried {report.tries} changes ({report.tries / report.seconds:.1f} a second): "
        f"done {report.count(Outcome.DONE)}, refused {report.count(Outcome.REFUSED)}"
    )
    print(
        f"the processor: {report.used_s:.0f} s, {report.tries / report.used_s:.1f} changes a second"
    )
    for (kind, outcome), count in sorted(report.outcomes.items()):
        print(f"  {kind}, {outcome}: {count}")
    print(f"the verdict took {report.judged_s:.0f} s")
    print("killed: " + ", ".join(f"{name} {count}" for name, count in report.kills.items()))
    print(f"mails: {report.mails[0]}, of which again after a kill {report.mails[1]}")
    print(f"longest wait for an answer: {report.longest_s:.1f} s; answers that broke: "
          f"{report.broken_answers}")  # fmt: skip
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
    wanted = parser.parse_args()
    plan = Plan(
        wanted.records,
        wanted.seconds,
        clients=wanted.clients,
        seed=wanted.seed,
        mean_s=wanted.mean,
    )
    report = torture(plan, lambda words: print(words, file=sys.stderr, flush=True))
    show(plan, report)
    return 0 if report.verdict.is_sound and not report.faults else 1


if __name__ == "__main__":
    sys.exit(main())
