"""What the past costs: every page and every kind of change at 10⁶ bookings beside 10⁴.

    python -m tests.benchmarks.aging FOLDER [--council] [--only PART]

The reference is the same club without a past, in the same run: 200 squads, 20 pitches, 10,000
bookings of this season. The other one has 990,000 before them, with their journal, matches,
closures, asks, swaps, mails and share-outs. `--council` shows the pages of 2,000 squads on 300
pitches at 50 venues with 500,000 bookings over ten seasons instead. Databases are kept in the
folder and used again. Times are of the processor, the quickest of several; trust ratios.
"""

from __future__ import annotations

import argparse
import statistics
import sys
import time
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from clubplanner.collecting import collect_seldom
from clubplanner.webapp.base.programs import ROOT
from clubplanner.webapp.base.security import ANYBODY, roles_of
from tests.benchmarks.aged_changes import time_changes
from tests.benchmarks.aged_club import copy_of, open_aged_club
from tests.browser.screenshots import NOT_PAGES, STRANGER, example_address

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store
    from tests.large_club import LargeClub

TIMES = 3
AIM = 1.3
OF_A_SEASON = ("/desk/season/year", "/desk/season/light", "/desk/share-outs/<int:number>")


def pages(club: LargeClub) -> Iterator[tuple[str, str, str, FlaskClient]]:
    """Yield role, rule, address and a signed-in browser for every page."""
    for rule in sorted(club.app.url_map.iter_rules(), key=lambda rule: rule.rule):
        if "GET" not in (rule.methods or ()) or rule.rule.endswith(NOT_PAGES):
            continue
        if rule.endpoint == "static" or rule.rule.startswith(ROOT):
            continue
        try:
            path = example_address(rule.rule, club.values)
        except KeyError:
            continue
        roles = roles_of(club.app, rule.endpoint)
        there = {role.value for role in roles} & set(club.secrets)  # no club within it has its own
        for who in [STRANGER] if roles == ANYBODY else sorted(there):
            client = club.app.test_client()
            if who != STRANGER:
                client.set_cookie("person", club.secrets[who])
            yield who, rule.rule, path, client


def quickest(work: Callable[[], object], times: int = TIMES) -> float:
    """Return the processor's seconds of the quickest of several runs; one slow run is enough."""
    taken: list[float] = []
    for _ in range(times):
        started = time.process_time()
        work()
        taken.append(time.process_time() - started)
        if sum(taken) > 1:
            break
    return min(taken)


def show_pages(young: LargeClub, old: LargeClub, only: str) -> None:
    """Print what every page costs with a past beside without, the worst first."""
    found = []
    for (who, rule, here, client), (_w, _r, there, other) in zip(
        pages(young), pages(old), strict=True
    ):
        if only not in rule or client.get(here).status_code != 200:
            continue
        answer = other.get(there)
        asked = partial(client.get, here), partial(other.get, there)
        few, many = map(quickest, asked)
        if many > AIM * few:  # once more: another program may have been in the way
            few, many = map(quickest, asked)
        found.append((many / few, many, len(answer.data), answer.status_code, f"{rule} ({who})"))
        print(f"{many / few:.2f} {rule} ({who})", file=sys.stderr, flush=True)
    print("  past / none      ms     kB  page")
    for ratio, seconds, size, status, words in sorted(found, reverse=True):
        mark = "!" if ratio > AIM or status != 200 else " "
        print(f"{mark} {ratio:10.2f} {1000 * seconds:8.1f} {size / 1000:6.1f}  {words}")
    ratios = sorted(ratio for ratio, *_ in found)
    over = sum(ratio > AIM for ratio in ratios)
    print(f"{len(found)} pages: median {statistics.median(ratios):.2f}, worst {ratios[-1]:.2f}; "
          f"over {AIM}: {over}")  # fmt: skip
    for page in OF_A_SEASON:
        slow = [seconds for _x, seconds, _s, _t, words in found if words.startswith(f"{page} ")]
        print(f"{page}: {max(slow, default=0.0):.2f} s (aim 0.3 s)")


def show_changes(folder: Path, clubs: list[tuple[Store, LargeClub]]) -> None:
    """Print what every kind of change costs with a past beside without."""
    taken = []
    for store, club in clubs:
        copied = folder / "changed.sqlite"
        copy, _club = copy_of(store, club, copied)
        taken.append(time_changes(copy, int(club.values["number"])))
        copy.close()
        copied.unlink()
    print("  past / none      ms  change")
    few, many = taken
    for name, seconds in many.items():
        ratio = seconds / few[name]
        print(f"{'!' if ratio > AIM else ' '} {ratio:10.2f} {1000 * seconds:8.1f}  {name}")


def show_council(folder: Path, only: str) -> None:
    """Print what the pages of a council take, the slowest first."""
    store, club = open_aged_club(
        folder, 2_000, 300, 25, 400_000, venues=50, past_weeks=400, is_searched=False
    )
    found = []
    for who, rule, path, client in pages(club):
        if only not in rule:
            continue
        answer = client.get(path)
        seconds = quickest(partial(client.get, path), 2)
        found.append((seconds, len(answer.data), answer.status_code, f"{rule} ({who})"))
    print("      ms     kB  page")
    for seconds, size, status, words in sorted(found, reverse=True):
        mark = "!" if seconds > 0.5 or size > 150_000 or status >= 500 else " "
        print(f"{mark} {1000 * seconds:7.1f} {size / 1000:6.1f}  {words}")
    store.close()


def main() -> None:
    """Make the clubs or take those that are there, and print what their pages and changes cost."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--council", action="store_true")
    parser.add_argument("--only", default="", help="part of the address; “changes” for these alone")
    wanted = parser.parse_args()
    wanted.folder.mkdir(parents=True, exist_ok=True)
    collect_seldom()  # as a server does
    if wanted.council:
        show_council(wanted.folder, wanted.only)
        return
    young = open_aged_club(wanted.folder, 200, 20, 25, 0)
    old = open_aged_club(wanted.folder, 200, 20, 25, 990_000)
    if wanted.only != "changes":
        show_pages(young[1], old[1], wanted.only)
    if wanted.only in ("", "changes"):
        show_changes(wanted.folder, [young, old])


if __name__ == "__main__":
    main()
