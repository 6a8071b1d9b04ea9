"""What is kept of somebody: its page, what erasing would do, and its file, after ten seasons.

    python -m tests.benchmarks.kept FOLDER [--pruned]

The reference is the same club without a past, in the same run, in turns; both are those of
`tests.benchmarks.aging`, kept in the folder and used again. The coach has 49,000 mails, asks and
offers, all of them kept as no club does that goes by the usual periods; `--pruned` shows a copy
that was pruned by those. Times are of the processor, the quickest of several; memory is what Python
has at once beside what was there before, measured by itself.
"""

from __future__ import annotations

import argparse
import time
import tracemalloc
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sqlalchemy import select

from clubplanner.collecting import collect_seldom
from clubplanner.services.keeping.erasing import look_at
from clubplanner.services.keeping.kept import kept_tables, see_kept
from clubplanner.services.keeping.kept_files import kept_file
from clubplanner.services.keeping.pruning import prune
from clubplanner.services.keeping.subjects import Subject
from clubplanner.store.tables.people_tables import PersonRow
from tests.benchmarks.aged_club import copy_of, open_aged_club
from tests.benchmarks.aging import AIM, pages
from tests.builders import NOW

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from clubplanner.store.engine import Store
    from tests.large_club import LargeClub

TIMES = 7
COACH = "Jo Ashby"


def works(store: Store, club: LargeClub) -> Iterator[tuple[str, Callable[[], object]]]:
    """Yield what is asked, and in which way: each page, and of the coach each service."""
    for who, rule, path, client in pages(club):
        if rule.endswith("/kept") and rule != "/desk/kept":
            yield f"{rule} ({who})", partial(client.get, path)
    with store.read() as session:
        number = session.scalars(select(PersonRow.id).where(PersonRow.name == COACH)).one()
    coach = Subject(person=number)
    yield "the coach: the page's words", partial(see_kept, store, coach)
    yield "the coach: what erasing would do", partial(look_at, store, coach, NOW)
    yield "the coach: the file", lambda: kept_file(store, coach, NOW).close()
    yield "the coach: as tables", partial(kept_tables, store, coach)


def seconds_of(work: Callable[[], object]) -> float:
    """Return the processor's seconds of one run."""
    started = time.process_time()
    work()
    return time.process_time() - started


def megabytes_of(work: Callable[[], object]) -> float:
    """Return the most that Python has at once during one run."""
    tracemalloc.start()
    work()
    peak: Any = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    return float(peak) / 1e6


def main() -> None:
    """Make the clubs or take those that are there, and print what is asked of both."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--pruned", action="store_true")
    wanted = parser.parse_args()
    wanted.folder.mkdir(parents=True, exist_ok=True)
    collect_seldom()  # as a server does
    young = open_aged_club(wanted.folder, 200, 20, 25, 0)
    old = open_aged_club(wanted.folder, 200, 20, 25, 990_000)
    copied = wanted.folder / "pruned.sqlite"
    if wanted.pruned:
        old = copy_of(*old, copied)
        while not prune(old[0], NOW).is_done:
            pass
    print("past / none       ms     MB   MB none")
    for (name, few), (_name, many) in zip(works(*young), works(*old), strict=True):
        turns = [(seconds_of(few), seconds_of(many)) for _ in range(TIMES)]
        less, more = (min(one) for one in zip(*turns, strict=True))
        mark = "!" if more > AIM * less else " "
        print(f"{mark} {more / less:9.2f} {1000 * more:8.1f} {megabytes_of(many):6.1f} "
              f"{megabytes_of(few):9.1f}  {name}", flush=True)  # fmt: skip
    if wanted.pruned:
        old[0].close()
        copied.unlink()


if __name__ == "__main__":
    main()
