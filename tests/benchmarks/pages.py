"""What every page costs on a large club, as multiples of an empty page in the same run.

    python -m tests.benchmarks.pages --squads 200 --pitches 20 --weeks 80

The reference is a Flask app that answers with a few bytes of HTML and asks nothing of a database.
Bytes are uncompressed; statements are those sent to the database.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from pathlib import Path

from flask import Flask

from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from tests.large_club import make_large_club
from tests.page_costs import page_costs

TIMES = 5


def empty_page() -> float:
    """Return the median seconds of an empty page."""
    app = Flask("empty")
    app.add_url_rule("/", view_func=lambda: "<!doctype html><title>Empty</title>")
    client = app.test_client()
    taken = []
    for _ in range(200):
        started = time.perf_counter()
        client.get("/")
        taken.append(time.perf_counter() - started)
    return statistics.median(taken)


def main() -> None:
    """Make the club, ask for every page and print what it costs, the slowest first."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--squads", type=int, default=200)
    parser.add_argument("--pitches", type=int, default=20)
    parser.add_argument("--weeks", type=int, default=80)
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{Path(folder) / 'large.sqlite'}")
        migrate(store)
        club = make_large_club(store, wanted.squads, wanted.pitches, wanted.weeks)
        reference = empty_page()
        costs = sorted(page_costs(club, store, TIMES), key=lambda cost: -cost.seconds)
        store.close()
    print(f"{wanted.squads} squads, {wanted.pitches} pitches, {wanted.weeks} weeks; "
          f"an empty page takes {1000 * reference:.2f} ms")  # fmt: skip
    print("  × empty      ms     kB  statements  page")
    for cost in costs:
        print(f"{cost.seconds / reference:9.0f} {1000 * cost.seconds:7.1f} {cost.size / 1000:6.1f} "
              f"{cost.statements:11}  {cost.rule} ({cost.who})")  # fmt: skip
    middle = statistics.median(cost.seconds for cost in costs) / reference
    most = max(cost.size for cost in costs) / 1000
    print(f"median page: {middle:.0f} × empty; heaviest {most:.0f} kB; most statements "
          f"{max(cost.statements for cost in costs)}")  # fmt: skip


if __name__ == "__main__":
    main()
