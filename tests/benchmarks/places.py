"""What looking for other ground costs: on the invented club, and on a large one.

    python -m tests.benchmarks.places --squads 200 --pitches 20

For every session of one evening: loading the club's day, and looking where else it could go, from
an hour earlier to an hour later. Times of the processor; trust ratios between runs.
"""

from __future__ import annotations

import argparse
import statistics
import tempfile
import time
from collections import Counter
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.places.places import find_places
from clubplanner.services.places.scenes import load_people, load_scene, need_of
from clubplanner.services.rows.snapshot import load_bookings, load_zone
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import migrate
from tests.browser.screenshots import make_club
from tests.builders import NOW
from tests.large_club import make_large_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

HOUR = timedelta(hours=1)


def measure(store: Store, first: date, name: str) -> None:
    """Print what the fullest evening of a week costs."""
    with store.read() as session:
        zone = load_zone(session)
        week = load_bookings(session, range_from_wall(first, 0, 7 * 1440, zone))
        days = Counter(one.during.starts_at.astimezone(zone).date() for one in week)
        day = max(days, key=lambda one: (days[one], -one.toordinal()))
        load_scene(session, day)
        started = time.process_time()
        scene = load_scene(session, day)
        loading = time.process_time() - started
        squads, asks = load_people(session)
        needs = [
            need_of(booking, squads, asks, NOW, earlier=HOUR, later=HOUR)
            for booking in week
            if booking.during.starts_at.astimezone(zone).date() == day
        ]
        taken, count = [], 0
        for need in (needs[0], *needs):
            started = time.process_time()
            count += len(find_places(scene, need, most=10_000))
            taken.append(time.process_time() - started)
        taken = taken[1:]  # the first loads the words of the language
    print(
        f"{name}: {day}, {len(taken)} sessions, {count} places; loading {1000 * loading:.0f} ms, "
        f"looking {1000 * statistics.median(taken):.2f} ms a session "
        f"(worst {1000 * max(taken):.2f}, all {1000 * sum(taken):.0f})"
    )


def main() -> None:
    """Make both clubs and measure each."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--squads", type=int, default=200)
    parser.add_argument("--pitches", type=int, default=20)
    wanted = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{Path(folder) / 'invented.sqlite'}")
        migrate(store)
        make_club(store, "http://127.0.0.1:5000", 4.0)
        measure(store, date(2027, 4, 26), "invented club")
        store.close()
        store = open_store(f"sqlite:///{Path(folder) / 'large.sqlite'}")
        migrate(store)
        make_large_club(store, wanted.squads, wanted.pitches, 30)
        measure(store, date(2026, 12, 7), f"{wanted.squads} squads")
        store.close()


if __name__ == "__main__":
    main()
