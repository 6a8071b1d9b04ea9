"""What a report takes at a council's size, beside the plain sum of the same bookings in SQL.

    python -m tests.benchmarks.reports FOLDER

300 pitches at 50 venues, 2,000 squads, 500,000 bookings; the database is that of
`tests.benchmarks.aging --council`, kept in the folder and used again. Times are of the processor,
the quickest of several; trust ratios.
"""

from __future__ import annotations

import argparse
import time
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from clubplanner.domain.times.times import range_from_wall
from clubplanner.services.reports.report import make_report
from clubplanner.services.reports.report_files import report_files
from clubplanner.services.reports.report_paper import print_report
from clubplanner.services.reports.tables.report_tables import report_tables
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.columns import total_seconds
from tests.benchmarks.aged_club import open_aged_club
from tests.builders import LONDON, NOW

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.store.engine import Store

TIMES = 4
SPELLS = {
    "a month": (date(2026, 11, 1), date(2026, 11, 30)),
    "a year": (date(2026, 9, 1), date(2027, 8, 31)),
}


def quickest(work: Callable[[], object]) -> float:
    """Return the seconds of the processor that something takes at its quickest."""
    found = []
    for _once in range(TIMES):
        start = time.process_time()
        work()
        found.append(time.process_time() - start)
    return min(found)


def plain_sum(store: Store, first: date, last: date) -> None:
    """The reference: hours and sessions of each squad, added up by the database."""
    during = range_from_wall(first, 0, ((last - first).days + 1) * 1440, LONDON)
    with store.read() as session:
        session.execute(
            select(
                BookingRow.squad_id,
                func.count(BookingRow.id),
                total_seconds(BookingRow.starts_at, BookingRow.ends_at),
            )
            .where(*BookingRow.running_between(during.starts_at, during.ends_at))
            .group_by(BookingRow.squad_id)
        ).all()


def main() -> None:
    """Print a line for each length of a report."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    wanted = parser.parse_args()
    store, _club = open_aged_club(
        wanted.folder, 2000, 300, 25, 400_000, venues=50, past_weeks=400,
        is_searched=False,
    )  # fmt: skip
    for words, days in SPELLS.items():
        reference = quickest(partial(plain_sum, store, *days))
        report = make_report(store, *days, NOW)
        made = quickest(partial(make_report, store, *days, NOW))
        tables = report_tables(report)
        told = quickest(partial(report_tables, report))
        files = quickest(partial(report_files, report, tables))
        paper = quickest(partial(print_report, store, report, tables))
        print(
            f"{words}: {report.total.sessions} sessions, report {made:.2f} s "
            f"({made / reference:.1f} × the sum), tables {told:.2f} s, sheets {files:.2f} s, "
            f"paper {paper:.2f} s"
        )
    store.close()


if __name__ == "__main__":
    main()
