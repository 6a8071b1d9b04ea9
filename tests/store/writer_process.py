"""A program of its own that books evening after evening; for tests of several writers.

Run with a database's path, a holder and how many evenings. It says "ready", waits for a line, and
then writes "booked <number> !" after each booking that was committed.
"""

from __future__ import annotations

import sys
from datetime import date, timedelta
from pathlib import Path

from clubplanner.errors import ClashError
from tests.builders import NOW, make_range
from tests.records import open_records
from tests.stores import make_wish, put_booking


def main(path: str, holder: str, evenings: int) -> None:
    """Book the whole of the top pitch on each evening that is still free."""
    store = open_records(Path(path))
    first = make_wish(store, "whole", squad_key=None, holder=holder)
    print("ready", flush=True)
    sys.stdin.readline()
    for count in range(evenings):
        during = make_range(date(2027, 1, 4) + timedelta(days=count))
        wish = type(first)(first.area_id, during, first.purpose, None, holder, "", False)
        try:
            done = put_booking(store, wish, NOW)
        except ClashError:
            continue
        print(f"booked {done} !", flush=True)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], int(sys.argv[3]))
